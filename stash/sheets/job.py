"""Everything that a star's sheets tell, gathered once: plain data for the pages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stash.match.coverage import check
from stash.match.replan import is_begun, rest_cover
from stash.model import Colouring, Coverage, Fabric, Star, Step, StoredPlan, WayOn
from stash.sheets.cautions import cautions
from stash.sheets.sets import SetSteps, set_steps
from stash.sheets.steps import PieceSteps, steps_of_cuts, steps_of_plan


@dataclass(frozen=True, slots=True)
class Job:
    """One colouring of one star and what the stash says to it.

    `pieces` and `sets` are those of the kept plan, else of the plan a check made; () where the star is not covered.
    `plan` is the kept plan's number, 0 for none. `buying` says what covers it when it is bought.
    """

    name: str
    number: int
    star: Star
    colouring: Colouring
    fabrics: Mapping[str, Fabric]
    coverage: Coverage
    pieces: tuple[PieceSteps, ...]
    sets: tuple[SetSteps, ...]
    cautions: tuple[str, ...]
    plan: int = 0
    buying: tuple[WayOn, ...] = ()

    @property
    def title(self) -> str:
        return f"{self.name}, colouring {self.number}"

    def fabric_at(self, letter: str) -> list[Fabric]:
        return [self.fabrics[name] for name in self.colouring.uses.get(letter, ()) if name in self.fabrics]


def make_job(
    name: str, number: int, star: Star, colouring: Colouring, fabrics: Sequence[Fabric], plan: StoredPlan | None
) -> Job:
    """Ask the stash (`fabrics`, with what other stars hold kept back) about a colouring.

    plan -- the kept one with strips still to cut. Raises NotFound and UsageFault as `check` does.
    """
    by_name = {fabric.name: fabric for fabric in fabrics}
    begun = plan is not None and is_begun(star, plan)
    found = rest_cover(star, colouring, fabrics, plan) if begun and plan else check(star, colouring, fabrics)
    pieces = steps_of_plan(star, colouring, plan) if plan else steps_of_cuts(star, colouring, found.cuts)
    sets = set_steps(star, colouring, [piece.cut for piece in pieces], plan.spoiled if plan else ())
    buying: tuple[WayOn, ...] = ()
    if not found.covered and not begun:
        from stash.match.ways_on import ways_on

        buying = tuple(way for way in ways_on(star, colouring, fabrics, found) if way.step is Step.BUY)
    said = cautions(star, colouring, by_name)
    return Job(
        name, number, star, colouring, by_name, found, pieces, sets, said, plan.id if plan else 0, buying
    )
