"""The history: cuts, lengths used, stock-takes, bookings of a plan, undo, and what nobody may do to it."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from stash.errors import Conflict, Fault, NotFound, UsageFault
from stash.inventory.store import Store
from stash.model import Colour, Colouring, Cut, Kind, NewFabric, Way
from tests.engine.stashes import (
    STAR,
    agrees,
    fern,
    inch,
    piece,
    planned,
    raw,
    restored,
    tables,
    two_row_star,
    visible,
)

# --- cuts


def test_a_cut_keeps_what_is_left_and_the_areas_add_up(store: Store) -> None:
    one = fern(store, 18)
    entry = store.cut([Cut(one.id, one.pieces[0].id, 1, inch(13), inch(40), "row D")])
    left = store.fabric("Fern").pieces[0]
    assert (left.length, left.width, left.rev, left.cut_before) == (inch(13), inch(40), 2, True)
    assert entry.text == "Cut Fern, 18 in x 40 in: 13 in x 40 in left (row D)"
    assert [row[-1] for row in tables(store.path)["line"]] == [-inch(18) * inch(40), inch(5) * inch(40)]
    agrees(store.path)


def test_a_cut_of_exactly_all_uses_the_piece_up(store: Store) -> None:
    one = fern(store, 18, 9)
    entry = store.cut([Cut(one.id, one.pieces[0].id, 1, 0, 0)], "Sewed it up", kind="log")
    assert (entry.kind, entry.text) == ("log", "Sewed it up")
    assert [p.length for p in store.fabric("Fern").pieces] == [inch(9)]
    agrees(store.path)


@pytest.mark.parametrize(
    ("length", "width", "said"),
    [
        (inch(18) + 1, inch(40), "more is kept"),
        (inch(18), inch(40) + 1, "more is kept"),
        (inch(18), inch(40), "nothing is taken"),
        (-1, inch(40), "less than nothing"),
        (inch(18), -1, "less than nothing"),
        (0, inch(40), "both a length and a width"),
        (inch(18), 0, "both a length and a width"),
        (2**70, inch(40), "more is kept"),
    ],
)
def test_a_cut_that_cannot_be_is_refused(store: Store, length: int, width: int, said: str) -> None:
    """One tick under, at and over each bound: 18 in x 40 in are there."""
    one = fern(store, 18)
    before = tables(store.path)
    with pytest.raises(UsageFault, match=said):
        store.cut([Cut(one.id, one.pieces[0].id, 1, length, width)])
    assert tables(store.path) == before


def test_a_cut_of_one_tick_is_a_cut(store: Store) -> None:
    one = fern(store, 18)
    store.cut([Cut(one.id, one.pieces[0].id, 1, inch(18) - 1, inch(40))])
    store.cut([Cut(one.id, one.pieces[0].id, 2, 1, 1)])
    assert (store.fabric("Fern").pieces[0].length, store.fabric("Fern").pieces[0].width) == (1, 1)
    agrees(store.path)


def test_cuts_of_several_pieces_are_one_entry_or_none(store: Store) -> None:
    one = fern(store, 18, 9)
    first, second = (p.id for p in one.pieces)
    before = tables(store.path)
    with pytest.raises(UsageFault):
        store.cut([Cut(one.id, first, 1, inch(1), inch(1)), Cut(one.id, second, 1, inch(99), inch(1))])
    with pytest.raises(UsageFault, match="twice"):
        store.cut([Cut(one.id, first, 1, inch(2), inch(1)), Cut(one.id, first, 1, inch(1), inch(1))])
    with pytest.raises(UsageFault, match="nothing is said"):
        store.cut([])
    assert tables(store.path) == before
    store.cut([Cut(one.id, first, 1, inch(1), inch(1)), Cut(one.id, second, 1, 0, 0)])
    assert len(store.history()) == 2
    store.undo()
    assert [(p.id, p.length) for p in store.fabric("Fern").pieces] == [(first, inch(18)), (second, inch(9))]


def test_two_people_cut_the_same_piece_from_old_screens(store: Store) -> None:
    one = fern(store, 18)
    with Store.open(store.path) as other:
        other.cut([Cut(one.id, one.pieces[0].id, 1, inch(12), inch(40))])
        with pytest.raises(Conflict) as late:
            store.cut([Cut(one.id, one.pieces[0].id, 1, inch(10), inch(40))])
    assert "Fern" in late.value.line()
    assert "12 in x 40 in" in late.value.line()
    for wrong in (Cut(one.id, 99, 1, 0, 0), Cut(99, one.pieces[0].id, 2, 0, 0)):
        with pytest.raises(Fault):
            store.cut([wrong])
    assert store.fabric("Fern").pieces[0].length == inch(12)
    agrees(store.path)


def test_the_guarded_update_itself_refuses_a_piece_changed_since(store: Store) -> None:
    """Below all checks: a state seen as rev 1 does not overwrite rev 2, even inside the writer's transaction."""
    from stash.inventory.cutting import state_of
    from stash.inventory.ledger import Book

    one = fern(store, 18)
    seen = one.pieces[0]
    store.used(one.id, inch(1))

    def act() -> None:
        with store.transactions.writing() as conn:
            book = Book(conn, "cut")
            book.set_piece(seen.id, seen.rev, state_of(seen), replace(state_of(seen), length=5))
            book.finish("from an old screen")

    before = tables(store.path)
    with pytest.raises(Conflict, match="17 in x 40 in"):
        act()
    assert tables(store.path) == before


