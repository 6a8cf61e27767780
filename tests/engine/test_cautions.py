"""What is said once before a star is cut."""

from __future__ import annotations

from fractions import Fraction

import pytest

from stash.match.coverage import check
from stash.model import Colour, Colouring, Fabric, Kind, Piece, Star
from stash.sheets.cautions import CUTTER, cautions, may_bleed
from stash.sheets.keep_uncut import QuiltParts
from tests.engine.by_hand import inch

STAR = Star(2, Fraction(5, 2), "ABA")
USES = Colouring({"A": ("Pale",), "B": ("Deep",)})
NONE = QuiltParts()


def cloth(number: int, name: str, L: float, a: float, b: float, washed: bool = False) -> Fabric:
    return Fabric(number, name, (Piece(number, Kind.YARDAGE, inch(60), inch(42)),), Colour(L, a, b), washed=washed)


@pytest.mark.parametrize(
    ("colour", "bleeds"),
    [
        (Colour(40, 55, 30), True),  # red
        (Colour(45, 45, 0), True),  # deep pink
        (Colour(30, 20, -45), True),  # blue
        (Colour(30, 30, -30), True),  # purple
        (Colour(12, 0, 0), True),  # black
        (Colour(80, 25, 5), False),  # pale pink
        (Colour(45, -35, 30), False),  # green
        (Colour(45, 3, 3), False),  # grey
        (Colour(75, 10, 60), False),  # yellow
    ],
)
def test_reds_purples_blues_and_blacks_may_bleed(colour: Colour, bleeds: bool) -> None:
    """Reds, blues, purples and blacks can bleed (common practice, no source)."""
    assert may_bleed(colour) is bleeds


def test_each_caution_stands_only_where_it_belongs() -> None:
    pale, deep = cloth(1, "Pale", 90, 0, 5), cloth(2, "Deep", 35, 50, 25)
    said = cautions(STAR, USES, {"Pale": pale, "Deep": deep}, NONE)
    assert said == ("Deep may bleed: test a swatch in warm soapy water before you cut.", CUTTER)
    washed = cautions(STAR, USES, {"Pale": cloth(1, "Pale", 90, 0, 5, washed=True), "Deep": deep}, NONE)
    assert "Pale is washed and the others are not: wash these too, or they shrink apart." in washed
    all_washed = {"Pale": cloth(1, "Pale", 90, 0, 5, washed=True), "Deep": cloth(2, "Deep", 60, 0, 5, washed=True)}
    assert cautions(STAR, USES, all_washed, NONE) == (CUTTER,)


def test_the_ground_s_cloth_is_kept_back_with_its_length() -> None:
    """2 x 2 of 2 1/2 on 42 in: a triangle square of 9 1/2 with the four corner squares of 7 1/4 beside it or below
    [derived from the setting pieces]; cut last, from measured points (common practice, no source)."""
    fabrics = {name: cloth(i, name, 80, 0, 5) for i, name in enumerate(("Pale", "Deep", "Flax"), 1)}
    uses = Colouring(USES.uses, "Flax")
    found = check(STAR, uses, fabrics.values())
    said = cautions(STAR, uses, fabrics, QuiltParts(found.ground, found.quilt))[-1]
    assert said == "Keep 9 1/2 in of Flax uncut for the setting pieces: they are cut last, from measured points."


def test_ground_binding_and_backing_shrink_and_bleed_too() -> None:
    """All that is sewn into the quilt is washed with it (common practice, no source)."""
    fabrics = {name: cloth(i, name, 80, 0, 5, washed=True) for i, name in enumerate(("Pale", "Deep"), 1)}
    fabrics |= {"Flax": cloth(3, "Flax", 80, 0, 5), "Night": cloth(4, "Night", 15, 0, 0, washed=True)}
    said = cautions(STAR, Colouring(USES.uses, "Flax", binding="Night", backing="Pale"), fabrics, NONE)
    assert said[0].startswith("Night may bleed")
    assert said[1].startswith("Pale, Deep and Night are washed and the others are not")
