"""The same faults as the maker meets them on the screen: what is said, and that nothing typed is lost."""

from __future__ import annotations

import os
import pty
import select
import shutil
import signal
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from textual.widgets import Input

from stash.inventory import backup
from stash.inventory.backup_files import backups_of
from stash.inventory.restore import restore
from stash.inventory.store import Store
from stash.lengths import to_ticks
from stash.model import NewFabric
from tests.engine.stashes import agrees, tables
from tests.faults.shim import ROOT
from tests.posix import POSIX
from tests.tui.conftest import stash_path, true_colours
from tests.tui.driving import edit_keys_do_nothing, running, screen_text, settled, toasts, wait_for
from tui.dialogs.backups import BackupsDialog
from tui.dialogs.text_prompt import TextPrompt

__all__ = ["stash_path", "true_colours"]


# --- 8: closed in the middle of a form


async def test_08_what_was_typed_is_offered_again(stash_path: Path) -> None:
    before = tables(stash_path)
    async with running(stash_path) as pilot:
        await pilot.press("f", "a")
        await pilot.press(*"Sloe")
        await pilot.press("tab", *"1yd")
    assert tables(stash_path) == before, "the program ended with the form open"
    async with running(stash_path) as pilot:
        await pilot.press("f", "a")
        await settled(pilot)
        assert "not saved yet" in screen_text(pilot)
        assert [one.value for one in pilot.app.screen.query(Input)][:2] == ["Sloe", "1yd"]
        await pilot.press("enter")
        await settled(pilot)
        await pilot.press("a")
        await settled(pilot)
        assert "not saved yet" not in screen_text(pilot), "saved, so there is nothing to offer"
    with Store.open(stash_path) as store:
        assert store.fabric("Sloe").pieces[0].length == to_ticks(36)


async def test_08_a_draft_whose_save_was_done_is_booked_once(stash_path: Path) -> None:
    """The entry was saved and the program killed before it said so: the draft comes with the uid it had."""
    async with running(stash_path) as pilot:
        await pilot.press("f", "a")
        await pilot.press(*"Sloe")
        uid = pilot.app.screen.uid  # type: ignore[attr-defined]
    with Store.open(stash_path) as store:
        store.add(NewFabric("Sloe"), uid=uid)
    async with running(stash_path) as pilot:
        await pilot.press("f", "a", "enter")
        await settled(pilot)
    with Store.open(stash_path) as store:
        assert [one.name for one in store.fabrics()].count("Sloe") == 1


