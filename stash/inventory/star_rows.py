"""A star on paper as a row of the stash, and back: lengths stand as exact fractions in text."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from stash.errors import Fault, UsageFault
from stash.model import Star


def row_of(paper: Star) -> dict[str, Any]:
    """A star on paper as its row. Raises UsageFault where it is none."""
    if not 2 <= paper.grid <= 13 or len(paper.order) != 2 * paper.grid - 1:
        raise UsageFault(
            f"an order of {len(paper.order)} letters does not fit a grid of {paper.grid}",
            do="use a grid of 2 to 13 and twice the grid less one letters",
        )
    if paper.strip <= 0 or paper.width <= 0 or paper.seam < 0:
        raise UsageFault("a star needs a strip width and a width of cloth over 0", do="give them in inches")
    return {
        "grid": paper.grid, "row_letters": paper.order, "strip": str(paper.strip), "width": str(paper.width),
        "stagger": _maybe(paper.stagger), "seam": str(paper.seam), "small_runs": int(paper.small_runs),
        "borders": " ".join(map(str, paper.borders)), "bed": paper.bed or "", "bed_drop": _maybe(paper.drop),
        "units": paper.units, "binding_width": str(paper.binding_width), "backing_width": str(paper.backing_width),
    }  # fmt: skip


def _maybe(value: Fraction | None) -> str:
    return "" if value is None else str(value)


def star_of(row: Any) -> Star:
    """A row as a star on paper. Raises Fault where it is none, by another program's hand."""
    try:
        return Star(
            row.grid, Fraction(row.strip), row.row_letters, Fraction(row.width),
            Fraction(row.stagger) if row.stagger else None, Fraction(row.seam), bool(row.small_runs),
            tuple(Fraction(one) for one in row.borders.split()), row.bed or None,
            Fraction(row.bed_drop) if row.bed_drop else None, row.units, Fraction(row.binding_width),
            Fraction(row.backing_width),
        )  # fmt: skip
    except (ValueError, ArithmeticError):
        raise Fault(
            "the lengths of this star cannot be read", row.name, "starcover verify names what is wrong"
        ) from None
