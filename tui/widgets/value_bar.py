"""A value in figures and as a bar: L* 0 to 100 as a length, so that light and dark are told without any colour."""

from __future__ import annotations

FULL = "━"
HALF = "╸"


def bar(value: float, width: int, most: float = 100.0) -> str:
    """`value` of `most` as a bar of `width` cells, to half a cell, filled up with spaces."""
    halves = round(min(max(value / most, 0.0), 1.0) * width * 2)
    return (FULL * (halves // 2) + HALF * (halves % 2)).ljust(width)


def value_text(value: float, relative: bool) -> str:
    """A whole L*, with ~ before it where it is relative: `62`, `~62`."""
    return f"{'~' if relative else ''}{round(value)}"


def value_figure(value: float | None, by_eye: bool = False, relative: bool = False) -> str:
    """The value as four cells: a whole L*, with a star where it was set by eye; dashes where there is none."""
    if value is None:
        return " -- "
    return f"{value_text(value, relative):>3}{'*' if by_eye else ' '}"[:4]
