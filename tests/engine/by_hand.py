"""A star against a stash worked out the long way, from the definitions alone, to hold the engine against.

Nothing of `stash.match` or `stash.star` is used: lanes, runs, strip sets and choices are counted here once more, by
trying everything.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import product

from stash.lengths import to_ticks
from stash.model import Fabric, Kind, Piece, Sewn, Star, Way

INCH = 8128  # ticks
HALF_INCH = INCH // 2
RUNS = {Sewn.WHOLE: (8,), Sewn.SEVEN_ONE: (7, 1), Sewn.HALVED: (4, 4), Sewn.QUARTERED: (2, 2, 2, 2)}
Uses = Mapping[str, tuple[Fabric, ...]]


def holds(lane: int, runs: int, segments: int, head: Fraction, strip: Fraction) -> bool:
    """The run test: x = l - R (w + e) >= 0 and 2 (G w)^2 <= x^2, in exact ticks. (Derived.)"""
    left = lane - runs * head
    return left >= 0 and 2 * (segments * strip) ** 2 <= left * left


@cache
def packs(lanes: tuple[int, ...], runs: tuple[int, ...], head: Fraction, strip: Fraction) -> bool:
    """Whether each of `runs` finds a place on `lanes` (ticks): every run is tried on every lane."""
    dead: set[tuple[int, tuple[tuple[int, int, int], ...]]] = set()

    def place(done: int, state: tuple[tuple[int, int, int], ...]) -> bool:
        if done == len(runs):
            return True
        if (done, state) in dead:
            return False
        for i, (lane, number, segments) in enumerate(state):
            if i and state[i - 1] == state[i]:
                continue
            if holds(lane, number + 1, segments + runs[done], head, strip):
                fuller = (*state[:i], (lane, number + 1, segments + runs[done]), *state[i + 1 :])
                if place(done + 1, tuple(sorted(fuller))):
                    return True
        dead.add((done, state))
        return False

    return place(0, tuple(sorted((lane, 0, 0) for lane in lanes)))


def trimmed(piece: Piece) -> tuple[int, int]:
    """Length and width after straightening. (Common practice, no source: yardage 1 in, fat cuts and a piece cut
    before 1/2 in, a scrap 1/2 in at both ends of both, squares and strips nothing.)"""
    if piece.kind is Kind.SCRAP:
        return piece.length - INCH, piece.width - INCH
    if piece.kind in (Kind.SQUARE, Kind.STRIPS):
        return piece.length, piece.width
    if piece.kind is Kind.YARDAGE and not piece.cut_before:
        return piece.length - INCH, piece.width
    return piece.length - HALF_INCH, piece.width


def unheld(piece: Piece) -> Piece:
    """What is left of a piece once the stars that hold cloth of it have cut theirs."""
    hold = piece.hold
    if hold is None:
        return piece
    off_length, off_width = (hold.ticks, 0) if hold.way is Way.ACROSS else (0, hold.ticks)
    length, width = piece.length - off_length, piece.width - off_width
    return replace(piece, length=length, width=width, cut_before=True, hold=None)


def lanes(piece: Piece, star: Star, way: Way) -> list[int]:
    length, width = trimmed(unheld(piece))
    if length <= 0 or width <= 0:
        return []
    strip = star.strip * INCH
    return [width] * int(length // strip) if way is Way.ACROSS else [length] * int(width // strip)


def ways(fabric: Fabric, piece: Piece) -> tuple[Way, ...]:
    """A piece is cut one way, so what a hold leaves is cut the hold's."""
    able = (Way.ACROSS,) if fabric.directional else (Way.ACROSS, Way.ALONG)
    return tuple(way for way in able if piece.hold is None or piece.hold.way is way)


def all_lanes(star: Star, fabric: Fabric, most: int) -> set[tuple[int, ...]]:
    """The lanes that all pieces give together, for every way to turn them; at most `most` of each piece."""
    able = [ways(fabric, one) or (None,) for one in fabric.pieces]
    return {
        tuple(sorted(lane for one, way in zip(fabric.pieces, turned, strict=True) if way is not None
                     for lane in lanes(one, star, way)[:most]))
        for turned in product(*able)
    }  # fmt: skip


def head_of(star: Star) -> Fraction:
    """w + e, ticks, with e = (n - 1) |stagger - (w - 2 s)|."""
    finished = star.strip - 2 * star.seam
    slant = 0 if star.stagger is None else (star.grid - 1) * abs(star.stagger - finished)
    return (star.strip + slant) * INCH


def modes(star: Star) -> tuple[Sewn, ...]:
    return tuple(RUNS) if star.small_runs else tuple(RUNS)[:3]


