"""Whether a fabric holds the parts of the quilt round the star, and what it leaves for letters of the same fabric.

Ground (with the borders), binding and backing are laid out in shelves at the usable width: bands from selvage to
selvage, each cut across from one piece of yardage that is at least as wide. A fabric that is several of these, and
letters too, is counted once.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby, product

from stash.lengths import TICKS_PER_INCH, to_inches, to_ticks
from stash.match.shelves import Room, Shelves, height_left, lay, ways_to_lie
from stash.match.supply import HALF_INCH, Offer, Supply, free, offer, offers, trims
from stash.model import QUILT_PARTS, Fabric, Kind, Piece, Star, Way
from stash.star.ground import ground_layouts
from stash.star.quilt import BINDING_STRIP, backing_panels, binding_strips
from stash.star.surd import Surd

NARROWEST = 18 * TICKS_PER_INCH  # yardage narrower than a fat quarter is a remnant, no width to lay parts out on
MOST_LAYOUTS = 60  # layouts of all parts together that are tried
MOST_OTHERS = 3  # further layouts that the letters are asked about
MOST_VARIANTS = 40  # ways to keep cloth that the letters are asked about


@dataclass(frozen=True, slots=True)
class PartOnPieces:
    """One part on a fabric: inches of cloth at the measured width before straightening, inches of shelves that find
    no place beside the parts before it, what is to be said of it, and whether shops' cloth is as wide."""

    part: str
    length: Fraction
    missing: Fraction
    note: str = ""
    buyable: bool = True


@dataclass(frozen=True, slots=True)
class OnPieces:
    """Parts of the quilt on a fabric's pieces.

    `rooms` -- of each piece, in the order of their ids. `shelves` -- of all parts. `others` -- other layouts that fit
    as well, which may leave the letters more.
    """

    parts: tuple[PartOnPieces, ...]
    rooms: tuple[Room, ...]
    shelves: tuple[Shelves, ...]
    others: tuple[OnPieces, ...] = ()

    @property
    def missing(self) -> Fraction:
        """Inches of shelves of all parts that find no place."""
        return sum((part.missing for part in self.parts), Fraction(0))

    @property
    def length(self) -> Fraction:
        """Inches of cloth that all parts take, before straightening."""
        return sum((part.length for part in self.parts), Fraction(0))

    @property
    def fitting(self) -> tuple[Shelves, ...]:
        """The shelves of the parts that fit."""
        whole = {part.part for part in self.parts if not part.missing}
        return tuple(each for each in self.shelves if each.part in whole)


@dataclass(frozen=True, slots=True)
class _Layout:
    """One part laid out at one width."""

    part: str
    shelves: tuple[Shelves, ...]
    length: Fraction
    note: str = ""
    lengthwise: bool = False
    joined: int = 1
    buyable: bool = True


def lay_parts(fabric: Fabric, star: Star, parts: Iterable[str]) -> OnPieces:
    """Place the parts on the pieces of `fabric`, each laid out at the width of one of them or of what shops sell.

    Of what fits no widths joined come before any, borders lengthwise before across, then what takes least cloth. Where
    nothing fits, what lacks least of the first part, then of the next, laid out so that bought cloth gives the rest.
    """
    asked = [part for part in QUILT_PARTS if part in set(parts)]
    rooms = tuple(_room(piece) for piece in sorted(fabric.pieces, key=lambda piece: piece.id))
    widths = sorted({room.width for room in rooms if room.length}, reverse=True)
    layouts = sorted(product(*(_layouts(star, part, widths) for part in asked)), key=_wanted)[:MOST_LAYOUTS]
    found = [_laid(rooms, together) for together in layouts]
    found = [one for one in found if all(not part.missing or part.buyable for part in one.parts)]
    least = min(tuple(part.missing for part in one.parts) for one in found)
    best, *others = (one for one in found if tuple(part.missing for part in one.parts) == least)
    return replace(best, others=tuple(others[:MOST_OTHERS]))


def _laid(rooms: tuple[Room, ...], together: Sequence[_Layout]) -> OnPieces:
    shelves = tuple(each for one in together for each in one.shelves)
    missing = height_left(shelves, lay(rooms, shelves).left)
    parts = (
        PartOnPieces(one.part, one.length, to_inches(missing[one.part]), one.note, one.buyable) for one in together
    )
    return OnPieces(tuple(parts), rooms, shelves)


def lay_ground(fabric: Fabric, star: Star) -> OnPieces:
    """The ground alone."""
    return lay_parts(fabric, star, ("ground",))


def _room(piece: Piece) -> Room:
    """Where shelves may lie, straightened; none on cloth that a plan of another star cuts along."""
    length, width = free(piece)
    held = piece if piece.hold is None else replace(piece, cut_before=True)
    across = piece.hold is None or piece.hold.way is Way.ACROSS
    if piece.kind is not Kind.YARDAGE or not across or width < NARROWEST:
        return Room(0, 0)
    return Room(max(0, length - trims(held)[0]), width)


