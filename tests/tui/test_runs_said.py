"""What a strip gives is said alike on the screen, on paper and by the command line."""

from __future__ import annotations

import pytest

from stash.cli.drawn_cuts import cut_lines
from stash.match.coverage import check
from stash.model import Colouring, Fabric, Kind, Piece, Run
from stash.sheets.steps import runs_text, steps_of_cuts
from tests.engine.begun_star import POND
from tests.engine.stashes import inch
from tui.screens.cutting_rows import StripRow, strip_sentence


@pytest.mark.parametrize(
    ("runs", "said"),
    [
        ([Run(2, 8)], "8 segments of set 2"),
        ([Run(1, 4), Run(1, 4)], "4 + 4 segments of set 1"),
        ([Run(1, 7), Run(1, 1), Run(3, 4)], "7 + 1 segments of set 1, 4 segments of set 3"),
        ([Run(1, 1)], "1 segment of set 1"),
    ],
)
def test_runs_by_set(runs: list[Run], said: str) -> None:
    assert runs_text(runs) == said


def test_screen_and_command_line_say_it_so() -> None:
    """B's fat quarters give runs of four only, so each set is halved, and a strip of A holds two of them (derived)."""
    fern = Fabric(1, "Fern", (Piece(1, Kind.YARDAGE, inch(18), inch(40)),))
    rust = Fabric(2, "Rust", (Piece(2, Kind.FAT_QUARTER, inch(18), inch(21)),))
    uses = Colouring({"A": ("Fern",), "B": ("Rust",)})
    found = check(POND, uses, [fern, rust])
    piece = steps_of_cuts(POND, uses, found.cuts)[0]
    text = runs_text(piece.strips[0].runs)
    assert text == "4 + 4 segments of set 1"
    assert text in strip_sentence(POND, StripRow(1, piece.strips[0], piece))[1]
    assert any(line.endswith(text) for line in cut_lines(POND, uses, found))
