"""Which fabrics of the stash have enough for the ground, the binding or the backing of a star."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from stash.errors import Fault
from stash.match.ground import lay_parts
from stash.match.parts import Laid, ground_cover, quilt_covers
from stash.match.replan import cover
from stash.model import Colouring, Coverage, Fabric, GroundCover, Mark, QuiltCover, Star, StoredPlan, with_part
from stash.names import name_key

Found = GroundCover | QuiltCover


def needed_of(star: Star, part: str) -> Fraction:
    """Inches of cloth, as wide as shops have it, that a part of the quilt takes, before straightening."""
    return lay_parts(Fabric(0, "", ()), star, (part,)).parts[0].length


def ground_alone(star: Star, colouring: Colouring, fabrics: Sequence[Fabric]) -> GroundCover | None:
    """The ground of a colouring whatever its rows ask for; None where none is named or it is not there."""
    named = name_key(colouring.ground or "")
    fabric = next((one for one in fabrics if name_key(one.name) == named), None)
    return None if fabric is None else ground_cover(star, _laid_alone(star, fabric, "ground"))


def marks_as(
    star: Star, colouring: Colouring, part: str, fabrics: Sequence[Fabric], plan: StoredPlan | None = None
) -> Iterator[tuple[int, Mark]]:
    """Each fabric by id with the mark it would have as that part of the quilt, beside what else the colouring asks of
    it. `plan` says what is cut already (see `plan_in_hand`); one answer takes some milliseconds."""
    parts = [name for other, name in colouring.parts.items() if other != part]
    used = {name_key(name) for names in (*colouring.uses.values(), parts) for name in names}
    complete = set(colouring.uses) == set(star.letters)
    known: dict[object, Mark] = {}
    for fabric in fabrics:
        if complete and name_key(fabric.name) in used:
            asked = with_part(colouring, part, fabric.name)
            try:
                yield fabric.id, _mark_in(cover(star, asked, fabrics, plan), part)
            except Fault:  # of another fabric of the colouring, one that is archived
                yield fabric.id, _mark_alone(star, fabric, part)
        else:
            alike = (fabric.recorded, tuple(replace(piece, id=0, rev=0) for piece in fabric.pieces))
            if alike not in known:
                known[alike] = _mark_alone(star, fabric, part)
            yield fabric.id, known[alike]


def _mark_alone(star: Star, fabric: Fabric, part: str) -> Mark:
    laid = _laid_alone(star, fabric, part)
    ground = ground_cover(star, laid)
    return ground.mark if ground is not None else next(iter(quilt_covers(star, laid))).mark


def _laid_alone(star: Star, fabric: Fabric, part: str) -> dict[str, Laid]:
    return {part: Laid(fabric, lay_parts(fabric, star, (part,)), {})}


def _mark_in(found: Coverage, part: str) -> Mark:
    quilt = {one.what: one.mark for one in found.quilt}
    return found.ground.mark if part == "ground" and found.ground is not None else quilt[part]
