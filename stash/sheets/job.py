"""Everything that a star's sheets tell, gathered once: plain data for the pages."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from stash.match.replan import cover, plan_in_hand
from stash.match.to_get import strips_to_get
from stash.model import Colouring, Coverage, Fabric, Mark, Star, Step, StoredPlan, WayOn
from stash.sheets.cautions import cautions
from stash.sheets.keep_uncut import QuiltParts
from stash.sheets.sets import SetSteps, set_steps
from stash.sheets.steps import PieceSteps, changed_since, steps_of_cuts, steps_of_plan


@dataclass(frozen=True, slots=True)
class ToGet:
    """Full-width strips that are to come of a fabric, or of two look-alikes together, for the rows of `letters`."""

    letters: str
    fabrics: tuple[str, ...]
    strips: int
    measured: bool = True


@dataclass(frozen=True, slots=True)
class Job:
    """One colouring of one star and what the stash says to it.

    `pieces` and `sets` are those of the kept plan, else of the plan a check made; () where the star is not covered.
    `changed` says of each piece whether it was changed since it was planned. `plan` is the kept plan's number, 0 for
    none. `to_get` says what rows lack, fabric by fabric; `buying` what covers them when it is bought.
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
    changed: tuple[bool, ...] = ()
    to_get: tuple[ToGet, ...] = ()

    @property
    def title(self) -> str:
        """What stands on top of every page."""
        return f"{self.name}, colouring {self.number}"

    def fabric_at(self, letter: str) -> list[Fabric]:
        """The fabrics of a letter that the stash has: none, one, or two look-alikes."""
        return [self.fabrics[name] for name in self.colouring.uses.get(letter, ()) if name in self.fabrics]


def make_job(
    name: str, number: int, star: Star, colouring: Colouring, fabrics: Sequence[Fabric],
    plans: Iterable[StoredPlan] = (),
) -> Job:  # fmt: skip
    """Ask the stash (`fabrics`, with what other stars hold kept back) about a colouring.

    plans -- the colouring's kept ones, newest first. Raises NotFound and UsageFault as `check` does.
    """
    kept = list(plans)
    in_hand = plan_in_hand(star, colouring, kept)
    plan = next((one for one in kept if any(strip.booked is None for strip in one.strips)), in_hand)
    found = cover(star, colouring, fabrics, in_hand)
    pieces = steps_of_plan(star, colouring, plan) if plan else steps_of_cuts(star, colouring, found.cuts)
    sets = set_steps(star, colouring, [piece.cut for piece in pieces], plan.spoiled if plan else ())
    buying: tuple[WayOn, ...] = ()
    if not found.covered and in_hand is None:
        from stash.match.ways_on import ways_on

        buying = tuple(way for way in ways_on(star, colouring, fabrics, found) if way.step is Step.BUY)
    by_name = {fabric.name: fabric for fabric in fabrics}
    lacking = _lacking(found) if in_hand else _lacking_by_fabric(star, colouring, fabrics, found)
    said = cautions(star, colouring, by_name, QuiltParts(found.ground, found.quilt))
    return Job(
        name, number, star, colouring, by_name, found, pieces, sets, said,
        plan.id if plan else 0, buying, tuple(changed_since(pieces, {one.id: one for one in fabrics})), tuple(lacking),
    )  # fmt: skip


def pictures_of(
    colouring: Colouring, fabrics: Mapping[str, Fabric], picture: Callable[[int], bytes | None]
) -> dict[int, bytes]:
    """The photographs (JPEG) of a colouring's fabrics and of its ground, by fabric id, of those that have one.

    fabrics -- by name. picture -- gives the photograph that the stash keeps of a fabric, by its id.
    """
    names = {*colouring.names, colouring.ground or ""}
    seen = [fabrics[name] for name in names if name in fabrics and fabrics[name].swatch is not None]
    found = {fabric.id: picture(fabric.id) for fabric in seen}
    return {fabric_id: data for fabric_id, data in found.items() if data is not None}


def _lacking(found: Coverage) -> Iterable[ToGet]:
    """What a star that is being cut lacks. Rows of one fabric lack the same strips."""
    rows: dict[tuple[str, ...], tuple[str, int]] = {}
    for one in found.letters:
        if one.mark is Mark.SHORT:
            rows[one.fabrics] = (rows.get(one.fabrics, ("", 0))[0] + one.letter, one.missing)
    return (ToGet(letters, names, strips) for names, (letters, strips) in rows.items())


def _lacking_by_fabric(
    star: Star, colouring: Colouring, fabrics: Sequence[Fabric], found: Coverage
) -> Iterable[ToGet]:
    if found.covered:
        return
    strips = strips_to_get(star, colouring, fabrics)
    for fabric in fabrics:
        letters = "".join(letter for letter in star.letters if fabric.name in colouring.uses[letter])
        if strips.get(fabric.id):
            yield ToGet(letters, (fabric.name,), strips[fabric.id], fabric.recorded)
