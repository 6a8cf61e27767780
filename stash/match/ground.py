"""Whether a fabric holds the parts of the quilt round the star, and what it leaves for letters of the same fabric.

Ground (with the borders), binding and backing are laid out in shelves at the usable width: bands from selvage to
selvage, each cut across from one piece of yardage that is at least as wide. A fabric that is several of these, and
letters too, is counted once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import product

from stash.lengths import TICKS_PER_INCH, to_inches, to_ticks
from stash.match.supply import HALF_INCH, Offer, free, offer, offers, trims
from stash.model import Fabric, Kind, Piece, Star, Way
from stash.star.ground import ground_layouts
from stash.star.quilt import BINDING_STRIP, backing_panels, binding_strips
from stash.star.surd import Surd

PARTS = ("ground", "binding", "backing")  # in the order in which they are laid on a fabric's pieces
MOST_WAYS = 400  # ways to place the shelves that are told apart; more than any stash of this kind needs


@dataclass(frozen=True, slots=True)
class PartOnPieces:
    """One part on a fabric: inches of cloth at the measured width before straightening, inches of shelves that find
    no place beside the parts before it, and what is to be said of it."""

    part: str
    length: Fraction
    missing: Fraction
    note: str = ""


@dataclass(frozen=True, slots=True)
class OnPieces:
    """Parts of the quilt on a fabric's pieces.

    `kept` -- for each way to place the shelves of those that fit the ticks kept of each piece, in the order of the
    pieces; one way that keeps nothing where none fits.
    """

    parts: tuple[PartOnPieces, ...]
    kept: tuple[tuple[int, ...], ...]

    @property
    def missing(self) -> Fraction:
        return sum((part.missing for part in self.parts), Fraction(0))

    @property
    def length(self) -> Fraction:
        return sum((part.length for part in self.parts), Fraction(0))


@dataclass(frozen=True, slots=True)
class _Plan:
    """One part laid out at one width: its shelves in ticks."""

    part: str
    shelves: tuple[int, ...]
    length: Fraction
    note: str
    lengthwise: bool


def lay_parts(fabric: Fabric, star: Star, parts: Iterable[str]) -> OnPieces:
    """Place the parts on the pieces of `fabric`. The width is one of its pieces', the borders go lengthwise where a
    piece is long enough; of what fits that is taken, then what takes least cloth."""
    asked = [part for part in PARTS if part in set(parts)]
    pieces = sorted(fabric.pieces, key=lambda piece: piece.id)
    widths = sorted({free(piece)[1] for piece in pieces if _is_cloth(piece)}, reverse=True)
    tried = [
        (_place(pieces, width, plans), plans)
        for width in widths
        for plans in _plans(star, asked, [to_inches(width)] * len(asked))
    ]
    if not tried:
        bought = [{"binding": star.binding_width, "backing": star.backing_width}.get(one, star.width) for one in asked]
        plans = min(_plans(star, asked, bought), key=lambda found: sum(plan.length for plan in found))
        nothing = tuple(PartOnPieces(plan.part, plan.length, plan.length, plan.note) for plan in plans)
        return OnPieces(nothing, (tuple(0 for _ in pieces),))
    return min(tried, key=lambda one: (one[0].missing, not any(plan.lengthwise for plan in one[1]), one[0].length))[0]


def lay_ground(fabric: Fabric, star: Star) -> OnPieces:
    """The ground alone."""
    return lay_parts(fabric, star, ("ground",))


def _is_cloth(piece: Piece) -> bool:
    return piece.kind is Kind.YARDAGE and (piece.hold is None or piece.hold.way is Way.ACROSS)


def _plans(star: Star, parts: Sequence[str], widths: Sequence[Fraction]) -> list[tuple[_Plan, ...]]:
    """The parts laid out at these widths (inches), in each way that is worth looking at."""
    return list(product(*(_ways(star, part, width) for part, width in zip(parts, widths, strict=True))))


def _ways(star: Star, part: str, width: Fraction) -> list[_Plan]:
    if part == "binding":
        return [_even(part, binding_strips(star, width), Surd(BINDING_STRIP))]
    if part == "backing":
        return [_even(part, *backing_panels(star, width))]
    return [
        _Plan(
            part, tuple(to_ticks(shelf.height) for shelf in layout.shelves), layout.length, layout.note,
            layout.borders == "lengthwise",
        )
        for layout in ground_layouts(star, width)
    ]  # fmt: skip


def _even(part: str, count: int, height: Surd) -> _Plan:
    """`count` shelves of one height, cut up to 1/8 in."""
    each = height.up_to(Fraction(1, 8))
    return _Plan(part, (to_ticks(each),) * count, count * each, "", lengthwise=False)


def room_of(piece: Piece) -> int:
    """Ticks of a piece's length that shelves may take, straightened."""
    held = piece if piece.hold is None else replace(piece, cut_before=True)
    return max(0, free(piece)[0] - trims(held)[0])


