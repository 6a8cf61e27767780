"""A star whose plan is kept and cut in part, with the cloth as each strip leaves it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from stash.match.coverage import check
from stash.model import Colouring, Fabric, Kind, LetterCover, Piece, PieceCut, Star, StoredPlan, StoredStrip, Way
from tests.engine.stashes import inch

# A mirrored 2 x 2 star of 2 1/2 in strips takes A 2 and B 2 strips (common practice, no source).
POND = Star(2, Fraction(5, 2), "ABA")
USES = Colouring({"A": ("Fern",), "B": ("Rust",)})


def yards(number: int, length: float, **more: bool) -> Piece:
    return Piece(number, Kind.YARDAGE, inch(length), inch(40), **more)


def cloth(fern: Iterable[Piece], rust: Iterable[Piece]) -> list[Fabric]:
    return [Fabric(1, "Fern", tuple(fern)), Fabric(2, "Rust", tuple(rust))]


def kept(star: Star, uses: Colouring, fabrics: list[Fabric]) -> StoredPlan:
    """The plan of a check as a stash keeps it."""
    single = [replace(cut, strips=(strip,)) for cut in check(star, uses, fabrics).cuts for strip in cut.strips]
    return StoredPlan(1, 1, 1, tuple(StoredStrip(i, cut) for i, cut in enumerate(single, 1)))


def cut_off(fabric: Fabric, cuts: Iterable[PieceCut]) -> Fabric:
    """The fabric when strips are off, each piece straightened once (derived)."""
    pieces = {piece.id: piece for piece in fabric.pieces}
    for cut in cuts:
        if cut.fabric_id == fabric.id:
            before = pieces[cut.piece]
            fresh = before.rev == cut.rev
            length = before.length - (cut.trim_length if fresh else 0)
            width = before.width - (cut.trim_width if fresh else 0)
            off = cut.strips[0].width
            length, width = (length - off, width) if cut.way is Way.ACROSS else (length, width - off)
            pieces[cut.piece] = replace(before, length=length, width=width, rev=cut.rev + 1, cut_before=True)
    return replace(fabric, pieces=tuple(one for one in pieces.values() if min(one.length, one.width) > 0))


def book(plan: StoredPlan, fabrics: list[Fabric], ids: Iterable[int]) -> tuple[StoredPlan, list[Fabric]]:
    chosen = set(ids)
    strips = tuple(replace(one, booked=7) if one.id in chosen else one for one in plan.strips)
    off = [one.cut for one in plan.strips if one.id in chosen]
    return replace(plan, strips=strips), [cut_off(one, off) for one in fabrics]


def of(found: Iterable[LetterCover], letter: str) -> LetterCover:
    return next(one for one in found if one.letter == letter)
