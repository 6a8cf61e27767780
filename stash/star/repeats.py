"""How letters run over the rows, and the star with another repeat, grid or strip width. Pure functions."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from string import ascii_uppercase

from stash.model import Star
from stash.star.chart import check_star, make_order

STRIP_STEP = Fraction(1, 4)
REPEATS = ("none", "mirror", "again")
REPEAT_WORDS = {
    "none": "no repeat",
    "mirror": "mirrored",
    "again": "run over again",
    "own": "own order",
}


def repeat_of(star: Star) -> str:
    """Which repeat an order is: "none", "mirror", "again" (A .. n-th, then A on), or "own"."""
    for repeat in REPEATS:
        if order_of(repeat, star.grid) == star.order:
            return repeat
    return "own"


def order_of(repeat: str, grid: int) -> str:
    """The letters of a repeat."""
    if repeat == "again":
        return ascii_uppercase[:grid] + ascii_uppercase[: grid - 1]
    return make_order(repeat, grid)


def next_repeat(star: Star) -> Star:
    """The star with the next repeat; an order of the maker's own gives way to the first."""
    repeat = repeat_of(star)
    at = REPEATS.index(repeat) + 1 if repeat in REPEATS else 0
    return replace(star, order=order_of(REPEATS[at % len(REPEATS)], star.grid))


def other_grid(star: Star, step: int) -> Star:
    """The star with its grid larger or smaller and its repeat kept (an own order becomes no repeat).

    Raises UsageFault where there is no such grid.
    """
    repeat = repeat_of(star)
    order = order_of(repeat if repeat in REPEATS else "none", star.grid + step)
    return check_star(replace(star, grid=star.grid + step, order=order))


def other_strip(star: Star, step: int) -> Star:
    """The star with strips 1/4 in wider or narrower, on whole quarters. Raises UsageFault past the ends."""
    quarters = star.strip / STRIP_STEP
    whole = quarters.numerator // quarters.denominator
    if step < 0 and whole != quarters:
        whole += 1
    return check_star(replace(star, strip=(whole + step) * STRIP_STEP))
