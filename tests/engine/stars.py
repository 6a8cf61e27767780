"""A star for tests, told by what matters of it."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from stash.model import Star


def star(grid: int = 4, order: str = "ABCDEFG", **fields: object) -> Star:
    """Of 2 1/2 in strips; 4 x 4 with no repeat where nothing else is said."""
    return replace(Star(grid, Fraction(5, 2), order), **fields)  # type: ignore[arg-type]
