"""A plan of cuts as `check` draws it: piece by piece, what to straighten and a running measure."""

from __future__ import annotations

from collections.abc import Iterator

from stash.cli.output import clean, table
from stash.lengths import show_ticks, show_typed
from stash.model import Colouring, Coverage, Star
from stash.sheets.steps import PieceSteps, before_cutting, runs_text, steps_of_cuts


def cut_lines(star: Star, colouring: Colouring, found: Coverage) -> Iterator[str]:
    """Every strip of every piece, in the order in which they are cut."""
    yield ""
    yield "Cutting, piece by piece:"
    for piece in steps_of_cuts(star, colouring, found.cuts):
        yield ""
        yield from _piece_lines(star, piece)


def _piece_lines(star: Star, piece: PieceSteps) -> Iterator[str]:
    cut, units = piece.cut, star.units
    size = f"{show_ticks(cut.piece_length, units)} by {show_ticks(cut.piece_width, units)}"
    yield clean(f"{piece.letters}  {cut.fabric}, piece {cut.piece} ({size}), {cut.way} the cloth")
    yield f"  {before_cutting(star, piece)}"
    rows = [
        (f"  {number}", show_typed(strip.end, units), strip.letters, runs_text(strip.runs))
        for number, strip in enumerate(piece.strips, start=1)
    ]
    strip = f"strips of {show_typed(star.strip, units)} by {show_ticks(piece.strips[0].length, units)}"
    yield from table(("  strip", "ruler at", "letter", strip), rows, right="rrll")
    if any(piece.rest):
        yield f"  left: {show_ticks(piece.rest[0], units)} by {show_ticks(piece.rest[1], units)}"
    else:
        yield "  nothing is left"