def sets(star: Star) -> list[str]:
    return [star.order[i : i + star.grid] for i in range(star.grid)]


def choices(star: Star, uses: Uses) -> Iterator[tuple[Sewn, ...]]:
    """All choices; a set with two look-alikes in a row is halved, four points of each."""
    paired = {letter for letter, used in uses.items() if len(used) == 2}
    return product(*((Sewn.HALVED,) if paired & set(one) else modes(star) for one in sets(star)))


def runs_for(star: Star, uses: Uses, fabric: Fabric, choice: Sequence[Sewn]) -> tuple[int, ...]:
    """The runs a fabric has to give, longest first."""
    runs: list[int] = []
    for letters, sewn in zip(sets(star), choice, strict=True):
        for letter in letters:
            if fabric in uses.get(letter, ()):
                runs += RUNS[sewn] if len(uses[letter]) == 1 else (4,)
    return tuple(sorted(runs, reverse=True))


def lacks(star: Star, fabric: Fabric, runs: tuple[int, ...], most: int = 40) -> int:
    """The fewest full strips of the star's width that make the fabric's lanes hold `runs`; 1000 if none do."""
    return _lacks(star, fabric, runs, most)


@cache
def _lacks(star: Star, fabric: Fabric, runs: tuple[int, ...], most: int) -> int:
    full, head, strip = to_ticks(star.width), head_of(star), star.strip * INCH
    on_hand = all_lanes(star, fabric, len(runs))
    if runs and not any(packs((lane,), runs[:1], head, strip) for one in on_hand for lane in (*one, full)):
        return 1000
    for bought in range(min(most, len(runs)) + 1):
        if any(packs(tuple(sorted((*one, *[full] * bought))), runs, head, strip) for one in on_hand):
            return bought
    return 1000


def has_lane_to_spare(star: Star, fabric: Fabric, runs: tuple[int, ...], longest: int) -> bool:
    """Whether the runs find their places and a lane that would hold `longest` segments in one run stays free."""
    head, strip = head_of(star), star.strip * INCH
    return any(
        holds(lane, 1, longest, head, strip) and packs((*one[:i], *one[i + 1 :]), runs, head, strip)
        for one in all_lanes(star, fabric, len(runs) + 1)
        for i, lane in enumerate(one)
    )


Spent = tuple[int, int, int, int]


def cheapest(star: Star, fabric: Fabric, runs: tuple[int, ...]) -> tuple[Spent, tuple[int, ...]] | None:
    """Too tight or not, pieces, pieces along, area, and the pieces: the least over every piece, way and number of
    pieces."""
    head, strip = head_of(star), star.strip * INCH
    found = []
    for turned in product(*((None, *ways(fabric, one)) for one in fabric.pieces)):
        used = [(one, way) for one, way in zip(fabric.pieces, turned, strict=True) if way is not None]
        there = [lane for one, way in used for lane in lanes(one, star, way)[: len(runs)]]
        for tight, back in ((0, HALF_INCH), (1, 0)):
            if packs(tuple(sorted(lane - back for lane in there)), runs, head, strip):
                along = sum(way is Way.ALONG for _, way in used)
                area = sum(one.length * one.width for one, _ in used)
                found.append(((tight, len(used), along, area), tuple(sorted(one.id for one, _ in used))))
                break
    return min(found, default=None)


def each_fabric(uses: Uses) -> list[Fabric]:
    return list({fabric.id: fabric for used in uses.values() for fabric in used}.values())


def to_buy(star: Star, uses: Uses, choice: Sequence[Sewn]) -> int:
    """Strips that lack for a choice in all; over 999 where it can never be."""
    return sum(lacks(star, one, runs_for(star, uses, one, choice)) for one in each_fabric(uses) if one.recorded)


def verdict(star: Star, uses: Uses) -> tuple[int, int]:
    """The fewest strips to buy over all choices, and then the fewest sets not whole."""
    return min(
        (to_buy(star, uses, choice), sum(sewn is not Sewn.WHOLE for sewn in choice)) for choice in choices(star, uses)
    )


def inch(value: float | str | Fraction) -> int:
    return to_ticks(Fraction(value))


def piece(
    number: int,
    length: float | str | Fraction,
    width: float | str | Fraction = 40,
    kind: Kind = Kind.YARDAGE,
    **more: bool,
) -> Piece:
    return Piece(number, kind, inch(length), inch(width), **more)


def names(uses: Uses) -> dict[str, tuple[str, ...]]:
    return {letter: tuple(fabric.name for fabric in used) for letter, used in uses.items()}


def stash_of(uses: Uses) -> Iterable[Fabric]:
    return each_fabric(uses)