# --- lengths used, purchases, stock-takes


@pytest.mark.parametrize(
    ("there", "used", "left"),
    [
        ((18, 9, 36), 8, [18, 1, 36]),  # the smallest that is long enough
        ((18, 9, 36), 9, [18, 36]),
        ((18, 9, 36), 10, [8, 9, 36]),
        ((18, 9, 36), 36, [18, 9]),
        ((18, 9, 36), 40, [18, 5]),  # none is: the longest, then again
        ((18, 9, 36), 60, [3]),
        ((18, 9, 36), 63, []),
        ((9, 9), 9, [9]),
    ],
)
def test_a_length_is_used_from_the_smallest_piece_that_serves(
    store: Store, there: tuple[int, ...], used: int, left: list[int]
) -> None:
    one = fern(store, *there)
    entry = store.used(one.id, inch(used))
    assert [p.length for p in store.fabric("Fern").pieces] == [inch(n) for n in left]
    assert entry.text == f"Used {'all' if not left else f'{used} in'} of Fern"
    agrees(store.path)
    store.undo()
    assert [p.length for p in store.fabric("Fern").pieces] == [inch(n) for n in there]


def test_more_than_there_is_cannot_be_used(store: Store) -> None:
    one = fern(store, 18, 9)
    before = tables(store.path)
    with pytest.raises(Fault, match="there is 27 in"):
        store.used(one.id, inch(27) + 1)
    for nothing in (0, -1):
        with pytest.raises(UsageFault):
            store.used(one.id, nothing)
    assert tables(store.path) == before
    store.used(one.id, None)
    with pytest.raises(Fault, match="nothing of Fern"):
        store.used(one.id, None)


def test_what_is_bought_is_a_piece_of_its_own(store: Store) -> None:
    one = fern(store, 18)
    entry = store.bought(one.id, [piece(36), piece(18, 21, Kind.FAT_QUARTER)])
    assert entry.text == "Bought Fern: 2 pieces, 54 in in all"
    assert [p.length for p in store.fabric("Fern").pieces] == [inch(18), inch(36), inch(18)]
    with pytest.raises(UsageFault):
        store.bought(one.id, [])
    with pytest.raises(NotFound):
        store.bought(99, [piece()])
    agrees(store.path)


