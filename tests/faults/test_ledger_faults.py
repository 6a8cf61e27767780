"""Faults of the ledger, one test a number: what is booked wrong, twice, from an old screen, or behind our back."""

from __future__ import annotations

import sqlite3
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest

from stash.errors import Conflict, Fault, UsageFault
from stash.inventory.store import Store
from stash.lengths import LONGEST_TICKS
from stash.model import Cut, NewFabric, NewPiece
from tests.engine.stashes import STAR, agrees, fern, full, inch, piece, raw, rows, tables, wrong
from tests.faults.telling import refused

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine


@pytest.mark.parametrize("width", [inch(40), inch(40) - 1])
def test_37_cut_longer_than_the_piece_or_of_nothing(store: Store, width: int) -> None:
    """A tick under, at and over each bound: 18 in x 40 in are there."""
    one = fern(store, 18)
    first, there = one.pieces[0].id, inch(18)
    for length in (there + 1, -1, 0, 2**70):
        with pytest.raises(UsageFault) as told:
            store.cut([Cut(one.id, first, 1, length, width)])
        assert "Fern" in told.value.line()
    for ticks in (there + 1, 0, -1, 2**70):
        with pytest.raises(Fault, match="Fern"):
            store.used(one.id, ticks)
    assert store.fabric("Fern") == one
    store.used(one.id, there - 1)
    assert store.fabric("Fern").pieces[0].length == 1
    store.used(one.id, 1)
    now = store.fabric("Fern")
    assert (now.pieces, now.recorded) == ((), True), "used up, which is not the same as not measured"
    agrees(store.path)


def test_37_as_it_is_typed(cli: CommandLine) -> None:
    cli.json("add", "Water Mint", "--length", "1/2 yd")
    for text in ("1 yd", "0 in", "-5 in", "18 1/64 in"):
        refused(cli, "used", "Water Mint", text)
    for strips in ("8", "0", "-1", "1e9"):
        refused(cli, "log", "--fabric", "Water Mint", "--strips", strips, "--strip", "2.5")
    cli.json("used", "Water Mint", "18 in")
    assert cli.sizes("Water Mint") == []
    refused(cli, "used", "Water Mint", "all", say=("there is nothing of Water Mint",))


def test_38_two_people_cut_the_same_piece_from_old_screens(store: Store) -> None:
    one = fern(store, 18)
    seen = one.pieces[0]
    with Store.open(store.path) as other:
        other.cut([Cut(one.id, seen.id, seen.rev, inch(13), inch(40))], uid="hers")
        with pytest.raises(Conflict, match="now it has 13 in x 40 in"):
            store.cut([Cut(one.id, seen.id, seen.rev, inch(10), inch(40))], uid="his")
        assert store.fabric("Fern") == other.fabric("Fern")
    assert store.fabric("Fern").pieces[0].length == inch(13)
    agrees(store.path)


def test_39_save_pressed_twice(cli: CommandLine) -> None:
    cli.json("add", "Water Mint", "--length", "1 yd")
    words = ("log", "--fabric", "Water Mint", "--strips", "2", "--strip", "2.5", "--uid", "monday-1")
    first = cli.json(*words)
    before = cli.path.read_bytes()
    assert cli.json(*words) == first
    assert cli.path.read_bytes() == before
    assert len([one for one in cli.json("history") if one["kind"] == "cut"]) == 1
    refused(cli, *words[:-1], "a\nb", say=("a uid has 1 to 200 ordinary characters",))


def test_40_undo_of_what_later_entries_build_on_and_undo_twice(store: Store) -> None:
    one = fern(store, 18)
    first, second = (store.used(one.id, inch(n)) for n in (1, 2))
    before = tables(store.path)
    with pytest.raises(Conflict) as told:
        store.undo(first.op)
    assert f"entry {second.op} (Used 2 in of Fern) builds on it; nothing was changed" in told.value.line()
    assert f"undo entry {second.op} first" in told.value.line()
    assert tables(store.path) == before
    counter = store.undo(second.op)
    for op, said in ((second.op, "undone already"), (counter.op, "itself an undo")):
        with pytest.raises(Conflict, match=said):
            store.undo(op)
    assert store.fabric("Fern").pieces[0].length == inch(17)
    agrees(store.path)


