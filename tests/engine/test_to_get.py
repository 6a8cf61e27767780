"""What is said to buy is bought, and what is asked for is had: then the star is covered, look-alikes, unmeasured
fabrics and the quilt's parts among them."""

from __future__ import annotations

import random
import re
from dataclasses import replace
from fractions import Fraction

import pytest

from stash.lengths import to_ticks
from stash.match.coverage import check
from stash.match.questions import question_text, questions
from stash.match.ways_on import ways_on
from stash.model import Colour, Colouring, Fabric, Kind, Mark, Piece, Star, Step
from stash.star.chart import make_order
from tests.engine.by_hand import inch


def cloth(number: int, *sizes: tuple[float, float], kind: Kind = Kind.YARDAGE, recorded: bool = True) -> Fabric:
    pieces = tuple(Piece(10 * number + i, kind, inch(long), inch(wide)) for i, (long, wide) in enumerate(sizes))
    return Fabric(number, f"F{number}", pieces, Colour(95 - 8 * number, 20, 0), recorded=recorded)


def with_more(fabrics: list[Fabric], more: dict[str, tuple[Fraction, Fraction]]) -> list[Fabric]:
    """A further piece, length and width in inches, for each fabric named."""
    return [
        replace(
            one,
            pieces=(*one.pieces, Piece(900 + one.id, Kind.YARDAGE, *map(to_ticks, more[one.name]))),
            recorded=True,
        )
        if one.name in more
        else one
        for one in fabrics
    ]


def test_of_two_look_alikes_the_one_that_lacks_cloth_is_bought() -> None:
    """Each gives four points of the three small diamonds of row C: three runs of four, two strips of 2 1/2 in (L(4) is
    16.64 in, two to a strip of 40; derived). Two strips and an inch of straightening are 6 in, sold as 1/4 yd."""
    star = Star(3, Fraction(5, 2), "ABCDE")
    fabrics = [cloth(i, (20, 40)) for i in (1, 2, 3, 5, 6)] + [cloth(4, (2, 40))]
    for pair in (("F3", "F4"), ("F4", "F3")):
        uses = {"A": ("F1",), "B": ("F2",), "C": pair, "D": ("F5",), "E": ("F6",)}
        buying = [way for way in ways_on(star, Colouring(uses), fabrics) if way.step is Step.BUY]
        assert [(way.buy, way.text[:20]) for way in buying] == [(Fraction(9), "buy 1/4 yd of F4, fu")]


def test_look_alikes_not_measured_are_asked_for_their_halves() -> None:
    """Four small diamonds are four runs of four, two strips (derived), and an inch of straightening."""
    star = Star(4, Fraction(5, 2), "ABCDEFG")
    fabrics = [cloth(i, (30, 40)) for i in range(1, 8)]
    fabrics += [cloth(8, recorded=False), cloth(9, recorded=False)]
    uses = {letter: (f"F{i}",) for i, letter in enumerate("ABCDEFG", start=1)} | {"D": ("F8", "F9")}
    asked = questions(star, Colouring(uses), fabrics)
    assert [(one.fabric.name, one.strips, one.length) for one in asked] == [("F8", 2, 6), ("F9", 2, 6)]


def test_ground_binding_and_backing_not_measured_are_asked_for() -> None:
    """A 2 x 2 of 2 1/2 in strips: one strip for A in the centre and one at the tip, and the ground's shelves."""
    star = Star(2, Fraction(5, 2), "ABA")
    fabrics = [cloth(1, recorded=False), cloth(2, (36, 40)), cloth(3, recorded=False), cloth(4, recorded=False)]
    now = Colouring({"A": ("F1",), "B": ("F2",)}, ground="F1", binding="F3", backing="F4")
    asked = {one.fabric.name: one for one in questions(star, now, fabrics)}
    assert [asked[name].parts for name in ("F1", "F3", "F4")] == [("ground",), ("binding",), ("backing",)]
    assert question_text(star, asked["F1"]).startswith("F1: row A and the ground need ")
    # 77 1/4 in round and 10 for corners and joins are three strips of 42 (derived), 7 1/2 in and an inch
    assert question_text(star, asked["F3"]) == "F3: the binding needs 8 1/2 in by 42 in. Have it?"
    had = with_more(fabrics, {name: (one.length, one.width) for name, one in asked.items()})
    found = check(star, now, had)
    assert found.covered
    assert found.ground is not None
    assert Mark.SHORT not in {found.ground.mark, *(one.mark for one in found.quilt)}


@pytest.mark.parametrize("seed", range(120))
def test_what_is_said_to_buy_and_what_is_asked_for_cover(seed: int) -> None:
    rng = random.Random(seed)
    sizes = [(Kind.YARDAGE, 4.5, 40), (Kind.YARDAGE, 9, 42), (Kind.YARDAGE, 14, 36), (Kind.FAT_QUARTER, 18, 21)]
    fabrics = []
    for number in range(1, 9):
        kind, long, wide = rng.choice(sizes)
        recorded = rng.random() > 0.2
        fabrics.append(cloth(number, *[(long, wide)] * (rng.randint(1, 3) * recorded), kind=kind, recorded=recorded))
    grid = rng.choice([2, 3])
    strip = rng.choice([Fraction(5, 2), Fraction(25, 8), Fraction(13, 4)])
    star = Star(grid, strip, make_order(rng.choice(["none", "mirror"]), grid))
    names = rng.sample([one.name for one in fabrics], len(fabrics))
    uses = {letter: tuple(names.pop() for _ in range(1 if rng.random() < 0.7 else 2)) for letter in star.letters[:4]}
    uses |= {letter: (rng.choice(fabrics).name,) for letter in star.letters[4:]}
    now = Colouring(uses)
    found = check(star, now, fabrics)
    buying = [way for way in ways_on(star, now, fabrics, found) if way.step is Step.BUY]
    assert bool(buying) is not found.covered
    bought = {}
    for way in buying:
        assert way.buy is not None
        name = re.search(r" of (F\d), full width", way.text)
        assert name is not None
        bought[name.group(1)] = (way.buy, star.width)
    assert check(star, now, with_more(fabrics, bought)).covered
    asked = questions(star, now, fabrics)
    had = check(star, now, with_more(fabrics, {one.fabric.name: (one.length, one.width) for one in asked}))
    alone = {one.fabric.name for one in asked}
    short = [one for one in had.letters if one.mark is Mark.SHORT]
    assert all(not set(one.fabrics) <= alone for one in short), "asked for too little"
