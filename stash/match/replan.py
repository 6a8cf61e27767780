"""A star whose plan is cut in part: whether the cloth that is there gives the rest, and the rest planned again.

Strips on pieces that are as the plan and what is booked of it left them stand as they are: the edge they are measured
from is the one of the last cut, with no further straightening. Strips on pieces that were changed since are planned
again on the fabric's other pieces; where those do not reach, strips that stand are planned anew with them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain

from stash.errors import EXIT_NO, Fault
from stash.lengths import to_ticks
from stash.match.coverage import check, look_up
from stash.match.rest_marks import letter_cover
from stash.match.rests import Rests
from stash.match.spares import spare_segments
from stash.model import Colouring, Coverage, Fabric, Mark, PieceCut, SetSewn, Star, StoredPlan
from stash.star import chart
from stash.star.yields import RUNS

SEWN_WITH = {max(runs): sewn for sewn, runs in RUNS.items()}  # by the longest run


class RestNotCovered(Fault):
    """The cloth that is there does not give the strips that are still to cut."""

    exit_code = EXIT_NO


@dataclass(frozen=True, slots=True)
class Replan:
    """`cuts` in place of the strips (by id) that cannot be cut as planned; () for none."""

    strips: tuple[int, ...]
    cuts: tuple[PieceCut, ...]


def replan(star: Star, colouring: Colouring, fabrics: Iterable[Fabric], plan: StoredPlan) -> Replan:
    """Cuts that give the runs of all strips whose piece was changed since; each set stays sewn as it was planned.

    Raises RestNotCovered, which names the fabric and the strips it lacks.
    """
    rests = Rests(star, look_up(star, colouring, fabrics), plan)
    for rest in rests.each:
        if rest.missing:
            strips = "strip" if rest.missing == 1 else "strips"
            raise RestNotCovered(
                f"what is left of it is short by {rest.missing} full-width {strips} for the rest of this plan; nothing "
                "was changed", rest.fabric.name,
                "record what you have of it (b or c on the Stash screen, or bought and count), then plan again",
            )  # fmt: skip
    replaced = tuple(strip.id for rest in rests.each for strip in rest.replaced)
    return Replan(replaced, tuple(chain.from_iterable(rest.cuts for rest in rests.each)))


def rest_cover(star: Star, colouring: Colouring, fabrics: Iterable[Fabric], plan: StoredPlan) -> Coverage:
    """What the stash says to a star whose plan is begun: strips that are cut already are on hand, the others are asked
    of the cloth that is there. Its cuts are those that are left."""
    stash = tuple(fabrics)
    rests = Rests(star, look_up(star, colouring, stash), plan)
    letters = tuple(letter_cover(rests, letter) for letter in star.letters)
    covered = all(letter.mark in (Mark.COVERED, Mark.TIGHT) for letter in letters)
    whole = check(star, colouring, stash)
    cuts = tuple(chain.from_iterable(rest.all_cuts for rest in rests.each)) if covered else ()
    sets = tuple(_sets(star, colouring, plan))
    return Coverage(covered, letters, sets, cuts, whole.ground, quilt=whole.quilt)


def _sets(star: Star, colouring: Colouring, plan: StoredPlan) -> Iterable[SetSewn]:
    cuts = [strip.cut for strip in plan.strips]
    spares = spare_segments(star, colouring.uses, cuts, plan.spoiled)
    for one in chart.strip_sets(star):
        runs = [run for cut in cuts for run in cut.strips[0].runs if run.set == one.number]
        longest = max((run.segments for run in runs), default=8)
        yield SetSewn(one.number, SEWN_WITH[longest], spares[one.number].together)


def is_begun(star: Star, plan: StoredPlan | None) -> bool:
    """Whether a plan of all the star's strips is cut in part."""
    return plan is not None and len({strip.booked is None for strip in plan.strips}) == 2 and is_whole(star, plan)


def is_whole(star: Star, plan: StoredPlan) -> bool:
    """Whether the plan's strips, cut or not, make the star: eight segments of each set, in strips of its width.

    They do not where the rest was let go half way, or where the star was changed while it was cut.
    """
    cuts = [strip.cut.strips[0] for strip in plan.strips]
    wide = abs(cuts[0].width - to_ticks(star.strip)) <= 1 if cuts else False
    segments = Counter[int]()
    for cut in cuts:
        segments.update({run.set: run.segments for run in cut.runs})
    return wide and segments == {one.number: 8 * len(one.letters) for one in chart.strip_sets(star)}
