"""Whether a fabric holds the ground, and what it leaves for letters of the same fabric.

The ground is laid out in shelves at the usable width (`stash.star.quilt`); each shelf is cut across from one piece
that is at least as wide.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from stash.lengths import TICKS_PER_INCH, to_inches, to_ticks
from stash.match.supply import HALF_INCH, Offer, offer, offers, trims
from stash.model import Fabric, Kind, Piece, Star
from stash.star.quilt import ground_layout


@dataclass(frozen=True, slots=True)
class GroundOnPieces:
    """The ground on a fabric's pieces.

    `length` -- inches of cloth at the measured width, before straightening. `kept` -- for each way to place all
    shelves the ticks kept of each piece (in the order of the pieces); empty when they do not fit. `missing` --
    inches of shelves that find no place.
    """

    length: Fraction
    kept: tuple[tuple[int, ...], ...]
    missing: Fraction

    @property
    def fits(self) -> bool:
        return bool(self.kept)


def lay_ground(fabric: Fabric, star: Star) -> GroundOnPieces:
    """Place the ground's shelves on the pieces of `fabric`; the usable width that needs least cloth is taken."""
    pieces = sorted(fabric.pieces, key=lambda piece: piece.id)
    cloth = [piece for piece in pieces if piece.kind is Kind.YARDAGE]
    widths = sorted({piece.width for piece in cloth}, reverse=True)
    tried = [_at_width(pieces, star, width) for width in widths]
    if not tried:
        layout = ground_layout(star, star.width)
        return GroundOnPieces(layout.length, (), layout.length)
    return min(tried, key=lambda found: (found.missing, found.length))


def _at_width(pieces: Sequence[Piece], star: Star, width: int) -> GroundOnPieces:
    layout = ground_layout(star, to_inches(width))
    shelves = sorted((to_ticks(shelf.height) for shelf in layout.shelves), reverse=True)
    room = tuple(
        piece.length - trims(piece)[0] if piece.kind is Kind.YARDAGE and piece.width >= width else 0
        for piece in pieces
    )
    kept: set[tuple[int, ...]] = set()
    missing = [sum(shelves)]

    def place(next_shelf: int, left: tuple[int, ...], unplaced: int) -> None:
        if next_shelf == len(shelves):
            missing[0] = min(missing[0], unplaced)
            if unplaced == 0:
                kept.add(tuple(before - after for before, after in zip(room, left, strict=True)))
            return
        height = shelves[next_shelf]
        seen: set[int] = set()
        for i, free in enumerate(left):
            if free >= height and free not in seen:
                seen.add(free)
                place(next_shelf + 1, (*left[:i], free - height, *left[i + 1 :]), unplaced)
        if not seen:
            place(next_shelf + 1, left, unplaced + height)

    place(0, room, 0)
    return GroundOnPieces(layout.length, tuple(sorted(kept)), Fraction(missing[0], TICKS_PER_INCH))


def supplies(fabric: Fabric, star: Star, ground: GroundOnPieces | None) -> tuple[tuple[Offer, ...], ...]:
    """What `fabric` offers the letters, in one variant for each way to keep the ground's cloth back."""
    if ground is None or not ground.fits:
        return (offers(fabric, star),)
    pieces = sorted(fabric.pieces, key=lambda piece: piece.id)
    return tuple(
        tuple(
            offer(piece, star, fabric.directional, kept) for piece, kept in zip(pieces, keep, strict=True)
        )
        for keep in ground.kept
    )


def is_tight(fabric: Fabric, ground: GroundOnPieces) -> bool:
    """Whether every way to place the ground leaves under 1/2 in on a piece it is cut from."""
    room = [piece.length - trims(piece)[0] for piece in sorted(fabric.pieces, key=lambda piece: piece.id)]
    return all(
        any(keep and free - keep < HALF_INCH for free, keep in zip(room, kept, strict=True)) for kept in ground.kept
    )