def test_a_stock_take_books_expected_and_measured(store: Store) -> None:
    one = fern(store, 36, 18, 9)
    entry = store.count(one.id, [piece(18), piece(33), piece(10, 12, Kind.SCRAP)])
    assert entry.text == "Counted Fern: expected 3 pieces, 63 in in all, measured 3 pieces, 61 in in all"
    now = {p.id: (p.kind, p.length) for p in store.fabric("Fern").pieces}
    a, b, _ = (p.id for p in one.pieces)
    assert now[b] == (Kind.YARDAGE, inch(18)), "the one alike stays"
    assert now[a] == (Kind.YARDAGE, inch(33)), "the oldest of the kind is the one measured anew"
    assert sorted(now.values()) == sorted(
        [(Kind.YARDAGE, inch(18)), (Kind.YARDAGE, inch(33)), (Kind.SCRAP, inch(10))]
    )
    agrees(store.path)
    store.undo()
    assert [(p.id, p.length) for p in store.fabric("Fern").pieces] == [(p.id, p.length) for p in one.pieces]


def test_a_stock_take_that_finds_all_as_expected_is_on_record(store: Store) -> None:
    one = fern(store, 36)
    entry = store.count(one.id, [piece(36)], uid="count")
    assert entry.text == "Counted Fern: expected 36 in x 40 in, measured 36 in x 40 in"
    assert store.count(one.id, [piece(36)], uid="count") == entry
    assert store.fabric("Fern") == one
    assert store.undo().undo_of == entry.op
    store.count(one.id, [])
    assert store.fabric("Fern").pieces == ()


def test_a_stock_take_makes_a_guess_certain(store: Store) -> None:
    one = store.add(NewFabric("Moss", (piece(11, estimated=True),)))
    store.count(one.id, [piece(11)])
    assert not store.fabric("Moss").pieces[0].estimated


# --- booking a plan


def test_a_plan_is_booked_strip_by_strip(store: Store) -> None:
    """54 in of Fern: 1 in to straighten, then 2 1/2 in a strip."""
    saved = two_row_star(store)
    cuts = [planned(store.fabric("Fern"), 3), planned(store.fabric("Moss"), 2, Way.ALONG)]
    plan = store.keep_plan(saved.id, 1, cuts)
    ids = [one.id for one in plan.strips]

    entry = store.book(plan.id, [ids[0]])
    assert entry.text == "Cut 1 strip for Evening, colouring 1, from Fern"
    assert store.fabric("Fern").pieces[0].length == inch("50.5")
    assert store.fabric("Fern").pieces[0].cut_before
    assert [one.booked for one in store.open_plans()[0].strips] == [entry.op, None, None, None, None]

    last = store.book(plan.id)
    assert last.text == "Cut 4 strips for Evening, colouring 1, from Fern, Moss"
    assert store.fabric("Fern").pieces[0].length == inch("45.5"), "straightened once"
    moss = store.fabric("Moss").pieces[0]
    assert (moss.length, moss.width) == (inch(53), inch(35)), "along: off the width"
    assert store.open_plan(saved.id, 1) is None
    agrees(store.path)

    with pytest.raises(Fault, match="booked already"):
        store.book(plan.id)
    with pytest.raises(Conflict, match=f"entry {last.op}"):
        store.book(plan.id, [ids[1]])
    store.undo()
    store.undo()
    assert [one.booked for one in store.open_plans()[0].strips] == [None] * 5
    assert store.fabric("Fern").pieces[0].length == inch(54)
    store.book(plan.id)  # what was undone can be booked again
    assert store.fabric("Fern").pieces[0].length == inch("45.5")
    agrees(store.path)


def test_a_plan_that_takes_all_uses_the_piece_up(store: Store) -> None:
    """1 in and 21 strips of 2 1/2 in are 53 1/2 in; straightening by 1 1/2 makes it 54."""
    saved = two_row_star(store)
    cut = replace(planned(store.fabric("Fern"), 21), trim_length=inch("1.5"))
    store.book(store.keep_plan(saved.id, 1, [cut]).id)
    assert store.fabric("Fern").pieces == ()
    agrees(store.path)


