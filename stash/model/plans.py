"""Plans of cuts: strips on pieces, all sizes in ticks. Standard library only."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum


class Way(StrEnum):
    """Across the cloth from selvage to selvage, or along it."""

    ACROSS = "across"
    ALONG = "along"


@dataclass(frozen=True, slots=True)
class Run:
    """`segments` segments of strip set `set` cut in one go from a lane."""

    set: int
    segments: int


@dataclass(frozen=True, slots=True)
class CutStrip:
    """One strip on a piece, in ticks, measured from the piece's own corner before straightening: x along its
    width, y along its length; `length` along the strip whichever way it lies, `width` the strip width (rounded
    down to a whole tick)."""

    x: int
    y: int
    length: int
    width: int
    runs: tuple[Run, ...]


@dataclass(frozen=True, slots=True)
class PieceCut:
    """All strips cut from one piece. `rev` is the piece as the plan saw it; `trim_length` and `trim_width` are
    what straightening takes off its length and width first: a piece that loses some of both is straightened all
    round, half at each end and each side; any other at one end, the one that y counts from. All sizes in ticks."""

    fabric_id: int
    fabric: str
    piece: int
    rev: int
    piece_length: int
    piece_width: int
    way: Way
    strips: tuple[CutStrip, ...]
    trim_length: int = 0
    trim_width: int = 0

    @property
    def all_round(self) -> bool:
        """Whether all four edges are straightened, not one end alone."""
        return self.trim_width > 0

    @property
    def straighten(self) -> int:
        """What comes off each edge that is straightened, ticks; 0 for none."""
        return self.trim_length // 2 if self.all_round else self.trim_length

    @property
    def corner(self) -> tuple[int, int]:
        """x and y in ticks of the straightened piece's own corner, where the first strip begins."""
        return (self.straighten if self.all_round else 0), self.straighten

    def rest(self, widths: Collection[int]) -> tuple[int, int]:
        """Length and width in ticks that are left once straightening and strips of these widths are off: the piece
        as it was for no strips, 0 x 0 where nothing is left."""
        if not widths:
            return self.piece_length, self.piece_width
        length, width = self.piece_length - self.trim_length, self.piece_width - self.trim_width
        taken = sum(widths)
        length, width = (length - taken, width) if self.way is Way.ACROSS else (length, width - taken)
        return (length, width) if min(length, width) > 0 else (0, 0)


@dataclass(frozen=True, slots=True)
class StoredStrip:
    """One strip of a stored plan. `booked` is the history entry that booked it, None while it is still to cut."""

    id: int
    cut: PieceCut  # with this strip only
    booked: int | None = None


@dataclass(frozen=True, slots=True)
class StoredPlan:
    """A plan of cuts kept in the stash for one colouring of a saved star.

    `spoiled[i]` segments of strip set i + 1 were spoiled and cut again from what the set has to spare; sets past
    its end have none.
    """

    id: int
    star_id: int
    number: int
    strips: tuple[StoredStrip, ...]
    spoiled: tuple[int, ...] = ()


def plannings(strips: Iterable[StoredStrip]) -> list[list[StoredStrip]]:
    """The strips of one piece by the times they were planned, the earliest first. A later planning begins with what
    the earlier one leaves."""
    groups: dict[tuple[int, int, int, int, str], list[StoredStrip]] = {}
    for one in strips:
        cut = one.cut
        key = (cut.piece, cut.rev, cut.piece_length, cut.piece_width, str(cut.way))
        groups.setdefault(key, []).append(one)
    return [groups[key] for key in sorted(groups)]


def left_of(planned: Sequence[StoredStrip], booking: Collection[int] = ()) -> tuple[int, int]:
    """What a planning has left of its piece (ticks): what is booked of it is off, and strips by id that are to be."""
    off = [one.cut.strips[0].width for one in planned if one.booked is not None or one.id in booking]
    return planned[0].cut.rest(off)
