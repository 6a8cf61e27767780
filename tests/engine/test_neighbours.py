"""What neighbouring rows do: blends, rows of the same value, prints that overlap. The limits are our own."""

from __future__ import annotations

import warnings
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stash.cli.suggest import neighbours_line
from stash.match.neighbours import Neighbour, Side, neighbours
from stash.model import Colour, Fabric, Measured, Star

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which optional libraries it does without
    from colour.difference import delta_E_CIE2000

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine


def plain(L: float, a: float = 0, b: float = 0) -> Fabric:
    return Fabric(1, "Cloth", colour=Colour(L, a, b))


def busy(low: float, high: float, variety: float = 20.0, by_eye: float | None = None) -> Fabric:
    colour = Colour((low + high) / 2, 0, 0)
    shown = colour if by_eye is None else Colour(by_eye, 0, 0, "by eye")
    measured = Measured(colour, low, high, variety, (), (0, 0, 90, 90))
    return Fabric(1, "Print", colour=shown, value_by_eye=by_eye, swatch=measured)


def kinds(one: Fabric, other: Fabric) -> list[Side]:
    star = Star(2, Fraction(5, 2), "ABB")
    return [each.kind for each in neighbours(star, {"A": one, "B": other})]


@pytest.mark.parametrize(
    ("one", "other", "said"),
    [
        (plain(60), plain(55.1), [Side.BLEND]),
        (plain(60), plain(55), []),  # 5 apart is a step
        (plain(60), plain(40), []),
        (plain(60, 40, 0), plain(58, -40, 0), [Side.SAME_VALUE]),
        (plain(58, -40, 0), plain(60, 40, 0), [Side.SAME_VALUE]),
        (Fabric(1, "Bare"), plain(60), []),
        (busy(30, 60), busy(55, 90), [Side.OVERLAP]),
        (busy(55, 90), busy(30, 60), [Side.OVERLAP]),
        (busy(30, 60), busy(60, 90), []),  # they only touch
        (busy(30, 60), busy(55, 90, variety=15.0), []),  # no busy print
        (busy(30, 60), plain(50), []),
        (busy(30, 60), busy(32, 62), [Side.BLEND, Side.OVERLAP]),
        (busy(30, 60), busy(55, 90, by_eye=90), []),  # judged lighter by 17.5: from 72.5 on
    ],
)
def test_what_two_rows_do(one: Fabric, other: Fabric, said: list[Side]) -> None:
    assert kinds(one, other) == said


@given(st.lists(st.tuples(st.floats(20, 90), st.floats(-30, 30), st.floats(-30, 30)), min_size=2, max_size=2))
def test_blends_and_same_values_by_another_ciede2000(labs: list[tuple[float, float, float]]) -> None:
    """colour-science's CIEDE2000 is the reference; pairs within 0.001 of a limit are passed over."""
    apart, difference = abs(labs[0][0] - labs[1][0]), float(delta_E_CIE2000(*labs))
    if abs(difference - 10) < 1e-3:
        return
    expected = [Side.BLEND if difference < 10 else Side.SAME_VALUE] if apart < 5 else []
    assert kinds(*(plain(*lab) for lab in labs)) == expected


def test_each_pair_is_told_of_once_and_a_row_is_no_neighbour_of_its_own_letter() -> None:
    star = Star(3, Fraction(5, 2), "ABCBA")
    fabrics = {"A": plain(70), "B": plain(67), "C": plain(64)}
    found = neighbours(star, fabrics)
    assert found == (Neighbour(Side.BLEND, "AB", (1, 2)), Neighbour(Side.BLEND, "BC", (2, 3)))
    assert neighbours(Star(3, Fraction(5, 2), "AABBA"), fabrics) == (Neighbour(Side.BLEND, "AB", (2, 3)),)
    assert neighbours(Star(2, Fraction(5, 2), "AAA"), fabrics) == ()


def test_the_line() -> None:
    star = Star(3, Fraction(5, 2), "ABCAD")
    fabrics = {"A": plain(70, 30, 0), "B": plain(67, -30, 0), "C": plain(66, -30, 0), "D": plain(68, 28, 0)}
    assert neighbours_line(neighbours(star, fabrics)) == "Same value: A and B, C and A. Blend: B and C, A and D"
    assert neighbours_line(()) == ""


def test_suggestions_tell_of_neighbours(cli: CommandLine) -> None:
    """With a least step of 1 and a short run of values rows come near to each other."""
    words = ("suggest", "--grid", 4, "--strip", 2.5, "--from", 60, "--to", 45, "--min-step", 1, "--top", 3)
    found: Any = cli.json(*words)["sequences"]
    lines = cli(*words).out.splitlines()
    told = 0
    for one in found:
        by_letter = {each["letter"]: (each["L"], each["a"], each["b"]) for each in one["fabrics"]}
        expected = []
        for p, q in pairwise(by_letter):
            if abs(by_letter[p][0] - by_letter[q][0]) < 5:
                near = float(delta_E_CIE2000(by_letter[p], by_letter[q])) < 10
                expected.append({"kind": "blend" if near else "same value", "letters": p + q})
        assert one["neighbours"] == expected
        told += len(expected)
    assert told
    lines = [line for line in lines if line.startswith(("Blend: ", "Same value: "))]
    assert len(lines) == sum(bool(one["neighbours"]) for one in found)


def test_a_swatch_that_says_nothing_of_an_unknown_colour_is_no_blend() -> None:
    bare = replace(busy(30, 60), colour=None)
    assert kinds(bare, busy(55, 90)) == [Side.OVERLAP]