@pytest.mark.parametrize("touch", ["used", "cut", "count"])
def test_a_piece_changed_since_is_not_booked(store: Store, touch: str) -> None:
    saved = two_row_star(store)
    one = store.fabric("Fern")
    plan = store.keep_plan(saved.id, 1, [planned(store.fabric("Moss"), 2), planned(one, 3)])
    touches: dict[str, Callable[[], object]] = {
        "used": lambda: store.used(one.id, inch(3)),
        "cut": lambda: store.cut([Cut(one.id, one.pieces[0].id, 1, inch(54), inch(30))]),
        "count": lambda: store.count(one.id, []),
    }
    touches[touch]()
    before = tables(store.path)
    with pytest.raises(Conflict) as refused:
        store.book(plan.id)
    assert "Fern" in refused.value.line()
    assert f"piece {one.pieces[0].id}" in refused.value.line()
    assert tables(store.path) == before, "Moss is not booked either"
    store.undo()
    store.book(plan.id)
    assert store.fabric("Fern").pieces[0].length == inch("45.5")


def test_a_piece_changed_between_two_bookings_is_not_booked(store: Store) -> None:
    saved = two_row_star(store)
    plan = store.keep_plan(saved.id, 1, [planned(store.fabric("Fern"), 3)])
    store.book(plan.id, [plan.strips[0].id])
    store.used(store.fabric("Fern").id, inch(1))
    with pytest.raises(Conflict, match="Fern"):
        store.book(plan.id)
    with pytest.raises(NotFound):
        store.book(plan.id, [99])
    with pytest.raises(NotFound):
        store.book(99)
    with pytest.raises(Conflict, match="cut already"):
        store.keep_plan(saved.id, 1, [planned(store.fabric("Moss"), 1)])
    assert store.let_go(saved.id, 1) is not None
    store.keep_plan(saved.id, 1, [planned(store.fabric("Moss"), 1)])
    agrees(store.path)


# --- the same uid again


def test_the_same_uid_again_adds_nothing(store: Store) -> None:
    saved = two_row_star(store)
    one = store.fabric("Fern")
    plan = store.keep_plan(saved.id, 1, [planned(one, 3)], uid="plan")
    fabric_calls: list[Callable[[str], object]] = [
        lambda uid: store.add(NewFabric("Bracken", (piece(),)), uid=uid),
        lambda uid: store.edit(one.id, place="box", uid=uid),
        lambda uid: store.set_colour(one.id, Colour(50, 0, 0), uid=uid),
        lambda uid: store.set_value_by_eye(one.id, 51, uid=uid),
        lambda uid: store.archive(one.id, uid=uid),
        lambda uid: store.bought(one.id, [piece()], uid=uid),
        lambda uid: store.book(plan.id, [plan.strips[0].id], uid=uid),
        lambda uid: store.used(one.id, inch(2), uid=uid),
        lambda uid: store.save_star("Evening", STAR, Colouring({"A": ("Moss",)}), uid=uid),
        lambda uid: store.replace_colouring(saved.id, 2, Colouring({"A": ("Fern",)}), uid=uid),
        lambda uid: store.set_star(saved.id, replace(STAR, order="ABC"), uid=uid),
        lambda uid: store.rename_star(saved.id, "Dusk", uid=uid),
        lambda uid: store.undo(uid=uid),
        lambda uid: store.drop_star(saved.id, uid=uid),
    ]
    for number, call in enumerate(fabric_calls):
        first = call(f"u{number}")
        rows = tables(store.path)
        assert call(f"u{number}") == first
        with Store.open(store.path) as other:
            assert other.history(limit=1)[0].uid == f"u{number}"
        assert tables(store.path) == rows
    agrees(store.path)


def test_a_uid_of_no_use_is_refused(store: Store) -> None:
    for uid in ("", "x" * 201):
        with pytest.raises(UsageFault):
            store.add(NewFabric("Fern"), uid=uid)
    assert store.fabrics() == []


# --- undo


