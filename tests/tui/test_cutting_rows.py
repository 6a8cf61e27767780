"""What the Cutting screen says of a piece and its strips, for each kind of piece and each way to cut it."""

from __future__ import annotations

from fractions import Fraction

from stash.model import Kind, Way
from stash.sheets.steps import steps_of_cuts
from tests.engine.test_straightened import STAR, USES, covered, each_kind, said_of
from tui.screens.cutting_rows import PieceRow, StripRow, piece_sentence, strip_sentence


@each_kind
def test_the_line_below_says_what_to_straighten_and_where_the_ruler_counts_from(
    kind: Kind, before: bool, length: int, width: int, way: Way, off: Fraction, edges: str
) -> None:
    _, found = covered(kind, before, length, width)
    fern = steps_of_cuts(STAR, USES, found.cuts)[0]
    words, edge = said_of(way, off, edges)
    said = piece_sentence(STAR, PieceRow(fern, None, "", "nothing left"))
    assert [line for line in said if "traighten" in line] == ([f"{words.capitalize()}."] if words else [])
    assert max(map(len, said)) <= 78  # a line of 80 columns less its margins
    assert strip_sentence(STAR, StripRow(1, fern.strips[0], fern))[0].endswith(f"cut at 2 1/2 in from {edge}.")
