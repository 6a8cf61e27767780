"""Which kept plans of cuts a change of their star or colouring puts out of date.

Strips hang on the star's measures that make them and on the fabrics at its letters. The quilt round the star takes
cloth of its own; a plan knows of it only where a fabric of the letters makes a part of the quilt as well. Units are how
lengths are shown, and the usable width says what shops sell: neither changes a strip.
"""

from __future__ import annotations

from dataclasses import dataclass

from stash.model import QUILT_PARTS, Star, same_strips

Placed = set[tuple[str, int, int]]  # (letter or one of QUILT_PARTS, place from 1, fabric id)
_QUILT = ("borders", "bed", "drop")
_MEASURES = {
    "ground": (*_QUILT, "width"),
    "binding": (*_QUILT, "binding_width"),
    "backing": (*_QUILT, "backing_width"),
}  # fields of `Star` that a part's cloth hangs on


@dataclass(frozen=True, slots=True)
class Dressed:
    """A star on paper in the fabrics of one of its colourings."""

    star: Star
    placed: Placed


def are_strips_other(before: Dressed, after: Dressed) -> bool:
    """Whether a plan cuts strips that are not wanted any longer, even one that is begun."""
    return not same_strips(before.star, after.star) or _letters(before) != _letters(after)


def is_cloth_other(before: Dressed, after: Dressed) -> bool:
    """Whether a plan that is not begun has to be made anew: its strips are others, or the quilt takes other cloth of a
    fabric that it cuts."""
    if are_strips_other(before, after):
        return True
    cut = {fabric for _, _, fabric in _letters(before)}
    return any(_taken(part, before, after) & cut for part in QUILT_PARTS)


def _letters(dressed: Dressed) -> Placed:
    return {one for one in dressed.placed if one[0] not in QUILT_PARTS}


def _taken(part: str, before: Dressed, after: Dressed) -> set[int]:
    """The fabrics that a part takes other cloth of."""
    old, new = ({fabric for where, _, fabric in one.placed if where == part} for one in (before, after))
    same = all(getattr(before.star, field) == getattr(after.star, field) for field in _MEASURES[part])
    return old ^ new if same else old | new
