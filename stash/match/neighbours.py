"""What happens where two rows of a star lie side by side: rows that blend, or prints that run into each other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from stash.colour.lab import delta_e_2000
from stash.match.near import value_shift
from stash.model import Fabric, Star

SAME_VALUE = 5.0  # rows nearer than this in L* are of one value (our own figures, all three: none is published)
BLEND = 10.0  # and under this CIEDE2000 of one colour, too
BUSY = 15.0  # a print of more variety than this is busy


class Side(StrEnum):
    """What two neighbouring rows do."""

    BLEND = "blend"
    SAME_VALUE = "same value"
    OVERLAP = "overlap"


@dataclass(frozen=True, slots=True)
class Neighbour:
    """Two letters that lie side by side and what their fabrics do there; `rows` is the first place (1 = centre)."""

    kind: Side
    letters: str
    rows: tuple[int, int]


def neighbours(star: Star, fabrics: Mapping[str, Fabric]) -> tuple[Neighbour, ...]:
    """What neighbouring rows do, from the centre to the tip; each pair of letters is told of once.

    A blend: L* under 5 apart and CIEDE2000 under 10. The same value: L* under 5 apart, CIEDE2000 over 10. An
    overlap: two prints of variety over 15 whose 10 to 90 % ranges of value cross. `fabrics` has one for each letter.
    """
    found: list[Neighbour] = []
    seen: set[frozenset[str]] = set()
    for row, (one, other) in enumerate(pairwise(star.order), start=1):
        pair = frozenset((one, other))
        if len(pair) == 2 and pair not in seen:
            seen.add(pair)
            found += [Neighbour(kind, one + other, (row, row + 1)) for kind in _sides(fabrics[one], fabrics[other])]
    return tuple(found)


def _sides(one: Fabric, other: Fabric) -> list[Side]:
    sides = []
    if one.colour is not None and other.colour is not None and abs(one.colour.L - other.colour.L) < SAME_VALUE:
        (difference,) = delta_e_2000(one.colour, [other.colour])
        if difference < BLEND:
            sides.append(Side.BLEND)
        elif difference > BLEND:
            sides.append(Side.SAME_VALUE)
    ranges = [busy for busy in (_busy_range(one), _busy_range(other)) if busy is not None]
    if len(ranges) == 2 and max(low for low, _ in ranges) < min(high for _, high in ranges):
        sides.append(Side.OVERLAP)
    return sides


def _busy_range(fabric: Fabric) -> tuple[float, float] | None:
    """The range of value of a busy print; None for any other fabric."""
    swatch = fabric.swatch
    if swatch is None or swatch.variety <= BUSY:
        return None
    shift = value_shift(fabric)
    return swatch.value_low + shift, swatch.value_high + shift
