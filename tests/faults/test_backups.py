"""Backups that cannot be made, and backups that are damaged."""

from __future__ import annotations

import shutil
import sys
from io import StringIO
from pathlib import Path

import pytest

from stash.inventory import backup
from stash.inventory.backup_files import fault_of
from stash.inventory.store import Store
from tests.engine.stashes import fern, inch, released, tables
from tests.faults.conftest import CommandLine, refused


def unwritable(cli: CommandLine, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for backups that is a file."""
    place = cli.path.with_name("no folder")
    place.write_bytes(b"")
    monkeypatch.setenv("STARCOVER_BACKUPS", str(place))
    return place


def test_35_no_room_for_backups(cli: CommandLine, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    other = Path(shutil.copy(cli.path, tmp_path / "other.db"))
    (tmp_path / "in.csv").write_text("fabric\nNewcomer\n", encoding="utf-8")
    place = unwritable(cli, monkeypatch)
    before = tables(cli.path)
    for words in (("import", tmp_path / "in.csv"), ("restore", other, "--yes")):
        said = cli(*words)
        assert said.code == 1
        assert str(place) in said.err
        assert "--without-backup goes on all the same" in said.err
        assert "nothing was changed" in said.err
        assert tables(cli.path) == before
    refused(cli("backup"), "no backup can be written here", "STARCOVER_BACKUPS")
    saved = cli("add", "Hedge Rose")
    assert saved.code == 0, "what is safe goes on, and says it has no backup"
    assert "saved, but without today's backup" in saved.err
    assert cli("import", tmp_path / "in.csv", "--without-backup").code == 0
    assert cli("restore", other, "--yes", "--without-backup").code == 0
    assert tables(cli.path) == before


def test_35_no_upgrade_without_a_backup(cli: CommandLine, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    old = tmp_path / "old.db"
    released(old, 1)
    before = old.read_bytes()
    unwritable(cli, monkeypatch)
    refused(cli.bare("--db", old, "list"), "no backup can be written here", "it is as it was")
    assert old.read_bytes() == before


def test_36_the_newest_backup_is_damaged(cli: CommandLine) -> None:
    first = Path(cli.json("backup")["backup"])
    assert cli("add", "Hedge Rose").code == 0
    second = Path(cli.json("backup")["backup"])
    data = bytearray(second.read_bytes())
    data[len(data) // 2] ^= 1
    second.write_bytes(data)
    told = cli("verify", "--json")
    assert told.code == 1
    assert [one["where"] for one in told.json["troubles"]] == [f"the backup {second}"]
    assert told.json["backup"] == str(first), "the next one is offered"
    refused(cli("restore", second, "--yes"), "checksum differs", "the backup before it")
    cli.path.unlink()
    assert f'restore "{first}"' in cli("list").err
    assert cli("restore", first).code == 0
    assert cli("verify").code == 1, "the damaged one is still named"


def test_36_a_damaged_backup_never_counts(store: Store) -> None:
    fern(store, 9)
    made = backup.daily(store.path)
    assert made is not None
    store.used(1, inch(1))
    assert backup.daily(store.path) is None, "one a day"
    made.path.write_bytes(b"spoiled")
    again = backup.daily(store.path)
    assert again is not None
    assert fault_of(again.path) is None


class Typing(StringIO):
    """A terminal at which this is typed."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(("typed", "code"), [("n\n", 1), ("\n", 1), ("", 1), ("y\n", 0), (" Yes \n", 0)])
def test_35_a_person_is_asked(cli: CommandLine, monkeypatch: pytest.MonkeyPatch, typed: str, code: int) -> None:
    other = Path(cli.json("backup")["backup"])
    cli.json("add", "Hedge Rose")
    before = tables(cli.path)
    monkeypatch.setattr(sys, "stdin", Typing(typed))
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    said = cli("restore", other)
    assert said.code == code
    assert "(y/n)" in said.err
    assert (tables(cli.path) == before) == (code == 1)


def test_15_a_stash_that_was_there_is_not_made_anew(cli: CommandLine, monkeypatch: pytest.MonkeyPatch) -> None:
    """The interface makes the maker's own stash at the first start only."""
    own = Path(cli.bare("where", "--json").json["stash"])
    monkeypatch.setattr("stash.cli.interface.in_terminal", lambda: True)
    assert cli.bare("new", own).code == 0
    assert cli.bare("add", "Hedge Rose").code == 0
    made = cli.bare("backup", "--json").json["backup"]
    own.unlink()
    refused(cli.bare(), "no longer here", made)
    assert not own.exists()
    assert cli.bare("restore", made).code == 0
    assert [one["fabric"] for one in cli.bare("list", "--json").json] == ["Hedge Rose"]
