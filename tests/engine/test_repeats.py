"""The stars that are one step away: another repeat, grid or strip width."""

from __future__ import annotations

from fractions import Fraction

import pytest

from stash.errors import UsageFault
from stash.star import repeats
from tests.engine.stars import star


def test_the_repeats_follow_each_other() -> None:
    orders = ["ABCDEFG"]
    for _ in range(3):
        orders.append(repeats.next_repeat(star(order=orders[-1])).order)
    assert orders == ["ABCDEFG", "ABCDCBA", "ABCDABC", "ABCDEFG"]
    assert repeats.next_repeat(star(order="AABBCCD")).order == "ABCDEFG"


def test_the_grid_keeps_the_repeat() -> None:
    assert repeats.other_grid(star(order="ABCDCBA"), 1).order == "ABCDEDCBA"
    assert repeats.other_grid(star(), -1).order == "ABCDE"
    with pytest.raises(UsageFault, match="14"):
        repeats.other_grid(star(13, "ABCDEFGHIJKLMNOPQRSTUVWXY"), 1)


@pytest.mark.parametrize(
    ("strip", "step", "after"), [("5/2", 1, "11/4"), ("5/2", -1, "9/4"), ("27/10", 1, "11/4"), ("27/10", -1, "5/2")]
)
def test_the_strip_goes_to_whole_quarters(strip: str, step: int, after: str) -> None:
    assert repeats.other_strip(star(strip=Fraction(strip)), step).strip == Fraction(after)


def test_the_strip_ends_at_one_inch() -> None:
    with pytest.raises(UsageFault):
        repeats.other_strip(star(strip=Fraction(1)), -1)
