"""A kept plan is booked, strip by strip or all of it; not where a piece was changed since."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from stash.errors import Conflict, Fault, NotFound
from stash.inventory.store import Store
from stash.model import Cut, Way
from tests.engine.stashes import agrees, inch, planned, tables, two_row_star


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
