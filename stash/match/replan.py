"""The rest of a plan that is cut in part, planned again on the cloth that is there now."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable

from stash.errors import EXIT_NO, Fault
from stash.match.coverage import find_fabric, look_up
from stash.match.cuts import Queues, cut_from
from stash.match.ground import lay_parts, supplies
from stash.match.packing import SIZES, Runs
from stash.match.service import Servant, Service
from stash.model import Colouring, Fabric, PieceCut, Run, Star, StoredPlan
from stash.names import name_key


class RestNotCovered(Fault):
    """The cloth that is there does not give the strips that are still to cut."""

    exit_code = EXIT_NO


def replan(star: Star, colouring: Colouring, fabrics: Iterable[Fabric], plan: StoredPlan) -> tuple[PieceCut, ...]:
    """Cuts that give every run of the plan that is not cut yet; each set stays sewn as it was planned.

    Raises RestNotCovered, which names the fabric and the strips it lacks.
    """
    stash = tuple(fabrics)
    by_name = {name_key(fabric.name): fabric for fabric in stash}
    colours = look_up(star, colouring, stash)
    servant = Servant(star)
    cuts: list[PieceCut] = []
    for name, runs in _waiting(plan).items():
        fabric = find_fabric(name, by_name)
        parts = colours.parts_of(fabric)
        laid = lay_parts(fabric, star, parts) if parts else None
        asked = _counted(runs)
        found = [servant.best_for(offers, asked) for offers in supplies(fabric, star, laid)]
        services = [service for service in found if service is not None]
        cuts += cut_from(star, fabric, _enough(fabric, services), _queues(runs))
    return tuple(cuts)


def _enough(fabric: Fabric, services: list[Service]) -> Service:
    best = min(services, key=lambda service: service.cost, default=None)
    if best is None or best.cost.missing:
        lacks = "" if best is None else f" by {best.cost.missing} full-width {_strips(best.cost.missing)}"
        raise RestNotCovered(
            f"what is left of it is short{lacks} for the rest of this plan; nothing was changed", fabric.name,
            "record what you have of it (b or c on the Stash screen, or bought and count), then plan again",
        )  # fmt: skip
    return best


def _strips(count: int) -> str:
    return "strip" if count == 1 else "strips"


def _waiting(plan: StoredPlan) -> dict[str, list[Run]]:
    """The runs that are still to cut, by fabric, in the plan's order."""
    runs: dict[str, list[Run]] = {}
    for strip in plan.strips:
        if strip.booked is None:
            runs.setdefault(strip.cut.fabric, []).extend(strip.cut.strips[0].runs)
    return runs


def _counted(runs: list[Run]) -> Runs:
    counts = [sum(run.segments == size for run in runs) for size in SIZES]
    return (counts[0], counts[1], counts[2], counts[3], counts[4])


def _queues(runs: list[Run]) -> Queues:
    return {size: deque(sorted(run.set for run in runs if run.segments == size)) for size in SIZES}
