"""Random stars to pack runs for, and runs as counts or one by one."""

from __future__ import annotations

import random
from fractions import Fraction

from stash.match.packing import SIZES, Runs
from stash.model import Star

STRIPS = tuple(map(Fraction, ("1", "3/2", "2", "5/2", "27/10", "3", "13/4", "9/2")))


def star_for(rng: random.Random) -> Star:
    strip = rng.choice(STRIPS)
    stagger = rng.choice((None, Fraction(0), strip, strip - Fraction(1, 4)))
    return Star(2, strip, "ABA", stagger=stagger)


def counted(runs: list[int]) -> Runs:
    a, b, c, d, e = (runs.count(size) for size in SIZES)
    return a, b, c, d, e


def spelled(runs: Runs) -> tuple[int, ...]:
    return tuple(size for size, count in zip(SIZES, runs, strict=True) for _ in range(count))
