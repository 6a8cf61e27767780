"""What the Cutting screen says of a piece and its strips, for each kind of piece and each way to cut it."""

from __future__ import annotations

from fractions import Fraction

from stash.match.coverage import check
from stash.model import Kind, Way
from stash.sheets.sets import measures, set_steps
from stash.sheets.steps import steps_of_cuts
from tests.engine.shared_strips import LOOK_ALIKES, cloth
from tests.engine.shared_strips import STAR as SHARED
from tests.engine.straightened import STAR, USES, covered, each_kind, said_of
from tui.screens.cutting_rows import PieceRow, SetRow, StripRow, piece_sentence, set_sentence, strip_sentence


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


def test_what_sets_share_is_said_once_and_where_it_could_go() -> None:
    """38 in hold a run of four for each of two sets, and one segment more (derived): set 1 has it, set 2 could."""
    found = check(SHARED, LOOK_ALIKES, cloth(38))
    first, second = set_steps(SHARED, LOOK_ALIKES, found.cuts)
    uses, found_measures = LOOK_ALIKES.uses, measures(SHARED)
    said = [" ".join(set_sentence(SHARED, SetRow(one, 0, 6), found_measures, uses)) for one in (first, second)]
    assert "4 + 4 segments of 9 that it gives" in said[0]
    assert "4 + 4 segments of 8 that it gives" in said[1]
    shared = "It can give 1 segment more while the sets that share strips with it give none."
    assert [shared in one for one in said] == [False, True]
