"""Cloth that plans of other stars hold: kept back from what a star may take until it is cut or let go."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from stash.match.supply import trims
from stash.model import Fabric, Hold, Piece, PieceCut, StoredPlan, Way


def hold_back(
    fabrics: Iterable[Fabric], plans: Iterable[StoredPlan], star_id: int | None, names: Mapping[int, str]
) -> tuple[Fabric, ...]:
    """The fabrics as star `star_id` may use them (None: a star that is not saved).

    plans -- the open ones of the stash; those of the star itself hold nothing against it.
    names -- of the saved stars, by id.
    """
    waiting: defaultdict[int, list[_Waiting]] = defaultdict(list)
    for plan in plans:
        if plan.star_id != star_id:
            for one in _waiting(plan, names.get(plan.star_id, "")):
                waiting[one.strips[0].piece].append(one)
    if not waiting:
        return tuple(fabrics)
    return tuple(
        replace(fabric, pieces=tuple(_held(piece, waiting.get(piece.id, ())) for piece in fabric.pieces))
        if any(piece.id in waiting for piece in fabric.pieces)
        else fabric
        for fabric in fabrics
    )


@dataclass(frozen=True, slots=True)
class _Waiting:
    """The strips of one plan that are still to cut from one piece; `begun` where others of it are cut."""

    star: str
    strips: tuple[PieceCut, ...]
    begun: bool


def _waiting(plan: StoredPlan, name: str) -> Iterable[_Waiting]:
    strips: defaultdict[int, list[PieceCut]] = defaultdict(list)
    begun = {strip.cut.piece for strip in plan.strips if strip.booked is not None}
    for strip in plan.strips:
        if strip.booked is None:
            strips[strip.cut.piece].append(strip.cut)
    for piece, cuts in strips.items():
        yield _Waiting(name, tuple(cuts), piece in begun)


def _held(piece: Piece, waiting: Sequence[_Waiting]) -> Piece:
    """A piece with all that is held of it.

    Whoever cuts second straightens again, so every plan's straightening is held, and nothing of a piece is left whose
    other side would be straightened again too (a scrap, or cloth cut along), nor of one that plans cut both ways.
    """
    if not waiting:
        return piece
    stars = tuple(dict.fromkeys(one.star for one in waiting))
    ways = {one.strips[0].way for one in waiting}
    way = next(iter(ways))
    again = _trims(replace(piece, cut_before=True), way)
    if len(ways) > 1 or again[1]:
        return replace(piece, hold=Hold(Way.ACROSS, piece.length, stars))
    ticks = sum(_ticks(one, again[0]) for one in waiting)
    return replace(piece, hold=Hold(way, ticks, stars))


def _ticks(one: _Waiting, again: int) -> int:
    """What a plan keeps along the side that strips come off: the strips, and its straightening (`again`: of a piece
    that was cut before)."""
    cut = one.strips[0]
    own = cut.trim_length if cut.way is Way.ACROSS else cut.trim_width
    return sum(strip.strips[0].width for strip in one.strips) + (again if one.begun else own)


def _trims(piece: Piece, way: Way) -> tuple[int, int]:
    """Ticks that straightening takes off the side that strips come off, and off the other side."""
    length, width = trims(piece)
    return (length, width) if way is Way.ACROSS else (width, length)