def test_undo_goes_back_one_by_one_and_then_says_so(store: Store) -> None:
    two_row_star(store)
    seen = [restored(store.path)]
    acts: list[Callable[[], object]] = [
        lambda: store.used(1, inch(5)),
        lambda: store.edit(1, name="Bracken", washed=True),
        lambda: store.set_value_by_eye(1, 40),
        lambda: store.set_value_by_eye(1, None),
        lambda: store.set_colour(2, Colour(30, 1, 1, "measured")),
        lambda: store.archive(2),
        lambda: store.count(1, [piece(3), piece(4)]),
        lambda: store.save_star("Evening", STAR, Colouring({"A": ("Moss",)})),
        lambda: store.replace_colouring(1, 1, Colouring({"A": ("Moss", "Bracken"), "B": ("Bracken",)})),
        lambda: store.keep_plan(1, 2, [planned(store.fabric("Moss"), 2)]),
        lambda: store.book(1, [1]),
        lambda: store.drop_colouring(1, 2),
        lambda: store.rename_star(1, "Dusk"),
        lambda: store.set_star(1, replace(STAR, order="ABC", small_runs=True)),
        lambda: store.drop_star(1),
        lambda: store.add(NewFabric("Fern", (piece(),), Colour(1, 2, 3))),
    ]
    for act in acts:
        act()
        seen.append(restored(store.path))
    for expected in reversed(seen[:-1]):
        entry = store.undo()
        assert entry.kind == "undo"
        assert entry.undo_of is not None
        assert restored(store.path) == expected
        agrees(store.path)
    for _ in range(3):
        store.undo()  # the star and the two fabrics
    assert visible(store) == ([], [], [])
    with pytest.raises(Fault, match="nothing to undo"):
        store.undo()
    undone = [entry for entry in store.history() if entry.undo_of is None]
    assert all(entry.undone for entry in undone)
    assert store.add(NewFabric("Fern")).name == "Fern", "the name is free again"


def test_undo_twice_and_undo_of_an_undo_are_refused(store: Store) -> None:
    one = fern(store, 18)
    used = store.used(one.id, inch(5))
    undo = store.undo(used.op)
    assert (undo.undo_of, undo.text) == (used.op, f"Undid entry {used.op}: Used 5 in of Fern")
    for op, said in ((used.op, "undone already"), (undo.op, "itself an undo")):
        with pytest.raises(Conflict, match=said):
            store.undo(op)
    with pytest.raises(NotFound):
        store.undo(99)
    assert [entry.undone for entry in store.history()] == [False, True, False]


def test_undo_is_refused_while_later_entries_build_on_it_and_names_them(store: Store) -> None:
    one = fern(store, 18)
    first, second, third = (store.used(one.id, inch(n)) for n in (1, 2, 3))
    elsewhere = store.add(NewFabric("Moss", (piece(),)))
    with pytest.raises(Conflict) as refused:
        store.undo(first.op)
    said = refused.value.line()
    assert f"entry {second.op} (Used 2 in of Fern)" in said
    assert f"entry {third.op} (Used 3 in of Fern)" in said
    assert "Moss" not in said
    store.undo(third.op)
    store.undo(second.op)
    store.undo(first.op)
    assert store.fabric("Fern").pieces[0].length == inch(18)
    assert store.fabric("Moss") == elsewhere
    agrees(store.path)


def test_other_fields_of_a_row_do_not_build_on_each_other(store: Store) -> None:
    one = fern(store)
    place = store.edit(one.id, place="box")
    store.edit(one.id, note="soft")
    first = store.history()[1]
    store.undo(first.op)
    assert (store.fabric("Fern").place, store.fabric("Fern").note) == ("", "soft")
    assert place.place == "box"
    store.edit(one.id, place="shelf")
    store.edit(one.id, place="box")
    with pytest.raises(Conflict, match="place"):
        store.undo(store.history()[1].op)


def op_of(store: Store, act: Callable[[], object]) -> int:
    act()
    return store.history(limit=1)[0].op


def test_undo_of_what_others_belong_to_is_refused(store: Store) -> None:
    added = op_of(store, lambda: store.add(NewFabric("Fern")))
    bought = op_of(store, lambda: store.bought(1, [piece(54)]))
    with pytest.raises(Conflict, match="Recorded Fern"):
        store.undo(added)
    star = op_of(store, lambda: store.save_star("Evening", STAR))
    coloured = op_of(store, lambda: store.save_star("Evening", STAR, Colouring({"A": ("Fern",)})))
    with pytest.raises(Conflict, match="colouring 1"):
        store.undo(star)
    op_of(store, lambda: store.keep_plan(1, 1, [planned(store.fabric("Fern"), 1)]))
    for op in (bought, coloured):
        with pytest.raises(Conflict, match="Kept the plan"):
            store.undo(op)
    store.undo()
    store.undo(coloured)
    store.undo(star)
    eye = op_of(store, lambda: store.set_value_by_eye(1, 50))
    store.undo(bought)
    with pytest.raises(Conflict, match="by eye"):
        store.undo(added)
    store.undo(eye)
    store.undo(added)
    assert visible(store) == ([], [], [])


