"""What the stash says to the parts of the quilt round the star: ground, binding and backing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from stash.match.buying import to_buy
from stash.match.ground import OnPieces, PartOnPieces, is_tight, lacking_beside
from stash.model import QUILT_PARTS, Fabric, GroundCover, Mark, QuiltCover, Star


@dataclass(frozen=True, slots=True)
class Laid:
    """A fabric that makes a part, how its parts lie on its pieces, and ticks of length that the letters `take` of the
    pieces, by place in the order of their ids."""

    fabric: Fabric
    on_pieces: OnPieces
    take: Mapping[int, int]


def ground_cover(star: Star, by_part: Mapping[str, Laid]) -> GroundCover | None:
    """The ground; None where no fabric is named for it."""
    if "ground" not in by_part:
        return None
    on, mark, buy, about = _cover(star, by_part["ground"], "ground")
    return GroundCover(by_part["ground"].fabric.name, mark, on.length, buy, about, on.note)


def quilt_covers(star: Star, by_part: Mapping[str, Laid]) -> Iterable[QuiltCover]:
    """Binding and backing, where a fabric is named for them."""
    for part in QUILT_PARTS[1:]:
        if part in by_part:
            on, mark, buy, about = _cover(star, by_part[part], part)
            yield QuiltCover(part, by_part[part].fabric.name, mark, on.length, buy, about)


def _cover(star: Star, laid: Laid, part: str) -> tuple[PartOnPieces, Mark, Fraction | None, bool]:
    """Where a part lies, its mark, what is to buy, whether it rests on an estimate."""
    on = next(one for one in laid.on_pieces.parts if one.part == part)
    if not laid.fabric.recorded:
        return on, Mark.UNMEASURED, None, False
    about = any(piece.estimated for piece in laid.fabric.pieces)
    if on.missing:
        missing = lacking_beside(laid.on_pieces, laid.take)[part]
        return on, Mark.SHORT, to_buy(star, missing), about
    return on, Mark.TIGHT if is_tight(laid.on_pieces, part) else Mark.COVERED, None, about
