"""The ledger: cuts, lengths used, purchases, stock-takes, and the same request twice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from stash.errors import Conflict, Fault, NotFound, UsageFault
from stash.inventory.store import Store
from stash.model import Colour, Colouring, Cut, Kind, NewFabric
from tests.engine.stashes import STAR, agrees, fern, inch, piece, planned, tables, two_row_star

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
    entry = store.cut([Cut(one.id, one.pieces[0].id, 1, 0, 0)], "Sewed it up")
    assert (entry.kind, entry.text) == ("cut", "Sewed it up")
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


# --- the same uid again


def test_the_same_uid_again_adds_nothing(store: Store) -> None:
    saved = two_row_star(store)
    one = store.fabric("Fern")
    plan = store.keep_plan(saved.id, 1, [planned(one, 3)], uid="plan")
    fabric_calls: list[Callable[[str], object]] = [
        lambda uid: store.add(NewFabric("Bracken", (piece(),)), uid=uid),
        lambda uid: store.edit(one.id, place="box", uid=uid),
        lambda uid: store.edit(one.id, colour=Colour(50, 0, 0), uid=uid),
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
    for uid in ("", "x" * 201, "a\0b", "a\nb", "\udc80", "\u202e"):
        with pytest.raises(UsageFault):
            store.add(NewFabric("Fern"), uid=uid)
    assert store.fabrics() == []
