"""Cloth that plans of other stars hold: kept back from what a star may take until it is cut or let go."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from stash.model import Fabric, Hold, Piece, PieceCut, StoredPlan, Way


def hold_back(
    fabrics: Iterable[Fabric], plans: Iterable[StoredPlan], star_id: int | None, names: Mapping[int, str]
) -> tuple[Fabric, ...]:
    """The fabrics as star `star_id` may use them (None: a star that is not saved).

    plans -- the open ones of the stash; those of the star itself hold nothing against it.
    names -- of the saved stars, by id.
    """
    held: defaultdict[int, list[Hold]] = defaultdict(list)
    for plan in plans:
        if plan.star_id != star_id:
            for piece, hold in _holds(plan, names.get(plan.star_id, "")):
                held[piece].append(hold)
    if not held:
        return tuple(fabrics)
    return tuple(
        replace(fabric, pieces=tuple(_held(piece, held.get(piece.id, ())) for piece in fabric.pieces))
        if any(piece.id in held for piece in fabric.pieces)
        else fabric
        for fabric in fabrics
    )


def _holds(plan: StoredPlan, name: str) -> Iterable[tuple[int, Hold]]:
    """What one plan still holds, piece by piece; straightening counts until its first strip is cut."""
    strips: defaultdict[int, list[PieceCut]] = defaultdict(list)
    begun = {strip.cut.piece for strip in plan.strips if strip.booked is not None}
    for strip in plan.strips:
        if strip.booked is None:
            strips[strip.cut.piece].append(strip.cut)
    for piece, cuts in strips.items():
        one = cuts[0]
        ticks = sum(cut.strips[0].width for cut in cuts)
        trims = (0, 0) if piece in begun else (one.trim_length, one.trim_width)
        own, other = trims if one.way is Way.ACROSS else trims[::-1]
        yield piece, Hold(one.way, ticks + own, other, (name,))


def _held(piece: Piece, holds: Sequence[Hold]) -> Piece:
    """A piece with all that is held of it; where plans would cut it both ways nothing of it is left."""
    if not holds:
        return piece
    stars = tuple(dict.fromkeys(star for hold in holds for star in hold.stars))
    if len({hold.way for hold in holds}) > 1:
        return replace(piece, hold=Hold(Way.ACROSS, piece.length, piece.width, stars))
    ticks, off = sum(hold.ticks for hold in holds), sum(hold.off for hold in holds)
    return replace(piece, hold=Hold(holds[0].way, ticks, off, stars))
