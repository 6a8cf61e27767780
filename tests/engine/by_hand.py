"""A star against a stash worked out the long way, from the definitions alone, to hold the engine against.

Nothing of `stash.match` or `stash.star` is used: lanes, runs, strip sets and choices are counted here once more, by
trying everything.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import product

from stash.lengths import to_ticks
from stash.model import Colour, Fabric, Kind, Piece, Sewn, Star, Way

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
    off_length, off_width = (hold.ticks, hold.off) if hold.way is Way.ACROSS else (hold.off, hold.ticks)
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


def random_piece(rng: random.Random, number: int, strip: Fraction, most: int = 3) -> Piece:
    """A piece that gives 0 to `most` lanes or so, often by a hair; a third of those that can be were cut before."""
    kind = rng.choice((Kind.YARDAGE, Kind.YARDAGE, Kind.FAT_QUARTER, Kind.FAT_QUARTER, Kind.FAT_EIGHTH, Kind.SCRAP,
                       Kind.STRIPS, Kind.SQUARE))  # fmt: skip
    cut = rng.random() < 1 / 3
    hair = Fraction(rng.choice((-1, 0, 0, 1, 30)), 64)
    if kind is Kind.YARDAGE:
        length = rng.randint(0, most) * strip + (Fraction(1, 2) if cut else 1) + hair
        widths = [Fraction(width, 2) for width in (80, 79, 85, 74, 62)]
        just = _just_wide_enough(rng, strip)
        width = just if rng.random() < 0.4 and 12 <= just <= 45 else rng.choice(widths)
        return piece(number, max(length, Fraction(1)), width, kind, cut_before=cut)
    if kind in (Kind.FAT_QUARTER, Kind.FAT_EIGHTH):
        length = Fraction(18 if kind is Kind.FAT_QUARTER else 9)
        if cut:  # some strips are off, and what straightened it
            length = max(length - Fraction(1, 2) - rng.randint(1, 3) * strip, Fraction(2))
        return piece(number, length, rng.choice((20, 21, 21, 22)), kind, cut_before=cut)
    if kind is Kind.SCRAP:
        sides = (rng.randint(4, 30), rng.randint(4, 30))
        if rng.random() < 0.5:  # a long strip left over from a border
            sides = (rng.randint(20, 44), rng.randint(4, 12))
        return piece(number, *sides, kind, cut_before=cut)
    if kind is Kind.STRIPS:
        return piece(number, rng.choice((strip, 2 * strip, Fraction(5, 2))), rng.choice((20, 40, 42)), kind)
    return piece(number, *rng.choice(((10, 10), (5, 5), (12, 12))), kind)


def _just_wide_enough(rng: random.Random, strip: Fraction) -> Fraction:
    """A width that one or two runs need at the exact stagger, and a little over, to 1/64 in."""
    runs, segments = rng.choice(((1, 4), (1, 7), (1, 8), (2, 8), (1, 8), (1, 15)))
    over = rng.choice((0, 1 / 64, 1 / 4, 31 / 64, 33 / 64))
    return Fraction(math.ceil((float(strip) * (runs + segments * math.sqrt(2)) + over) * 64), 64)


def random_fabric(rng: random.Random, number: int, strip: Fraction, pieces: int = 3, most: int = 3) -> Fabric:
    colour = Colour(rng.randint(15, 95), rng.randint(-40, 40), rng.randint(-40, 40))
    owned = tuple(random_piece(rng, number * 10 + i, strip, most) for i in range(rng.randint(0, pieces)))
    return Fabric(number, f"Cloth {number}", owned, colour, directional=rng.random() < 0.25)


def names(uses: Uses) -> dict[str, tuple[str, ...]]:
    return {letter: tuple(fabric.name for fabric in used) for letter, used in uses.items()}


def stash_of(uses: Uses) -> Iterable[Fabric]:
    return each_fabric(uses)
