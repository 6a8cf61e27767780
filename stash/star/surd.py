"""Exact lengths of the form a + b * sqrt2: every finished measure of a star has it.

Rounding to 1/8 in is done on whole numbers, so that a measure a hair under a step is never taken for it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

SQRT2 = math.sqrt(2)


@dataclass(frozen=True, slots=True)
class Surd:
    """`plain` + `root` * sqrt2, both exact."""

    plain: Fraction = Fraction(0)
    root: Fraction = Fraction(0)

    def __add__(self, other: Surd | Fraction | int) -> Surd:
        if isinstance(other, Surd):
            return Surd(self.plain + other.plain, self.root + other.root)
        return Surd(self.plain + other, self.root)

    def __sub__(self, other: Surd | Fraction | int) -> Surd:
        return self + other * -1

    def __mul__(self, factor: Fraction | int) -> Surd:
        return Surd(self.plain * factor, self.root * factor)

    def __float__(self) -> float:
        return float(self.plain) + float(self.root) * SQRT2

    def floor(self) -> int:
        """The greatest whole number that is not over this."""
        common = math.lcm(self.plain.denominator, self.root.denominator)
        root = int(self.root * common)
        # floor((p + q sqrt2) / c) = floor((p + floor(q sqrt2)) / c) for whole p, q, c
        whole_root = math.isqrt(2 * root * root)
        if root < 0:
            whole_root = -whole_root - 1  # q sqrt2 is never whole unless q is 0
        return (int(self.plain * common) + whole_root) // common

    def ceil(self) -> int:
        """The least whole number that is not under this."""
        return -(self * -1).floor()

    def down_to(self, step: Fraction) -> Fraction:
        """The greatest multiple of `step` that is not over this."""
        return (self * (1 / step)).floor() * step

    def up_to(self, step: Fraction) -> Fraction:
        """The least multiple of `step` that is not under this."""
        return (self * (1 / step)).ceil() * step

    def __le__(self, other: Surd | Fraction | int) -> bool:
        return (self - other).ceil() <= 0

    def __lt__(self, other: Surd | Fraction | int) -> bool:
        return (self - other).floor() < 0

    def __ge__(self, other: Surd | Fraction | int) -> bool:
        return not self < other

    def __gt__(self, other: Surd | Fraction | int) -> bool:
        return not self <= other
