"""The app: how it starts, ways from screen to screen, the palette, faults as one line, other programs' changes."""

from __future__ import annotations

import dataclasses
import logging
import shutil
import threading
from pathlib import Path

import pytest
from textual.command import CommandPalette
from textual.screen import Screen
from textual.widgets import Input

import tui.keeping
import tui.logfile
from stash.errors import Fault
from stash.inventory.store import Store
from stash.model import Colour, NewFabric
from tests.tui.driving import PATIENCE, SIZES, edit_keys_do_nothing, running, screen_text, settled, toasts, wait_for
from tui.app import StarcoverApp, run
from tui.screens.help import HelpScreen
from tui.screens.stash import StashScreen
from tui.widgets.empty_stash import EmptyStash
from tui.widgets.fabric_list import FabricList


async def test_starts_with_the_saved_star(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        assert pilot.app.current_mode == "star"
        opened = pilot.app.opened
        assert opened is not None
        assert (opened.saved.name, opened.number) == ("Lantern", 1)


async def test_something_is_drawn_before_the_stash_is_made_and_read(tmp_path: Path, stash_path: Path) -> None:
    drawn = threading.Event()

    def prepare(path: Path) -> None:
        assert drawn.wait(PATIENCE)
        shutil.copyfile(stash_path, path)

    app = StarcoverApp(tmp_path / "made-later.db", prepare=prepare)
    async with app.run_test(size=(80, 24)) as pilot:
        await wait_for(pilot, lambda: "Opening the stash" in screen_text(pilot), "the first frame")
        drawn.set()
        await wait_for(pilot, lambda: app.current_mode == "star", "the star of the stash that was made")
        await settled(pilot)


async def test_a_stash_that_cannot_be_made_is_one_fault(tmp_path: Path) -> None:
    def prepare(path: Path) -> None:
        raise Fault("the disk is full", str(path), "free some room")

    app = StarcoverApp(tmp_path / "never.db", prepare=prepare)
    async with app.run_test() as pilot:
        await wait_for(pilot, lambda: app.fault is not None, "the fault")
    assert app.fault is not None
    assert app.fault.what == "the disk is full"


@pytest.mark.parametrize("size", SIZES)
async def test_an_empty_stash_offers_ways_to_begin(empty_path: Path, size: tuple[int, int]) -> None:
    async with running(empty_path, size, first_start=True, make_demo=lambda: empty_path) as pilot:
        assert pilot.app.current_mode == "stash"
        assert pilot.app.screen.query_one(EmptyStash).display
        shown = screen_text(pilot)
        assert "photos" in shown
        assert "type" in shown
        assert "demo" in shown
        assert any(str(empty_path) in text for text in toasts(pilot))
        pilot.app.clear_notifications()
        await settled(pilot)
        assert screen_text(pilot).splitlines()[-1].split() == ["a", "Add", "i", "Intake", "u", "Undo", "^p", "Commands"]
        await pilot.press("a")
        assert isinstance(pilot.app.focused, Input)


async def test_demo_leaves_an_empty_stash_for_one_with_a_star(empty_path: Path, stash_path: Path) -> None:
    async with running(empty_path, make_demo=lambda: stash_path) as pilot:
        await pilot.press("d")
        await wait_for(pilot, lambda: pilot.app.current_mode == "star", "the demo")
        await settled(pilot)
        assert pilot.app.demo
        assert "demo" in screen_text(pilot).splitlines()[0]
        await pilot.press("f")
        await wait_for(pilot, lambda: "Poppy" in screen_text(pilot), "the demo's fabrics")


async def test_without_a_demo_none_is_offered(empty_path: Path) -> None:
    async with running(empty_path) as pilot:
        assert "demo" not in screen_text(pilot)
        await pilot.press("d")
        assert pilot.app.current_mode == "stash"


@pytest.mark.parametrize("size", SIZES)
async def test_every_screen_is_one_key_away(stash_path: Path, size: tuple[int, int]) -> None:
    async with running(stash_path, size) as pilot:
        for key, mode in (("f", "stash"), ("g", "suggestions"), ("h", "history"), ("s", "star"), ("f2", "stash")):
            await pilot.press(key)
            await settled(pilot)
            assert pilot.app.current_mode == mode
            assert "Suggestions" in screen_text(pilot).splitlines()[0]
        await pilot.press("question_mark")
        assert isinstance(pilot.app.screen, HelpScreen)
        assert "Filter" in screen_text(pilot)
        await pilot.press("escape", "ctrl+p")
        assert isinstance(pilot.app.screen, CommandPalette)


async def test_a_click_on_a_word_at_the_top_goes_there(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        top = screen_text(pilot).splitlines()[0]
        await pilot.click(offset=(top.index("History") + 2, 0))
        await settled(pilot)
        assert pilot.app.current_mode == "history"


async def test_the_palette_finds_a_fabric_and_goes_there(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        await pilot.press("ctrl+p", *"harb")
        await wait_for(pilot, lambda: "Go to fabric Harbour" in screen_text(pilot), "the hit")
        await pilot.press("enter")
        await wait_for(pilot, lambda: isinstance(pilot.app.screen, StashScreen), "the stash")
        await settled(pilot)
        listed = pilot.app.screen.query_one(FabricList)
        await wait_for(pilot, lambda: listed.current is not None and listed.current.name == "Harbour")


async def test_the_palette_opens_a_star(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        await pilot.press("f", "ctrl+p", *"lant")
        await wait_for(pilot, lambda: "Open star Lantern" in screen_text(pilot), "the hit")
        await pilot.press("enter")
        await wait_for(pilot, lambda: pilot.app.current_mode == "star", "the star")


@pytest.mark.parametrize("name", ["bad [/close]", "[red]Ivy", "{0} %s \\\\", "x" * 150])
async def test_names_are_shown_and_never_run(stash_path: Path, name: str) -> None:
    with Store.open(stash_path) as store:
        store.add(NewFabric(name, colour=Colour(99, 0, 0), place="[bold]", note="[/]"))
    async with running(stash_path, (120, 40)) as pilot:
        await pilot.press("f")
        await settled(pilot)
        for key in ("e", "b", "x", "c"):
            await pilot.press("home", key)
            await settled(pilot)
            screen_text(pilot)
            await pilot.press("escape")
        await pilot.press("home", "r")
        await settled(pilot)
        assert any("Archived" in text for text in toasts(pilot))
        await pilot.press("u")
        await pilot.press("h")
        await settled(pilot)
        await pilot.press("ctrl+p", *"go to")
        await settled(pilot)


async def test_a_fault_is_a_toast_and_nothing_breaks(stash_path: Path) -> None:
    async with running(stash_path) as pilot:

        def refuse(store: Store) -> None:
            raise Fault("Nothing [/b] was saved", do="Try again")

        pilot.app.save(refuse)
        await settled(pilot)
        assert toasts(pilot) == ["Nothing [/b] was saved. Try again."]

        def break_down(store: Store) -> None:
            raise ZeroDivisionError

        pilot.app.save(break_down)
        await settled(pilot)
        assert "ZeroDivisionError" in toasts(pilot)[-1]
        assert "Traceback" not in screen_text(pilot)


async def test_a_late_answer_never_overwrites_a_fresh_one(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        gate, answers = threading.Event(), []
        pilot.app.jobs.search(lambda: gate.wait(10) and "old", answers.append, slot="x")
        pilot.app.jobs.search(lambda: "new", answers.append, slot="x")
        gate.set()
        await settled(pilot)
        assert answers == ["new"]


async def test_nothing_is_handed_to_a_screen_that_has_gone(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        answers: list[int] = []
        gone: Screen[None] = Screen()
        pilot.app.jobs.store(lambda store: 1, answers.append, owner=gone)
        await settled(pilot)
        assert answers == []


async def test_another_programs_change_shows_by_itself(stash_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tui.keeping, "LOOK_AGAIN", 0.05)
    async with running(stash_path) as pilot:
        await pilot.press("f")
        await settled(pilot)
        with Store.open(stash_path) as store:
            store.add(NewFabric("Elsewhere", colour=Colour(99, 0, 0)))
        await wait_for(pilot, lambda: "Elsewhere" in screen_text(pilot), "the other program's fabric")


async def test_edit_keys_are_off_where_the_stash_cannot_be_written(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        await pilot.press("f")
        await settled(pilot)
        pilot.app.loaded = dataclasses.replace(pilot.app.loaded, read_only=True)
        await settled(pilot)
        await edit_keys_do_nothing(pilot)
        await settled(pilot)
        assert "Add" not in screen_text(pilot).splitlines()[-1]
    with Store.open(stash_path) as store:
        assert len(store.history(limit=50)) == 8


async def test_undo_works_from_everywhere(stash_path: Path) -> None:
    with Store.open(stash_path) as store:
        store.archive(store.fabric("Fern").id)
    async with running(stash_path) as pilot:
        await pilot.press("g")
        await settled(pilot)
        await pilot.press("u")
        await settled(pilot)
        assert any("Archived Fern" in text for text in toasts(pilot))
    with Store.open(stash_path) as store:
        assert not store.fabric("Fern").archived


def test_a_stash_that_cannot_be_opened_is_one_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    headless = StarcoverApp.run
    monkeypatch.setattr(StarcoverApp, "run", lambda self: headless(self, headless=True))
    with pytest.raises(Fault) as caught:
        run(tmp_path / "none.db")
    assert "none.db" in caught.value.line()


def test_a_fault_of_our_own_goes_to_the_log_and_is_one_line(
    stash_path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    log = tmp_path / "state" / "starcover.log"
    monkeypatch.setattr(tui.logfile, "log_file", lambda: log)
    logger = logging.getLogger("tui")
    monkeypatch.setattr(logger, "handlers", [])
    monkeypatch.setattr(logger, "propagate", True)
    headless = StarcoverApp.run
    monkeypatch.setattr(StarcoverApp, "run", lambda self: headless(self, headless=True))
    monkeypatch.setattr(StarcoverApp, "is_headless", False)

    def break_down(self: StarcoverApp, loaded: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(StarcoverApp, "_started", break_down)
    with pytest.raises(Fault) as caught:
        run(stash_path)
    assert "ZeroDivisionError" in caught.value.line()
    assert "Traceback" in log.read_text()
    shown = capsys.readouterr()
    assert "Traceback" not in shown.out + shown.err
