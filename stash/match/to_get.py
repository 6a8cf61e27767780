"""How many strips must come of each fabric that a colouring lacks or that is not measured yet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from stash.lengths import to_ticks
from stash.match.coverage import services
from stash.model import Colouring, Fabric, Kind, Piece, Star

PLENTY = Fraction(4000)  # inches: more cloth of one fabric than any star takes


def strips_to_get(star: Star, colouring: Colouring, fabrics: Iterable[Fabric]) -> dict[int, int]:
    """Full-width strips that are to come of each fabric of the letters, by fabric id, for the colouring to be covered.

    Where what is measured is enough, it is only what is not measured yet that is asked for; else what each lacks in the
    choice that lacks fewest together, what is not measured taken as not there. Raises as `check` does.
    """
    stash = tuple(fabrics)
    unmeasured = {fabric.id for fabric in stash if not fabric.recorded}
    found = services(star, colouring, measured(stash, (plenty(star.width),)))
    if not any(service.cost.missing for service in found.values()):
        cut = {key: sum(len(one.fillings) for one in service.pieces) for key, service in found.items()}
        return {key: strips for key, strips in cut.items() if key in unmeasured}
    found = services(star, colouring, measured(stash, ()))
    return {key: service.cost.missing for key, service in found.items() if service.cost.missing}


def measured(fabrics: Iterable[Fabric], pieces: tuple[Piece, ...]) -> list[Fabric]:
    """The fabrics, `pieces` those of what is not measured yet; these are cut across, as bought cloth is."""
    return [one if one.recorded else replace(one, pieces=pieces, recorded=True, directional=True) for one in fabrics]


def plenty(width: Fraction) -> Piece:
    """A piece that has all that is wanted, `width` inches wide."""
    return Piece(0, Kind.YARDAGE, to_ticks(PLENTY), to_ticks(width))
