"""What a fabric's pieces give: lanes across or along the cloth.

A lane is a strip-wide band of a piece, as long as the piece allows. Cut across, a piece gives
floor((length - straightening) / w) lanes as long as its width; along, floor(width / w) lanes as long as its
length less the straightening. A piece is cut one way; directional fabric across only.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction

from stash.lengths import TICKS_PER_INCH
from stash.model import Cut, Fabric, Kind, Piece, Star, Way

HALF_INCH = TICKS_PER_INCH // 2
STRAIGHTEN_YARDAGE = TICKS_PER_INCH


@dataclass(frozen=True, slots=True)
class Lanes:
    """`count` lanes of `length` ticks, lying `way` on the piece."""

    way: Way
    count: int
    length: int


@dataclass(frozen=True, slots=True)
class Offer:
    """One piece and the ways it can be cut into lanes (across first). `ground` ticks of its length go to the
    ground and are not in the lanes."""

    piece: Piece
    ways: tuple[Lanes, ...]
    ground: int = 0


Supply = tuple[tuple[Offer, ...], ...]
"""What the pieces of a fabric offer in one or more variants: with cloth kept for the ground in one place or another."""


def trims(piece: Piece) -> tuple[int, int]:
    """Ticks that straightening takes off the length and off the width.

    Yardage loses 1 in of length, fat cuts 1/2, a scrap 1/2 at each end of both dimensions, squares and strips
    nothing; yardage that was cut before loses 1/2. (Common practice, no source.)
    """
    if piece.kind is Kind.SCRAP:
        return 2 * HALF_INCH, 2 * HALF_INCH
    if piece.kind in (Kind.SQUARE, Kind.STRIPS):
        return 0, 0
    if piece.kind is Kind.YARDAGE and not piece.cut_before:
        return STRAIGHTEN_YARDAGE, 0
    return HALF_INCH, 0


def free(piece: Piece) -> tuple[int, int]:
    """Length and width in ticks, before straightening, of what no plan of another star holds."""
    hold = piece.hold
    if hold is None:
        return piece.length, piece.width
    if hold.way is Way.ACROSS:
        return piece.length - hold.ticks, piece.width
    return piece.length, piece.width - hold.ticks


def lanes_of(piece: Piece, strip: Fraction, way: Way, ground: int = 0) -> Lanes:
    """The lanes of `strip` inches that `piece` gives cut `way`, `ground` ticks of its length being kept.

    A piece that plans of other stars hold cloth of is reckoned as if they had cut it, and gives lanes their way only.
    """
    if piece.hold is not None and piece.hold.way is not way:
        return Lanes(way, 0, 0)
    length, width = free(piece)
    off_length, off_width = trims(piece if piece.hold is None else replace(piece, cut_before=True))
    length -= off_length + ground
    width -= off_width
    if length <= 0 or width <= 0:
        return Lanes(way, 0, 0)
    side, along = (length, width) if way is Way.ACROSS else (width, length)
    return Lanes(way, side * strip.denominator // (strip.numerator * TICKS_PER_INCH), along)


def offer(piece: Piece, star: Star, directional: bool, ground: int = 0) -> Offer:
    """The lanes of one piece for `star`; ways that give no lane are left out."""
    ways = (Way.ACROSS,) if directional else (Way.ACROSS, Way.ALONG)
    found = (lanes_of(piece, star.strip, way, ground) for way in ways)
    return Offer(piece, tuple(lanes for lanes in found if lanes.count > 0), ground)


def offers(fabric: Fabric, star: Star) -> tuple[Offer, ...]:
    """What each piece of `fabric` offers `star`, oldest piece first."""
    return tuple(offer(piece, star, fabric.directional) for piece in sorted(fabric.pieces, key=lambda p: p.id))


def strips_off(fabric: Fabric, count: int, strip: Fraction) -> tuple[Cut, ...] | None:
    """The cuts of `count` strips of `strip` inches across, each piece straightened first; None where there is too
    little. They come from the smallest piece that gives them all, else from as few pieces as can be."""
    lanes = {piece.id: lanes_of(piece, strip, Way.ACROSS).count for piece in fabric.pieces}
    able = [piece for piece in fabric.pieces if lanes[piece.id] >= count]
    if able:
        return (_across(fabric, min(able, key=lambda one: (one.length * one.width, one.id)), count, strip),)
    cuts = []
    for piece in sorted(fabric.pieces, key=lambda one: (-lanes[one.id], one.length * one.width, one.id)):
        taken = min(count, lanes[piece.id])
        if taken:
            cuts.append(_across(fabric, piece, taken, strip))
            count -= taken
    return tuple(cuts) if not count else None


def _across(fabric: Fabric, piece: Piece, count: int, strip: Fraction) -> Cut:
    """`count` strips across one piece."""
    off_length, off_width = trims(piece)
    length = piece.length - off_length - math.floor(count * strip * TICKS_PER_INCH)
    width = piece.width - off_width
    left = (length, width) if length > 0 else (0, 0)
    return Cut(fabric.id, piece.id, piece.rev, *left)
