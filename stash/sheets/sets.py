"""The strip sets of a plan as people sew and slice them: order, lean, runs, segments, check measures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from stash.match.cuts import sewn_as
from stash.match.spares import spare_segments
from stash.model import Colouring, PieceCut, Sewn, Star
from stash.star import chart, geometry
from stash.star.surd import Surd
from stash.star.yields import RUNS, SEGMENTS


@dataclass(frozen=True, slots=True)
class SetSteps:
    """One strip set: its letters in sewing order, how its eight segments are sewn, segments its strips would give
    beyond them while all sets give theirs (`spare`), how many of those are `spoiled` already, segments it could still
    give if it took what other sets have to spare on the strips they share (`could`), and the set it is the same as
    (`same_as`, turned end for end where `turned`)."""

    number: int
    letters: str
    sewn: Sewn
    runs: tuple[int, ...]
    spare: int
    spoiled: int = 0
    could: int = 0
    same_as: int | None = None
    turned: bool = False

    @property
    def possible(self) -> int:
        """Segments that its strips would give while all sets give theirs."""
        return SEGMENTS + self.spare

    @property
    def left(self) -> int:
        """Segments to spare that are not spoiled yet."""
        return max(0, self.spare - self.spoiled)


@dataclass(frozen=True, slots=True)
class Measures:
    """What is the same for all sets, inches: each strip is set off by `stagger` from the one before; a segment is
    `segment` wide measured square across its two cuts, which is `step` along the edge; a pair of strips sewn
    measures `pair`, a whole set `sewn_set`."""

    stagger: Fraction
    segment: Fraction
    step: Surd
    pair: Fraction
    sewn_set: Fraction


def measures(star: Star) -> Measures:
    """The check measures of a star's strip sets."""
    found = geometry.checks(star)
    stagger = star.finished_strip if star.stagger is None else star.stagger
    return Measures(stagger, star.strip, found.step, found.pair, found.sewn_set)


def set_steps(
    star: Star, colouring: Colouring, cuts: Sequence[PieceCut], spoiled: Sequence[int] = ()
) -> tuple[SetSteps, ...]:
    """The strip sets of these cuts. `spoiled[i]` segments of set i + 1 are spoiled."""
    spares = spare_segments(star, colouring.uses, cuts, spoiled)
    steps = []
    for one in chart.strip_sets(star):
        sewn = sewn_as(cuts, one.number)
        if sewn is not None:
            lost = spoiled[one.number - 1] if one.number <= len(spoiled) else 0
            spare = spares[one.number]
            could = max(0, spare.alone - lost)
            steps.append(SetSteps(
                one.number, one.letters, sewn, RUNS[sewn], spare.together, lost, could, one.same_as, one.turned
            ))  # fmt: skip
    return tuple(steps)