def sold_width(star: Star, part: str) -> Fraction:
    """The usable width in inches of the cloth that a part of the quilt is bought from."""
    return {"binding": star.binding_width, "backing": star.backing_width}.get(part, star.width)


def _wanted(together: Sequence[_Layout]) -> tuple[int, bool, Fraction]:
    return (
        max((one.joined for one in together), default=1),
        not any(one.lengthwise for one in together),
        sum((one.length for one in together), Fraction(0)),
    )


def _layouts(star: Star, part: str, widths: Sequence[int]) -> list[_Layout]:
    """A part laid out in each way worth looking at, at the pieces' widths (ticks) and at what shops sell. Of widths
    that give the same the narrowest is enough."""
    sold = to_ticks(sold_width(star, part))
    found = {}
    for width in sorted({*widths, sold}, reverse=True):
        for layout in _at_width(star, part, width):
            alike = tuple((each.height, each.count) for each in layout.shelves)
            found[alike, layout.lengthwise, layout.joined] = replace(layout, buyable=width <= sold)
    return list(found.values())


def _at_width(star: Star, part: str, width: int) -> list[_Layout]:
    inches = to_inches(width)
    if part == "binding":
        return [_even(part, width, binding_strips(star, inches), Surd(BINDING_STRIP))]
    if part == "backing":
        return [_even(part, width, *backing_panels(star, inches))]
    return [
        _Layout(
            part, _counted(part, width, (to_ticks(shelf.height) for shelf in layout.shelves)), layout.length,
            layout.note, layout.borders == "lengthwise", layout.joined,
        )
        for layout in ground_layouts(star, inches)
    ]  # fmt: skip


def _counted(part: str, width: int, heights: Iterable[int]) -> tuple[Shelves, ...]:
    """The highest first, those alike counted."""
    return tuple(
        Shelves(part, width, height, len(list(alike))) for height, alike in groupby(sorted(heights, reverse=True))
    )


def _even(part: str, width: int, count: int, height: Surd) -> _Layout:
    """`count` shelves of one height, cut up to 1/8 in."""
    each = height.up_to(Fraction(1, 8))
    return _Layout(part, (Shelves(part, width, to_ticks(each), count),), count * each)


def is_tight(laid: OnPieces, part: str) -> bool:
    """Whether every way to place the parts that fit leaves under 1/2 in on a piece that `part` is cut from."""
    return any(lay(laid.rooms, laid.fitting, roomy=part, spare=HALF_INCH).left)


def lacking_beside(laid: OnPieces, taken: Mapping[int, int]) -> dict[str, Fraction]:
    """Inches that each part lacks where letters take `taken` ticks of pieces (by place in the order of ids). Parts
    that fit come first, so that what the others lack, once bought, is enough for all."""
    rooms = [Room(max(0, one.length - taken.get(i, 0)), one.width) for i, one in enumerate(laid.rooms)]
    shelves = (*laid.fitting, *(each for each in laid.shelves if each not in laid.fitting))
    return {part: to_inches(ticks) for part, ticks in height_left(shelves, lay(rooms, shelves).left).items()}


def supplies(fabric: Fabric, star: Star, laid: OnPieces | None) -> Supply:
    """What `fabric` offers the letters, in one variant for each way to keep the cloth of its parts back."""
    if laid is None or not laid.fitting:
        return (offers(fabric, star),)
    layouts = (laid, *laid.others)
    most = MOST_VARIANTS // len(layouts)
    return tuple(dict.fromkeys(each for one in layouts for each in supplies_beside(fabric, star, one)[:most]))


def supplies_beside(fabric: Fabric, star: Star, laid: OnPieces) -> list[tuple[Offer, ...]]:
    """The variants that one layout leaves, those with most strips first."""
    pieces = sorted(fabric.pieces, key=lambda piece: piece.id)
    variants: list[tuple[Offer, ...]] = []
    for keep in ways_kept(fabric, star, laid):
        offered = tuple(offer(one, star, fabric.directional, kept) for one, kept in zip(pieces, keep, strict=True))
        if not any(_gives_all_of(offered, other) for other in variants):
            variants.append(offered)
    return variants


def ways_kept(fabric: Fabric, star: Star, laid: OnPieces) -> list[tuple[int, ...]]:
    """The ways to place the parts that fit, as ticks kept of each piece, in the order of their ids: those that leave
    most strips first."""
    pieces = sorted(fabric.pieces, key=lambda piece: piece.id)
    strip = star.strip * TICKS_PER_INCH
    alike = [replace(piece, id=0, rev=0) for piece in pieces]

    def worth(number: int, left: int) -> int:
        return int(left // strip) * laid.rooms[number].width

    found = ways_to_lie(laid.rooms, laid.fitting, alike, worth)
    return found or [lay(laid.rooms, laid.fitting).kept]


def _gives_all_of(offered: Sequence[Offer], other: Sequence[Offer]) -> bool:
    """Whether `other` gives on every piece all the lanes that `offered` does."""
    return all(
        any(way.way is more.way and way.count <= more.count and way.length <= more.length for more in theirs.ways)
        for mine, theirs in zip(offered, other, strict=True)
        for way in mine.ways
    )