def test_what_was_dropped_does_not_come_back_to_a_parent_that_is_gone(store: Store) -> None:
    saved = two_row_star(store)
    dropped = op_of(store, lambda: store.drop_colouring(saved.id, 1))
    gone = op_of(store, lambda: store.drop_star(saved.id))
    with pytest.raises(Conflict, match=f"entry {gone} "):
        store.undo(dropped)
    store.undo(gone)
    store.undo(dropped)
    assert store.stars() == [saved]


def test_what_was_dropped_does_not_come_back_under_a_name_that_is_taken(store: Store) -> None:
    saved = two_row_star(store)
    dropped = op_of(store, lambda: store.drop_star(saved.id))
    taken = op_of(store, lambda: store.save_star("Evening", STAR))
    renamed = op_of(store, lambda: store.edit(1, name="Bracken"))
    added = op_of(store, lambda: store.add(NewFabric("Fern")))
    for op, later in ((dropped, taken), (renamed, added)):
        with pytest.raises(Conflict, match=f"entry {later} "):
            store.undo(op)
    store.undo(added)
    store.undo(renamed)
    store.undo(taken)
    store.undo(dropped)
    assert store.stars() == [saved]
    numbered = op_of(store, lambda: store.drop_colouring(saved.id, 1))
    again = op_of(store, lambda: store.save_star("Evening", STAR, Colouring({"A": ("Moss",)})))
    with pytest.raises(Conflict, match=f"entry {again} "):
        store.undo(numbered)


def test_what_was_dropped_comes_back_beside_what_was_saved_since(store: Store) -> None:
    """The new star, colouring and plan have ids of their own, though the dropped ones were the highest."""
    saved = two_row_star(store)
    plan = store.keep_plan(saved.id, 1, [planned(store.fabric("Fern"), 2)])
    dropped = op_of(store, lambda: store.drop_star(saved.id))
    dawn = store.save_star("Dawn", STAR, Colouring({"A": ("Moss",)}))
    other = store.keep_plan(dawn.id, 1, [planned(store.fabric("Moss"), 2)])
    store.undo(dropped)
    assert store.stars() == [saved, dawn]
    assert store.open_plans() == [other, plan]


# --- reading the history