@pytest.mark.parametrize("table", ["op", "line", "change", "picture", "thumbnail"])
def test_41_the_ledger_changed_by_another_program(store: Store, table: str) -> None:
    """Its rows are refused a change through our own connection and through any other; a guard that is gone is told."""
    full(store)
    acts = [f"UPDATE {table} SET id = id + 100", f"REPLACE INTO {table} SELECT * FROM {table}"]
    if table in ("op", "line", "change"):
        acts.append(f"DELETE FROM {table}")
    before = tables(store.path, (table,))
    for act in acts:
        with raw(store.path) as conn, pytest.raises(sqlite3.IntegrityError):
            conn.execute(act)
        with pytest.raises(Fault, match="the stash refused this"), store.transactions.writing() as ours:
            ours.exec_driver_sql(act)
    assert tables(store.path, (table,)) == before
    assert wrong(store) == []
    with raw(store.path) as conn:
        conn.execute(f"DROP TRIGGER {table}_no_update")
    assert [said for said in wrong(store) if f'the guard "{table}_no_update"' in said and "is missing" in said]


def test_42_the_size_of_a_piece_and_the_ledger_disagree(store: Store) -> None:
    """Both sizes are told, by the name of the piece; nothing is set right unasked."""
    one = fern(store, 18)
    with raw(store.path) as conn:
        conn.execute("UPDATE piece SET length = ?", (inch(30),))
    (told,) = wrong(store)
    assert told.startswith('piece 1 of "Fern": ')
    assert told.endswith("the stash says 30 in x 40 in, its history 18 in x 40 in")
    assert store.fabric("Fern").pieces[0].length == inch(30)
    with raw(store.path) as conn:
        conn.execute("UPDATE piece SET length = ?", (inch(18),))
    assert wrong(store) == []
    assert store.fabric("Fern") == one


def test_43_a_stock_take_finished_twice_or_by_two(store: Store) -> None:
    one = fern(store, 36, 18)
    counted = [piece(33), piece(18)]
    first = store.count(one.id, counted, uid="take")
    assert store.count(one.id, counted, uid="take") == first
    after = store.fabric("Fern")
    assert [p.length for p in after.pieces] == [inch(33), inch(18)]
    with Store.open(store.path) as other:
        second = other.count(one.id, counted, uid="hers")
    assert second.text == "Counted Fern: expected 2 pieces, 51 in in all, measured 2 pieces, 51 in in all"
    assert store.fabric("Fern") == after
    assert len(store.history()) == 3
    agrees(store.path)


def test_44_deleting_a_fabric_that_has_pieces_or_entries(store: Store) -> None:
    one = fern(store, 18)
    store.save_star("Evening", STAR)
    for act in ("DELETE FROM fabric", "DELETE FROM piece", "DELETE FROM fabric WHERE id = 1"):
        with pytest.raises(Fault, match="FOREIGN KEY"), store.transactions.writing() as conn:
            conn.exec_driver_sql(act)
    assert store.fabric("Fern") == one
    store.archive(one.id)
    assert store.fabrics() == []
    assert store.fabric("Fern").pieces == one.pieces
    agrees(store.path)


def test_45_sizes_whose_areas_pass_64_bits(store: Store) -> None:
    """100 m by 100 m is (32,000,000 ticks)^2 = 1.024e15 square ticks, so 10,000 of them pass 2^63 (9.22e18)."""
    from stash.shelf import yards_on_hand

    largest = NewPiece(piece().kind, LONGEST_TICKS, LONGEST_TICKS)
    one = store.add(NewFabric("Fern", (largest,) * 1000))
    for _ in range(9):
        store.bought(one.id, [largest] * 1000)
    now = store.fabric("Fern")
    assert sum(p.length * p.width for p in now.pieces) == 10_000 * LONGEST_TICKS**2 > 2**63
    # yardage counts by its length: 1,000 km in yards of 0.9144 m (yard and pound agreement of 1959), down to 1/8
    assert yards_on_hand(now) == Fraction(10_000_000_000 * 8 // 9144, 8)
    for table, columns in (("piece", "length, width"), ("line", "length, width, taken")):
        for column in columns.split(", "):
            kinds = rows(store.path, f"SELECT DISTINCT typeof({column}) FROM {table}")
            assert kinds == [("integer",)]
    with pytest.raises(UsageFault, match="up to 100 m"):
        store.bought(one.id, [NewPiece(piece().kind, LONGEST_TICKS + 1, 1)])
    agrees(store.path)
