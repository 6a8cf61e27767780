"""A kept plan is let go where its strips, or the cloth that it was planned round, are no longer what is wanted."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import pytest

from stash.inventory.store import Store
from stash.match.coverage import check
from stash.model import Colouring, NewFabric, SavedStar, Star, StoredPlan
from tests.engine.stashes import STAR, piece

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine

USES = {"A": ("Fern",), "B": ("Moss",)}
NO_CLOTH: tuple[dict[str, Any], ...] = (
    {"units": "cm"}, {"width": Fraction(42)}, {"borders": (Fraction(4),)}, {"bed": "queen"},
    {"bed": "queen", "drop": Fraction(12)}, {"binding_width": Fraction(40)}, {"backing_width": Fraction(108)},
)  # fmt: skip
STRIPS: tuple[dict[str, Any], ...] = (
    {"strip": Fraction(2)}, {"seam": Fraction(3, 8)}, {"stagger": Fraction(2)}, {"small_runs": True},
    {"order": "ABB"}, {"grid": 3, "order": "ABABA"},
)  # fmt: skip


def planned(store: Store, colouring: Colouring, star: Star = STAR) -> tuple[SavedStar, StoredPlan]:
    """A star in that colouring with its plan kept; there are 3 yd of every fabric."""
    for name in ("Fern", "Moss", "Cloud", "Flax"):
        store.add(NewFabric(name, (piece(108),)))
    saved = store.save_star("Evening", star, colouring)
    found = check(star, colouring, store.fabrics())
    assert found.covered
    return saved, store.keep_plan(saved.id, 1, found.cuts)


@pytest.mark.parametrize("change", NO_CLOTH, ids=str)
def test_what_changes_no_strip_keeps_the_plan(store: Store, change: dict[str, Any]) -> None:
    """And the same plan is what is reckoned anew for the changed star."""
    colouring = Colouring(USES, "Cloud", "Cloud", "Flax")
    saved, plan = planned(store, colouring)
    changed = replace(saved.star, **change)
    store.set_star(saved.id, changed, number=1, colouring=colouring)
    assert store.open_plan(saved.id, 1) == plan
    assert "let go" not in store.history()[0].text
    strips = [strip.cut for strip in plan.strips]
    again = check(changed, colouring, store.fabrics()).cuts
    assert strips == [replace(cut, strips=(one,)) for cut in again for one in cut.strips]


@pytest.mark.parametrize("change", STRIPS, ids=str)
@pytest.mark.parametrize("begun", [False, True])
def test_other_strips_let_it_go(store: Store, change: dict[str, Any], begun: bool) -> None:
    saved, plan = planned(store, Colouring(USES, "Cloud"))
    if begun:
        store.book(plan.id, [plan.strips[0].id])
    store.set_star(saved.id, replace(saved.star, **change))
    assert store.open_plan(saved.id, 1) is None
    assert f"{len(plan.strips) - begun} planned strips let go" in store.history()[0].text


@pytest.mark.parametrize("part", ["ground", "binding", "backing"])
def test_a_part_of_the_quilt_counts_where_the_plan_cuts_its_fabric(store: Store, part: str) -> None:
    saved, plan = planned(store, Colouring(USES))
    store.replace_colouring(saved.id, 1, Colouring(USES, **{part: "Cloud"}))
    assert store.open_plan(saved.id, 1) == plan
    store.replace_colouring(saved.id, 1, Colouring(USES, **{part: "Fern"}))
    assert store.open_plan(saved.id, 1) is None
    store.undo()
    store.book(plan.id, [plan.strips[0].id])
    store.replace_colouring(saved.id, 1, Colouring(USES, **{part: "Fern"}))
    assert store.open_plan(saved.id, 1) is not None, "what is begun is cut to its end"


@pytest.mark.parametrize(
    ("part", "change"),
    [
        ("ground", {"borders": (Fraction(4),)}), ("binding", {"binding_width": Fraction(40)}),
        ("backing", {"backing_width": Fraction(108)}),
    ],
)  # fmt: skip
def test_so_does_its_measure(store: Store, part: str, change: dict[str, Any]) -> None:
    saved, _ = planned(store, Colouring(USES, **{part: "Fern"}))
    store.set_star(saved.id, replace(saved.star, units="cm"))
    assert store.open_plan(saved.id, 1) is not None
    store.set_star(saved.id, replace(saved.star, **change))
    assert store.open_plan(saved.id, 1) is None


def test_other_units_are_no_other_star_on_the_command_line(cli: CommandLine) -> None:
    """The saved star keeps its plan, its units and its one colouring."""
    star = ("--grid", 3, "--strip", "2 1/2", "--order", "mirror")
    uses = ("--use", "A=Duck Egg", "--use", "B=Mill Race", "--use", "C=Trout Pool")
    cli.json("check", *star, *uses, "--save", "Weir")
    with Store.open(cli.path) as store:
        saved = store.star("Weir")
        plan = store.keep_plan(saved.id, 1, check(saved.star, saved.colourings[0].colouring, store.fabrics()).cuts)
    cli.json("check", *star, *uses, "--units", "cm", "--save", "Weir")
    with Store.open(cli.path) as store:
        assert store.star("Weir") == saved
        assert store.open_plan(saved.id, 1) == plan
    assert cli("check", *star, *uses, "--seam", "3/8", "--save", "Weir").code == 1
