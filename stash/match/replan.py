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
from stash.match.cuts import sewn_as
from stash.match.ground import lay_parts
from stash.match.parts import Laid, ground_cover, quilt_covers
from stash.match.rest_marks import letter_cover
from stash.match.rests import Rests
from stash.match.spares import spare_segments
from stash.model import (
    Colouring,
    Coverage,
    Fabric,
    GroundCover,
    Mark,
    PieceCut,
    QuiltCover,
    SetSewn,
    Sewn,
    Star,
    StoredPlan,
)
from stash.names import name_key
from stash.star import chart
from stash.wording import counted


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
            strips = counted(rest.missing, "full-width strip")
            raise RestNotCovered(
                f"what is left of it is short by {strips} for the rest of this plan; nothing was changed",
                rest.fabric.name,
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
    cuts = tuple(chain.from_iterable(rest.all_cuts for rest in rests.each)) if covered else ()
    sets = tuple(_sets(star, colouring, plan))
    ground, quilt = _parts_beside(rests)
    return Coverage(covered, letters, sets, cuts, ground, quilt=quilt)


def parts_beside(
    star: Star, colouring: Colouring, fabrics: Iterable[Fabric], plan: StoredPlan
) -> tuple[GroundCover | None, tuple[QuiltCover, ...]]:
    """What the stash says to the ground, and to binding and backing, beside the strips that a plan, begun or not, has
    still to cut. Raises as `check` does, and Fault where the plan cuts other fabrics."""
    return _parts_beside(Rests(star, look_up(star, colouring, fabrics), plan))


def _parts_beside(rests: Rests) -> tuple[GroundCover | None, tuple[QuiltCover, ...]]:
    laid = {part: _laid(rests, fabric) for part, fabric in rests.colours.parts.items()}
    return ground_cover(rests.star, laid), tuple(quilt_covers(rests.star, laid))


def _laid(rests: Rests, fabric: Fabric) -> Laid:
    """How the parts that a fabric makes lie on what is left of it when all strips are cut."""
    left = rests.left_over(fabric)
    return Laid(left, lay_parts(left, rests.star, rests.colours.parts_of(fabric)), {})


def _sets(star: Star, colouring: Colouring, plan: StoredPlan) -> Iterable[SetSewn]:
    cuts = [strip.cut for strip in plan.strips]
    spares = spare_segments(star, colouring.uses, cuts, plan.spoiled)
    for one in chart.strip_sets(star):
        yield SetSewn(one.number, sewn_as(cuts, one.number) or Sewn.WHOLE, spares[one.number].together)


def cover(
    star: Star, colouring: Colouring, fabrics: Iterable[Fabric], plan: StoredPlan | None
) -> Coverage:
    """What the stash says to a star. `plan` (see `plan_in_hand`) says what of it is cut already."""
    return check(star, colouring, fabrics) if plan is None else rest_cover(star, colouring, fabrics, plan)


def plan_in_hand(star: Star, colouring: Colouring, plans: Iterable[StoredPlan]) -> StoredPlan | None:
    """The plan that the star is being cut by, or was cut by to the last strip.

    plans -- the colouring's, newest first. One with nothing cut yet is for a further star, so what was cut before it
    says nothing; one of other fabrics, or for another star, neither.
    """
    kept = list(plans)
    waiting = next((plan for plan in kept if any(strip.booked is None for strip in plan.strips)), None)
    newest = waiting or next(iter(kept), None)
    if newest is None or all(strip.booked is None for strip in newest.strips) or not is_whole(star, newest):
        return None
    used = set(map(name_key, colouring.names))
    return newest if {name_key(strip.cut.fabric) for strip in newest.strips} == used else None


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
    for run in chain.from_iterable(cut.runs for cut in cuts):
        segments[run.set] += run.segments
    return wide and segments == {one.number: 8 * len(one.letters) for one in chart.strip_sets(star)}