def test_the_history_goes_from_the_newest_back(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    one = fern(store, 18)
    store.add(NewFabric("Moss", (piece(),)))

    class Yesterday:
        @staticmethod
        def now(zone: object) -> object:
            from datetime import UTC, datetime

            return datetime(2001, 2, 3, 4, 5, 6, tzinfo=UTC)

    monkeypatch.setattr("stash.inventory.ledger.datetime", Yesterday)  # a clock that was set back
    back = store.used(one.id, inch(1))
    assert back.at == "2001-02-03T04:05:06Z"
    monkeypatch.undo()
    store.edit(one.id, note="soft")
    store.set_value_by_eye(one.id, 40)
    every = store.history()
    assert [entry.op for entry in every] == [5, 4, 3, 2, 1]
    assert [entry.op for entry in store.history(limit=2)] == [5, 4]
    assert [entry.op for entry in store.history(limit=2, before=4)] == [3, 2]
    assert [entry.op for entry in store.history(fabric_id=one.id)] == [5, 4, 3, 1]
    assert [entry.op for entry in store.history(fabric_id=2)] == [2]
    assert store.undo().undo_of == 5, "the order is that of the entries, whatever the clock says"


# --- nobody changes the history


@pytest.mark.parametrize("table", ["op", "line", "change"])
@pytest.mark.parametrize(
    "act",
    ["UPDATE {0} SET id = id", "DELETE FROM {0}", "REPLACE INTO {0} SELECT * FROM {0}"],
)
def test_the_history_is_only_ever_added_to(store: Store, table: str, act: str) -> None:
    fern(store, 18)
    before = tables(store.path)
    with raw(store.path) as conn, pytest.raises(sqlite3.IntegrityError, match="only ever added to"):
        conn.execute(act.format(table))
    with pytest.raises(Fault, match="only ever added to"), store.transactions.writing() as conn:
        conn.exec_driver_sql(act.format(table))
    assert tables(store.path) == before


@pytest.mark.parametrize(
    "act",
    [
        "DELETE FROM fabric",
        "DELETE FROM piece",
        "UPDATE fabric SET id = 99",
        "INSERT INTO piece VALUES (9, 99, 'yardage', 1, 1, 'here', 0, 0, 1)",
        "INSERT INTO piece VALUES (9, 1, 'rag', 1, 1, 'here', 0, 0, 1)",
        "INSERT INTO piece VALUES (9, 1, 'yardage', 0, 1, 'here', 0, 0, 1)",
        "INSERT INTO piece VALUES (9, 1, 'yardage', 1.5, 1, 'here', 0, 0, 1)",
        "INSERT INTO piece VALUES (9, 1, 'yardage', '1 in', 1, 'here', 0, 0, 1)",
        "INSERT INTO piece VALUES (9, 1, 'yardage', NULL, 1, 'here', 0, 0, 1)",
        "INSERT INTO piece VALUES (9, 1, 'yardage', 1, 1, 'used up', 0, 0, 1)",
        "UPDATE fabric SET washed = 2",
        "UPDATE fabric SET name = ''",
        "UPDATE colour SET lightness = 101",
        "INSERT INTO line SELECT 9, op, piece, rev, kind, length, width, state, 0, 0, taken FROM line",
        "INSERT INTO op SELECT 9, uid, kind, at, note, NULL FROM op",
        "INSERT INTO op VALUES (9, 'new', 'cut', 'yesterday', '', NULL)",
        "INSERT INTO fabric SELECT 9, name, name_key, 0, 0, '', '', '', '', 0, 0 FROM fabric",
    ],
)
def test_the_tables_refuse_what_is_none(store: Store, act: str) -> None:
    fern(store, 18)
    with pytest.raises(Fault), store.transactions.writing() as conn:
        conn.exec_driver_sql(act)
    assert store.fabric("Fern").pieces[0].length == inch(18)
    agrees(store.path)


# --- killed, or stopped by an error, in the middle

WORKER = """
import os, sys
from stash.inventory.store import Store
from stash.lengths import to_ticks
from fractions import Fraction
store = Store.open(sys.argv[1])
for n in range(10_000):
    store.used(1, to_ticks(Fraction(1, 8)), uid=f"k{n}")
    print(n, flush=True)
"""


@pytest.mark.skipif(os.name != "posix", reason="SIGKILL is a thing of POSIX")
@pytest.mark.parametrize("after", [0, 3, 7])
def test_a_program_killed_while_saving_leaves_a_whole_stash(store: Store, after: int) -> None:
    """Killed right behind an answer: all that was said to be saved is there, at most the next one too."""
    fern(store, 3000)
    store.close()
    with subprocess.Popen(
        [sys.executable, "-c", WORKER, str(store.path)], stdout=subprocess.PIPE, text=True, cwd=Path.cwd()
    ) as worker:
        assert worker.stdout is not None
        for _ in range(after + 1):
            said = int(worker.stdout.readline())
        worker.send_signal(signal.SIGKILL)
        rest = worker.stdout.read().split()
    said = int(rest[-1]) if rest else said
    with Store.open(store.path) as again:
        booked = [entry for entry in again.history(limit=20_000) if entry.kind == "used"]
        assert len(booked) in (said + 1, said + 2)
        left = again.fabric("Fern").pieces[0].length
        assert left == inch(3000) - len(booked) * inch("1/8")
        agrees(store.path)
        again.used(1, inch("1/8"), uid=f"k{said}")  # the retry of the last one that was told
        assert again.fabric("Fern").pieces[0].length == left
