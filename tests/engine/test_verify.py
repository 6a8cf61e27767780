"""A look over a stash finds what is wrong, names it, and mends it only when asked."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection

from stash.inventory import copying
from stash.inventory.backup_files import backups_of
from stash.inventory.schema import TRIGGERS
from stash.inventory.store import Store
from stash.inventory.verify import COUNTED, Trouble, in_rows, verify
from stash.model import Colour, NewFabric
from tests.engine.conftest import CommandLine
from tests.engine.older_files import NOW, filled
from tests.engine.stashes import agrees, inch, photograph, piece, planned, raw, tables, two_row_star


def spoiled(path: Path, *statements: str) -> None:
    """Changed by another program that keeps no rules."""
    with raw(path) as conn:
        conn.execute("PRAGMA foreign_keys = OFF")
        conn.execute("PRAGMA ignore_check_constraints = ON")
        for (name,) in conn.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall():
            conn.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            conn.execute(statement)
        for statement in TRIGGERS.values():
            conn.execute(statement)


@pytest.fixture
def full(store: Store) -> Store:
    """A stash with something in every table."""
    two_row_star(store)
    store.add(NewFabric("Night", (piece(9), piece(7)), Colour(10, 0, 0), swatch=photograph()))
    store.set_value_by_eye(1, 40.5)
    store.keep_plan(1, 1, [planned(store.fabric("Moss"), 2)])
    store.book(1, [1])
    store.spoil(1, 1, 1)
    store.used(1, inch(5))
    store.undo()
    store.archive(2)
    store.used(3, None)
    return store


def test_a_stash_in_use_is_sound(full: Store) -> None:
    assert verify(full.path) == []
    before = full.path.read_bytes()
    verify(full.path)
    assert full.path.read_bytes() == before


def test_the_demo_is_sound(cli: CommandLine) -> None:
    assert cli.json("verify")["troubles"] == []


@pytest.mark.parametrize(
    ("statement", "where", "what"),
    [
        ("UPDATE piece SET length = length + 1 WHERE id = 1", 'piece 1 of "Fern"', "do not agree"),
        ("UPDATE piece SET rev = 9 WHERE id = 1", 'piece 1 of "Fern"', "do not agree"),
        ("UPDATE line SET length = length + 1 WHERE piece = 1 AND rev = 1", 'piece 1 of "Fern"', "does not add up"),
        ("UPDATE line SET width = width - 1 WHERE piece = 1 AND rev = 3", 'piece 1 of "Fern"', "does not add up"),
        ("DELETE FROM line WHERE piece = 1 AND rev = 2", 'piece 1 of "Fern"', "does not add up"),
        ("DELETE FROM line WHERE piece = 1", 'piece 1 of "Fern"', "history is missing"),
        ("UPDATE fabric SET washed = 1 WHERE id = 2", '"Moss"', "in washed"),
        ("UPDATE colour SET lightness = 11 WHERE id = 3", '"Night"', "in lightness"),
        ("DELETE FROM eye", '"Fern"', "all of it"),
        ("UPDATE star SET name = 'Morning'", 'row 1 of "star"', "in name"),
        ("UPDATE strip SET booked = NULL", 'of "strip"', "in booked"),
        ("UPDATE picture SET data = x'00'", 'the photograph of "Night"', "not as it was stored"),
        ("DELETE FROM thumbnail", 'the photograph of "Night"', "small picture is missing"),
        ("DELETE FROM fabric WHERE id = 1", 'row 1 of "piece"', 'row of "fabric"'),
    ],
)
def test_what_is_wrong_is_named(full: Store, statement: str, where: str, what: str) -> None:
    full.close()
    spoiled(full.path, statement)
    found = verify(full.path)
    assert [one for one in found if where in one.where and what in one.what], found


def test_a_missing_guard_is_named_and_made_again(full: Store, cli: CommandLine) -> None:
    with raw(full.path) as conn:
        conn.execute("DROP TRIGGER line_no_update")
        conn.execute("DROP TRIGGER op_no_delete")
        conn.execute("CREATE TRIGGER op_no_delete BEFORE DELETE ON op BEGIN SELECT 1; END")
    told = cli.bare("--db", full.path, "verify", "--json")
    assert told.code == 1
    troubles = [("op_no_delete" in one["what"], one["mendable"]) for one in told.json["troubles"]]
    assert troubles == [(True, True), (False, True)]
    mended = cli.bare("--db", full.path, "verify", "--repair", "--json")
    assert mended.code == 0
    assert len(mended.json["mended"]) == 2
    assert verify(full.path) == []


@pytest.mark.parametrize(
    ("statement", "length"),
    [
        ("UPDATE piece SET length = length + 12700 WHERE id = 1", 54),
        ("UPDATE piece SET rev = 9 WHERE id = 1", 54),
        ("UPDATE line SET length = length + 12700 WHERE piece = 1 AND rev = 3", 54),
        ("UPDATE line SET length = length + 12700 WHERE piece = 1 AND rev = 1", 54),
    ],
)
def test_a_piece_is_mended_by_a_counted_entry_only_when_asked(
    full: Store, cli: CommandLine, statement: str, length: int
) -> None:
    full.close()
    spoiled(full.path, statement)
    before = tables(full.path)
    assert cli.bare("--db", full.path, "verify").code == 1
    assert tables(full.path) == before
    mended = cli.bare("--db", full.path, "verify", "--repair")
    assert mended.code == 0, mended
    assert "what its history says" in mended.out
    assert verify(full.path) == []
    with Store.open(full.path) as store:
        assert store.fabric("Fern").pieces[0].length == inch(length)
        newest = store.history()[0]
        assert newest.kind == COUNTED
        assert 'piece 1 of "Fern"' in newest.text
        store.used(1, inch(1))
    assert verify(full.path) == []


def test_an_agreeing_stash_has_nothing_to_mend(full: Store, cli: CommandLine) -> None:
    before = tables(full.path)
    assert cli.bare("--db", full.path, "verify", "--repair").code == 0
    assert tables(full.path) == before
    agrees(full.path)


def test_what_is_left_after_a_repair_is_not_called_unchanged(full: Store, cli: CommandLine) -> None:
    full.close()
    longer = "UPDATE piece SET length = length + 12700 WHERE id = 1"
    spoiled(full.path, longer, "UPDATE fabric SET washed = 1 WHERE id = 2")
    looked = cli.bare("--db", full.path, "verify")
    assert looked.out.splitlines()[-1].startswith("2 troubles. Nothing was changed by looking; verify --repair")
    mended = cli.bare("--db", full.path, "verify", "--repair")
    assert mended.code == 1
    assert mended.out.splitlines()[-1].startswith("1 trouble left; ")


@pytest.mark.parametrize("version", range(1, NOW))
def test_an_older_stash_is_looked_over_and_stays_as_it_is(tmp_path: Path, version: int) -> None:
    path = tmp_path / "old.db"
    filled(path, version)
    before = path.read_bytes()
    assert verify(path) == []
    assert path.read_bytes() == before
    assert backups_of(path) == []


def saved_by_another(path: Path) -> None:
    """A save that may not wait."""
    with closing(sqlite3.connect(path, timeout=0, isolation_level=None)) as conn:
        conn.execute("UPDATE fabric SET place = place || 'x'")


def test_another_program_saves_while_a_stash_is_looked_over(full: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    full.close()
    came = []

    def meanwhile(conn: Connection) -> Iterator[Trouble]:
        conn.exec_driver_sql("SELECT count(*) FROM fabric").scalar_one()
        saved_by_another(full.path)
        came.append(True)
        return in_rows(conn)

    monkeypatch.setattr("stash.inventory.verify.in_rows", meanwhile)
    assert verify(full.path) == []
    assert came
    assert "x" in tables(full.path)["fabric"][0]


def test_where_there_is_no_room_for_a_copy_the_stash_itself_is_looked_over(
    full: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_room(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("stash.inventory.at_leisure.copying.copy_in_steps", no_room)
    assert verify(full.path) == []
    spoiled(full.path, "UPDATE fabric SET washed = 1 WHERE id = 2")
    assert len(verify(full.path)) == 1


class Meanwhile(sqlite3.Connection):
    """Another program saves after the first step of each copy, `saves` times."""

    saves = 0
    steps = 0

    def backup(self, target: sqlite3.Connection, *, progress: Any, **how: Any) -> None:  # type: ignore[override]
        def also(status: int, left: int, of: int) -> None:
            self.steps += 1
            if self.saves and left:
                self.saves -= 1
                saved_by_another(Path(self.execute("PRAGMA database_list").fetchone()[2]))
            progress(status, left, of)

        super().backup(target, progress=also, **how)


@pytest.mark.parametrize("saves", [0, 1, 2, 1_000])
def test_a_copy_is_whole_and_made_in_steps_whoever_saves_meanwhile(
    full: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, saves: int
) -> None:
    monkeypatch.setattr(copying, "_STEP", 1)
    copy = tmp_path / "copy.db"
    copy.touch()
    with closing(sqlite3.connect(full.path, factory=Meanwhile, isolation_level=None)) as conn:
        conn.saves = saves
        copying.copy_in_steps(conn, copy, full.path)
        assert conn.saves == 0 if saves < 1_000 else conn.saves > 900, "it comes to an end"
        assert conn.steps > 10 if saves < 1_000 else conn.steps > copying._STARTS
    assert tables(copy) == tables(full.path)
    copying.check_copy(copy, full.path)


def test_rescue_and_repair_are_two_things(cli: CommandLine) -> None:
    assert cli("verify", "--repair", "--rescue", "x.db").code == 2
