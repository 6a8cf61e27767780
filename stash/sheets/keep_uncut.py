"""Cloth of the quilt round the star that is not to be cut into, and what is there where it is too little."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from stash.lengths import show_length, to_inches
from stash.match.buying import bought_text
from stash.match.ground import NARROWEST
from stash.match.supply import free
from stash.model import Colouring, Fabric, GroundCover, Kind, Mark, QuiltCover, Star
from stash.names import name_key

CUT_LAST = "they are cut last, from measured points"


@dataclass(frozen=True, slots=True)
class QuiltParts:
    """What the stash says to the parts of the quilt round the star; None and () where no fabric is named."""

    ground: GroundCover | None = None
    quilt: tuple[QuiltCover, ...] = ()


def kept_uncut(
    star: Star, colouring: Colouring, parts: QuiltParts, fabrics: Mapping[str, Fabric]
) -> Iterator[str]:
    """A sentence for the setting pieces; for binding and backing where they are short, or where rows are cut from their
    fabric as well. `fabrics` by name."""
    rows = {name_key(name) for names in colouring.uses.values() for name in names}
    if parts.ground is not None:
        yield _setting(star, parts.ground, fabrics.get(parts.ground.fabric))
    for part in parts.quilt:
        if part.mark in (Mark.SHORT, Mark.UNMEASURED):
            what, needed = f"the {part.what}", show_length(part.length_needed, star.units)
            yield f"{_lacking(star, part, what, f'it takes {needed}', fabrics.get(part.fabric))}."
        elif name_key(part.fabric) in rows:
            yield f"Keep {show_length(part.length_needed, star.units)} of {part.fabric} uncut for the {part.what}."


def _setting(star: Star, ground: GroundCover, fabric: Fabric | None) -> str:
    needed = show_length(ground.length_needed, star.units)
    if ground.mark in (Mark.SHORT, Mark.UNMEASURED):
        said = _lacking(star, ground, "the setting pieces", f"they take {needed}", fabric)
        return f"{said}. Keep it uncut: {CUT_LAST}."
    return f"Keep {needed} of {ground.fabric} uncut for the setting pieces: {CUT_LAST}."


def _lacking(star: Star, part: GroundCover | QuiltCover, what: str, takes: str, fabric: Fabric | None) -> str:
    """`Flax is short for the binding: it takes 20 in, 8 in are there; buy 1/2 yd`."""
    if part.mark is Mark.UNMEASURED:
        return f"{part.fabric} for {what} is not measured yet: {takes}"
    buy = f"; buy {bought_text(star, part.buy)}" if part.buy is not None else ""
    return f"{part.fabric} is short for {what}: {takes}, {_there(star, fabric)}{buy}"


def _there(star: Star, fabric: Fabric | None) -> str:
    """What of it can be laid out for such parts: neither held for other stars nor too narrow."""
    yardage = [piece for piece in fabric.pieces if piece.kind is Kind.YARDAGE] if fabric else []
    if not yardage:
        return "no yardage is there"
    yardage = [piece for piece in yardage if piece.width >= NARROWEST and free(piece)[0] > 0]
    if not yardage:
        return "no yardage is there that is free and wide enough"
    about = "about " if any(piece.estimated for piece in yardage) else ""
    inches = to_inches(sum(free(piece)[0] for piece in yardage))
    pieces = f" in {len(yardage)} pieces" if len(yardage) > 1 else ""
    verb = "is" if inches <= Fraction(1) else "are"
    return f"{about}{show_length(inches, star.units)} {verb} there{pieces}"
