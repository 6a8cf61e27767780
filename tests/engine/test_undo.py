"""Undo: everything comes back, or the later entries that build on it are named. Reading the history."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from stash.errors import Conflict, Fault, NotFound
from stash.inventory.store import Store
from stash.model import Colour, Colouring, NewFabric
from tests.engine.stashes import (
    STAR,
    agrees,
    fern,
    inch,
    piece,
    planned,
    restored,
    two_row_star,
    visible,
)

# --- undo


def test_undo_goes_back_one_by_one_and_then_says_so(store: Store) -> None:
    two_row_star(store)
    seen = [restored(store.path)]
    acts: list[Callable[[], object]] = [
        lambda: store.used(1, inch(5)),
        lambda: store.edit(1, name="Bracken", washed=True),
        lambda: store.set_value_by_eye(1, 40),
        lambda: store.set_value_by_eye(1, None),
        lambda: store.edit(2, colour=Colour(30, 1, 1, "measured")),
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
