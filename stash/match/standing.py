"""Strips of a kept plan that can still be cut as they were planned, on a piece as it is now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stash.model import Piece, PieceCut, StoredStrip, Way, left_of, plannings


@dataclass(frozen=True, slots=True)
class Standing:
    """`strips` of one piece that stand, and their `cuts` with places on the piece as it is now: what was planned at
    one time is one cut. `left` is the length and width in ticks that they leave of it."""

    strips: tuple[StoredStrip, ...]
    cuts: tuple[PieceCut, ...]
    left: tuple[int, int]


def standing(piece: Piece | None, strips: Sequence[StoredStrip]) -> Standing:
    """Which of the strips of one piece (None: it is used up) stand; `strips` are all of the plan's on it, cut or not.

    A piece must be just what the plan and the strips booked of it have left; then its edge is the one of the last cut,
    and is not straightened again. What was planned later begins where the earlier ends.
    """
    size = (piece.length, piece.width) if piece else (0, 0)
    stand: list[StoredStrip] = []
    cuts: list[PieceCut] = []
    begins = (0, 0)
    for planned in plannings(strips):
        waiting = [strip for strip in planned if strip.booked is None]
        if not waiting:
            continue
        if piece is None or size != left_of(planned):
            break
        begun = len(waiting) < len(planned)
        cuts.append(_from_the_edge(piece, waiting, begins) if begun else _as_planned(piece, waiting, begins))
        begins = _end(cuts[-1])
        size = left_of(planned, [strip.id for strip in waiting])
        stand += waiting
    return Standing(tuple(stand), tuple(cuts), size)


def is_straight(piece: Piece, strips: Sequence[StoredStrip]) -> bool:
    """Whether all of a plan's `strips` on a piece are cut and its edge is the one they left."""
    return bool(strips) and all(one.booked is not None for one in strips) and (
        (piece.length, piece.width) == left_of(plannings(strips)[-1])
    )  # fmt: skip


def _as_planned(piece: Piece, waiting: Sequence[StoredStrip], begins: tuple[int, int]) -> PieceCut:
    """Strips of a planning of which nothing is cut yet."""
    strips = [strip.cut.strips[0] for strip in waiting]
    moved = tuple(replace(strip, x=strip.x + begins[0], y=strip.y + begins[1]) for strip in strips)
    return _on(piece, replace(waiting[0].cut, strips=moved))


def _from_the_edge(piece: Piece, waiting: Sequence[StoredStrip], begins: tuple[int, int]) -> PieceCut:
    """The others of a planning, side by side from where the last one was cut off."""
    x, y = begins
    strips = []
    for strip in waiting:
        strips.append(replace(strip.cut.strips[0], x=x, y=y))
        x, y = _beyond(waiting[0].cut.way, x, y, strips[-1].width)
    return _on(piece, replace(waiting[0].cut, strips=tuple(strips), trim_length=0, trim_width=0))


def _on(piece: Piece, cut: PieceCut) -> PieceCut:
    return replace(cut, rev=piece.rev, piece_length=piece.length, piece_width=piece.width)


def _end(cut: PieceCut) -> tuple[int, int]:
    """Where the cloth begins that is left beyond the strips."""
    last = max(cut.strips, key=lambda strip: strip.y if cut.way is Way.ACROSS else strip.x)
    return _beyond(cut.way, last.x, last.y, last.width)


def _beyond(way: Way, x: int, y: int, width: int) -> tuple[int, int]:
    return (x, y + width) if way is Way.ACROSS else (x + width, y)