def _place(pieces: Sequence[Piece], width: int, plans: Sequence[_Plan]) -> OnPieces:
    """One part after the other: each beside those before it that found room."""
    room = tuple(room_of(piece) if _is_cloth(piece) and free(piece)[1] >= width else 0 for piece in pieces)
    placed: tuple[int, ...] = ()
    kept: tuple[tuple[int, ...], ...] = (tuple(0 for _ in pieces),)
    said = []
    for plan in plans:
        together = tuple(sorted((*placed, *plan.shelves), reverse=True))
        found, missing = _placements(room, together)
        if found:
            placed, kept = together, found
        said.append(PartOnPieces(plan.part, plan.length, Fraction(missing, TICKS_PER_INCH), plan.note))
    return OnPieces(tuple(said), kept)


def _placements(room: tuple[int, ...], shelves: tuple[int, ...]) -> tuple[tuple[tuple[int, ...], ...], int]:
    """Every way to place the shelves (highest first) as ticks kept of each piece, and ticks that find no place in the
    best one. Ways that leave the same are one."""
    lefts: dict[tuple[int, ...], int] = {room: 0}
    for height in shelves:
        after: dict[tuple[int, ...], int] = {}
        for left, unplaced in lefts.items():
            able = [i for i, free_length in enumerate(left) if free_length >= height]
            if not able:
                after[left] = min(unplaced + height, after.get(left, unplaced + height))
            for i in able:
                rest = (*left[:i], left[i] - height, *left[i + 1 :])
                after[rest] = min(unplaced, after.get(rest, unplaced))
        lefts = dict(sorted(after.items(), key=lambda one: (one[1], sorted(one[0])))[:MOST_WAYS])
    whole = [left for left, unplaced in lefts.items() if not unplaced]
    kept = sorted(tuple(before - left for before, left in zip(room, each, strict=True)) for each in whole)
    return tuple(kept), min(lefts.values())


def supplies(fabric: Fabric, star: Star, laid: OnPieces | None) -> tuple[tuple[Offer, ...], ...]:
    """What `fabric` offers the letters, in one variant for each way to keep the cloth of its parts back."""
    if laid is None or not any(any(kept) for kept in laid.kept):
        return (offers(fabric, star),)
    pieces = sorted(fabric.pieces, key=lambda piece: piece.id)
    found = [
        tuple(offer(piece, star, fabric.directional, kept) for piece, kept in zip(pieces, keep, strict=True))
        for keep in laid.kept
    ]
    by_lanes = {tuple(one.ways for one in offered): offered for offered in reversed(found)}
    return tuple(reversed(by_lanes.values()))


def is_tight(fabric: Fabric, laid: OnPieces) -> bool:
    """Whether every way to place the parts leaves under 1/2 in on a piece that they are cut from."""
    room = [room_of(piece) for piece in sorted(fabric.pieces, key=lambda piece: piece.id)]
    return all(
        any(keep and free_length - keep < HALF_INCH for free_length, keep in zip(room, kept, strict=True))
        for kept in laid.kept
    )