async def test_08_a_form_left_on_purpose_is_not_offered_again(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        await pilot.press("f", "a", *"Sloe")
        await pilot.press("escape", "escape", "a")
        await settled(pilot)
        assert "not saved yet" not in screen_text(pilot)


@POSIX
@pytest.mark.parametrize("how", [signal.SIGHUP, signal.SIGTERM])
def test_08_the_terminal_is_closed(stash_path: Path, tmp_path: Path, how: signal.Signals) -> None:
    before = tables(stash_path)
    drafts = tmp_path / "state" / "starcover" / "drafts"
    environment = {
        **os.environ, "TERM": "xterm-256color", "XDG_STATE_HOME": str(tmp_path / "state"), "PYTHONPATH": str(ROOT),
        "LINES": "24", "COLUMNS": "80",
    }  # fmt: skip
    ours, theirs = pty.openpty()
    words = [sys.executable, "-m", "stash.cli", "--db", str(stash_path)]
    with subprocess.Popen(words, env=environment, cwd=ROOT, stdin=theirs, stdout=theirs, stderr=theirs) as program:
        os.close(theirs)
        _until(ours, lambda: b"Lantern" in seen, seen := bytearray())
        os.write(ours, b"fa")
        _until(ours, lambda: b"Add a fabric" in seen, seen)
        os.write(ours, b"Sloe")
        _until(ours, lambda: any("Sloe" in one.read_text() for one in drafts.glob("*.json")), seen)
        program.send_signal(how)
        _until(ours, lambda: program.poll() is not None, seen)
    os.close(ours)
    assert tables(stash_path) == before
    agrees(stash_path)
    assert len(list(drafts.glob("*.json"))) == 1


def _until(terminal: int, condition: object, seen: bytearray) -> None:
    """Read what the program draws until the condition holds."""
    assert callable(condition)
    for _ in range(3_000):
        if condition():
            return
        ready, _, _ = select.select([terminal], [], [], 0.02)
        if ready:
            try:
                seen += os.read(terminal, 65_536)
            except OSError:  # the program is gone
                continue
    raise AssertionError(seen[-2_000:])


# --- 23, 26, 27, 32, 35


async def test_23_a_read_only_stash_says_so_and_edit_keys_are_off(
    stash_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    access = os.access
    monkeypatch.setattr(os, "access", lambda path, mode, **more: mode != os.W_OK and access(path, mode, **more))
    before = stash_path.read_bytes()
    async with running(stash_path) as pilot:
        await pilot.press("f")
        await settled(pilot)
        await edit_keys_do_nothing(pilot)
    assert stash_path.read_bytes() == before


@POSIX
@pytest.mark.parametrize("fate", ["deleted", "replaced"])
async def test_26_a_save_that_finds_no_file_offers_a_copy(stash_path: Path, tmp_path: Path, fate: str) -> None:
    other = tmp_path / "other.db"
    Store.create(other).close()
    async with running(stash_path) as pilot:
        await pilot.press("f", "a", *"Rowan", "enter")
        await settled(pilot)
        await pilot.press("escape", "a", *"Sloe")
        if fate == "deleted":
            stash_path.unlink()
        else:
            os.replace(other, stash_path)
        await pilot.press("enter")
        await wait_for(pilot, lambda: isinstance(pilot.app.screen, TextPrompt), "the question where to save")
        await settled(pilot)
        assert "Save a copy as" in screen_text(pilot)
        assert "nothing was saved" in screen_text(pilot)
        assert "close starcover" not in screen_text(pilot), "the question is where to save a copy"
        copy = Path(pilot.app.screen.query_one(Input).value)
        await pilot.press("enter")
        await settled(pilot)
        assert any(str(copy.name) in text for text in toasts(pilot))
        await pilot.press("enter")  # the form is still there, and saves into the copy
        await settled(pilot)
    with Store.open(copy) as store:
        assert store.fabric("Sloe").name == "Sloe"
        assert len(store.fabrics()) == 9
    agrees(copy)
    assert stash_path.exists() == (fate == "replaced")
    assert pilot.app.no_backup is None, "of a stash that is gone none is missed"  # type: ignore[attr-defined]


async def test_32_two_windows_show_each_others_saves(stash_path: Path) -> None:
    async with running(stash_path) as one, running(stash_path) as other:
        await one.press("f", "a", *"Sloe", "enter")
        await settled(one)
        await wait_for(other, lambda: "Sloe" in [f.name for f in other.app.loaded.fabrics], "the other's save")  # type: ignore[attr-defined]


async def test_35_a_place_without_backups_is_said_at_the_start(
    stash_path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "file").write_bytes(b"")
    monkeypatch.setenv("STARCOVER_BACKUPS", str(tmp_path / "file" / "backups"))
    async with running(stash_path) as pilot:
        await wait_for(pilot, lambda: any("no backup can be written here" in text for text in toasts(pilot)))
        await pilot.press("f", "a", *"Sloe", "enter")
        await settled(pilot)
        app = pilot.app
    assert app.no_backup is not None  # type: ignore[attr-defined]
    with Store.open(stash_path) as store:
        assert store.fabric("Sloe").name == "Sloe"


# --- backups on the screen


async def test_backups_are_shown_made_and_restored(stash_path: Path) -> None:
    backup.make(stash_path)
    before = tables(stash_path)
    async with running(stash_path, size=(120, 40)) as pilot:
        await pilot.press("f", "a", *"Sloe", "enter")
        await settled(pilot)
        await pilot.press("f12")
        await settled(pilot)
        assert "The last one is of" in screen_text(pilot)
        await pilot.press("b")
        await settled(pilot)
        await wait_for(pilot, lambda: len(backups_of(stash_path)) == 2)
        await settled(pilot)
        assert screen_text(pilot).count("made when asked for, ") == 2
        await pilot.press("down", "enter")
        await settled(pilot)
        assert "Restore this one?" in screen_text(pilot)
        assert tables(stash_path) != before
        await pilot.press("enter")
        await wait_for(pilot, lambda: not isinstance(pilot.app.screen, BackupsDialog), "the restored stash")
        await settled(pilot)
        assert "Sloe" not in [fabric.name for fabric in pilot.app.loaded.fabrics]  # type: ignore[attr-defined]
        assert tables(stash_path) == before
        await pilot.press("f", "a", *"Rowan", "enter")
        await settled(pilot)
    with Store.open(stash_path) as store:
        assert store.fabric("Rowan").name == "Rowan"
    assert [one.why for one in backups_of(stash_path)] == ["before-restore", "asked", "asked"]


class Held:
    """Stands in for a slow call: it counts, and goes on once it may."""

    def __init__(self, call: Callable[..., Any]) -> None:
        self.call, self.asked, self.may = call, 0, threading.Event()

    def __call__(self, *words: Any, **more: Any) -> Any:
        self.asked += 1
        assert self.may.wait(20)
        return self.call(*words, **more)


async def test_keys_wait_while_a_restore_is_under_way(stash_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    backup.make(stash_path)
    held = Held(restore)
    monkeypatch.setattr("stash.inventory.restore.restore", held)
    async with running(stash_path) as pilot:
        await pilot.press("f12")
        await settled(pilot)
        await pilot.press("enter", "enter")
        await wait_for(pilot, lambda: held.asked == 1, "the restore")
        await pilot.press("enter", "enter", "b", "escape")
        assert "Restoring the one of" in screen_text(pilot)
        assert isinstance(pilot.app.screen, BackupsDialog), "it is left when it is done"
        held.may.set()
        await wait_for(pilot, lambda: not isinstance(pilot.app.screen, BackupsDialog), "the restored stash")
        await settled(pilot)
    assert held.asked == 1
    assert [one.why for one in backups_of(stash_path)] == ["before-restore", "asked"]


async def test_a_word_is_said_while_the_days_backup_is_made(
    stash_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = Held(backup.make)
    monkeypatch.setattr("stash.inventory.backup.make", held)
    async with running(stash_path) as pilot:
        await pilot.press("f", "a", *"Sloe", "enter")
        await settled(pilot)
        await pilot.press("escape", "ctrl+q")
        await wait_for(pilot, lambda: held.asked == 1, "the backup")
        await wait_for(pilot, lambda: "Making today's backup" in screen_text(pilot), "a word")
        assert pilot.app.is_running
        held.may.set()
        await wait_for(pilot, lambda: pilot.app._exit, "the end")
    assert held.asked == 1
    assert [one.why for one in backups_of(stash_path)] == ["daily"]


async def test_the_days_backup_is_made_when_it_is_left(stash_path: Path, tmp_path: Path) -> None:
    async with running(stash_path) as pilot:
        await pilot.press("f")
        await settled(pilot)
    assert backups_of(stash_path) == [], "nothing was saved"
    async with running(stash_path) as pilot:
        await pilot.press("f", "a", *"Sloe", "enter")
        await settled(pilot)
    assert [one.why for one in backups_of(stash_path)] == ["daily"]
    demo = Path(shutil.copy(stash_path, tmp_path / "demo.db"))
    async with running(demo, demo=True) as pilot:
        await pilot.press("f", "a", *"Rowan", "enter")
        await settled(pilot)
        await pilot.press("f12")
        await settled(pilot)
        assert any("no backups" in text for text in toasts(pilot))
    assert backups_of(demo) == []
