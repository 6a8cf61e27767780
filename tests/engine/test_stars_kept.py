"""Saved stars, their colourings and the plans of cuts kept for them."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from stash.errors import Conflict, Fault, NotFound, UsageFault
from stash.inventory.store import Store
from stash.model import Colouring, Star, Way
from tests.engine.stashes import STAR, planned, two_row_star

# --- stars


def test_a_star_comes_back_as_it_was_given(store: Store) -> None:
    star = Star(
        4, Fraction(11, 4), "ABCDCBA", Fraction(79, 2), Fraction(2), Fraction(3, 8), True,
        (Fraction(3), Fraction(13, 2)), "queen", Fraction(12), "cm", Fraction(41), Fraction(108),
    )  # fmt: skip
    for name, one in (("Plain", STAR), ("All", star)):
        assert store.save_star(name, one).star == one
    with Store.open(store.path) as again:
        assert [saved.star for saved in again.stars()] == [STAR, star]


def test_colourings_are_numbered_and_an_equal_one_adds_nothing(store: Store) -> None:
    saved = two_row_star(store)
    first = saved.colourings[0].colouring
    assert store.save_star("evening ", STAR, Colouring({"B": ("moss",), "A": ("FERN",)}, "moss")) == saved
    other = Colouring({"A": ("Moss",), "B": ("Fern", "Moss")})
    saved = store.save_star("Evening", STAR, other)
    assert [(one.number, one.colouring) for one in saved.colourings] == [(1, first), (2, other)]
    assert store.save_star("Evening", STAR) == saved
    with pytest.raises(Fault, match="different star"):
        store.save_star("Evening", replace(STAR, order="ABC"))
    saved = store.drop_colouring(saved.id, 1)
    assert [one.number for one in saved.colourings] == [2], "the others keep their numbers"
    saved = store.save_star("Evening", STAR, first)
    assert [one.number for one in saved.colourings] == [2, 3]
    with pytest.raises(NotFound, match="it has 2, 3"):
        store.drop_colouring(saved.id, 1)


def test_a_colouring_follows_a_fabric_that_is_renamed(store: Store) -> None:
    saved = two_row_star(store)
    store.edit(store.fabric("Fern").id, name="Bracken")
    assert store.star("Evening").colourings[0].colouring == Colouring({"A": ("Bracken",), "B": ("Moss",)}, "Moss")
    changed = store.replace_colouring(saved.id, 1, Colouring({"A": ("Moss", "Bracken")}, None))
    assert changed.colourings[0].colouring == Colouring({"A": ("Moss", "Bracken")}, None)


def test_a_colouring_that_does_not_fit_is_refused(store: Store) -> None:
    saved = two_row_star(store)
    for bad in (
        Colouring({"C": ("Fern",)}),
        Colouring({"A": ("Fern", "fern")}),
        Colouring({"A": ()}),
        Colouring({"A": ("Fern", "Moss", "Fern")}),
    ):
        with pytest.raises(UsageFault):
            store.replace_colouring(saved.id, 1, bad)
    for star in (replace(STAR, grid=14), replace(STAR, order="AB"), replace(STAR, strip=Fraction(0))):
        with pytest.raises(UsageFault):
            store.set_star(saved.id, star)
    assert store.star("Evening") == saved


def test_a_star_is_renamed_changed_and_dropped(store: Store) -> None:
    saved = two_row_star(store)
    store.save_star("Dawn", STAR)
    with pytest.raises(Fault, match="already"):
        store.rename_star(saved.id, "dawn")
    assert store.rename_star(saved.id, "Dusk").name == "Dusk"
    assert store.set_star(saved.id, replace(STAR, width=Fraction(42))).star.width == 42
    store.drop_star(saved.id)
    assert [one.name for one in store.stars()] == ["Dawn"]
    with pytest.raises(NotFound):
        store.drop_star(saved.id)


def test_letters_that_a_changed_star_lacks_come_back_with_it(store: Store) -> None:
    saved = two_row_star(store)
    one_letter = store.set_star(saved.id, replace(STAR, order="AAA"))
    assert one_letter.colourings[0].colouring == Colouring({"A": ("Fern",)}, "Moss")
    assert store.set_star(saved.id, STAR) == saved


def test_a_plan_that_is_begun_stays_while_no_strip_changes(store: Store) -> None:
    """The ground, the binding, a border or a bed change nothing of what is cut; another fabric or strip does."""
    saved = two_row_star(store)
    plan = store.keep_plan(saved.id, 1, [planned(store.fabric("Fern"), 3)])
    uses = saved.colourings[0].colouring.uses
    store.replace_colouring(saved.id, 1, Colouring(uses, ground="Fern"))
    assert store.open_plan(saved.id, 1) is None, "not begun, it is to be planned round the ground"
    assert "3 planned strips let go" in store.history()[0].text
    store.undo()
    store.book(plan.id, [plan.strips[0].id])
    store.replace_colouring(saved.id, 1, Colouring(uses, ground="Fern", binding="Moss", backing="Fern"))
    store.set_star(saved.id, replace(saved.star, borders=(Fraction(4),), bed="queen", width=Fraction(42)))
    assert len(store.plan(plan.id).strips) == 3
    store.set_star(saved.id, replace(saved.star, seam=Fraction(3, 8)))
    assert store.open_plan(saved.id, 1) is None
    assert "2 planned strips let go" in store.history()[0].text
    store.undo()
    store.replace_colouring(saved.id, 1, Colouring({"A": ("Moss",)}))
    assert store.open_plan(saved.id, 1) is None


def test_a_star_and_its_colouring_change_together(store: Store) -> None:
    saved = two_row_star(store)
    store.keep_plan(saved.id, 1, [planned(store.fabric("Fern"), 2)])
    entries = len(store.history())
    longer = replace(STAR, order="ABC")
    wanted = Colouring({"A": ("Fern",), "B": ("Fern",), "C": ("Moss",)})
    changed = store.set_star(saved.id, longer, number=1, colouring=wanted)
    assert (changed.star, changed.colourings[0].colouring) == (longer, wanted)
    assert store.open_plans() == []
    assert len(store.history()) == entries + 1
    store.undo()
    assert store.star("Evening") == saved
    assert len(store.open_plans()) == 1


# --- plans of cuts


def test_a_plan_comes_back_and_takes_the_place_of_one_not_cut(store: Store) -> None:
    saved = two_row_star(store)
    cuts = [planned(store.fabric("Fern"), 3), planned(store.fabric("Moss"), 2, Way.ALONG)]
    plan = store.keep_plan(saved.id, 1, cuts)
    assert (plan.star_id, plan.number) == (saved.id, 1)
    assert [one.cut for one in plan.strips] == [replace(cut, strips=(one,)) for cut in cuts for one in cut.strips]
    assert all(one.booked is None for one in plan.strips)
    entries = len(store.history())
    assert store.keep_plan(saved.id, 1, cuts) == plan == store.open_plan(saved.id, 1)
    assert len(store.history()) == entries
    other = store.keep_plan(saved.id, 1, cuts[:1])
    assert store.open_plans() == [other]
    assert other.id != plan.id
    store.undo()
    assert store.open_plans() == [plan]


def test_a_plan_is_let_go_when_its_colouring_changes(store: Store) -> None:
    saved = two_row_star(store)
    cuts = [planned(store.fabric("Fern"), 3)]
    store.keep_plan(saved.id, 1, cuts)
    store.replace_colouring(saved.id, 1, saved.colourings[0].colouring)
    assert store.open_plan(saved.id, 1) is not None, "nothing changed"
    store.replace_colouring(saved.id, 1, Colouring({"A": ("Moss",)}))
    assert store.open_plan(saved.id, 1) is None
    store.undo()
    assert store.open_plan(saved.id, 1) is not None
    assert store.let_go(saved.id, 1) is not None
    assert store.let_go(saved.id, 1) is None
    assert store.open_plans() == []


def test_a_plan_of_what_is_not_there_is_refused(store: Store) -> None:
    saved = two_row_star(store)
    good = planned(store.fabric("Fern"), 3)
    for bad in (
        replace(good, rev=7),
        replace(good, piece=99),
        replace(good, piece_length=good.piece_length + 1),
        replace(good, fabric_id=2),
    ):
        with pytest.raises(Conflict):
            store.keep_plan(saved.id, 1, [bad])
    with pytest.raises(UsageFault, match="do not fit"):
        store.keep_plan(saved.id, 1, [planned(store.fabric("Fern"), 22)])  # 1 + 22 x 2 1/2 = 56 in of 54
    with pytest.raises(UsageFault, match="no cuts"):
        store.keep_plan(saved.id, 1, [])
    with pytest.raises(NotFound):
        store.keep_plan(saved.id, 2, [good])
    assert store.open_plans() == []
