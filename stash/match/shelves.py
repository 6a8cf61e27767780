"""Shelves laid on pieces of cloth: how many find room, and in which ways they can lie.

A shelf is a band from selvage to selvage, so on a piece only heights add up. Shelves alike are counted, not told
apart. Pieces are filled one after the other; what is then still to lay is all that matters of the pieces before, and
of two fillings the one that lays every shelf of the other and more is enough. Exact up to `MOST_STATES`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

MOST_STATES = 3000  # what may be still to lay after a piece; only dozens of borders over many pieces have more
MOST_WAYS = 120  # ways to lie that are carried on from shelf to shelf

Counts = tuple[int, ...]  # shelves of each kind


@dataclass(frozen=True, slots=True)
class Room:
    """What a piece has for shelves, in ticks: `length` that heights add up to, and the width they may have."""

    length: int
    width: int


@dataclass(frozen=True, slots=True)
class Shelves:
    """`count` shelves alike of one part of the quilt, each `height` ticks high on cloth `width` ticks wide."""

    part: str
    width: int
    height: int
    count: int


@dataclass(frozen=True, slots=True)
class Laid:
    """`left` -- shelves of each kind that find no room; `kept` -- ticks of each room that the others take."""

    left: Counts
    kept: tuple[int, ...]


def lay(rooms: Sequence[Room], shelves: Sequence[Shelves], roomy: str = "", spare: int = 0) -> Laid:
    """Lay as many shelves as can be: least height left over of the first part, then of the next, and so on.

    roomy -- a part that must leave `spare` ticks on every piece that it lies on.
    """
    waiting: dict[Counts, tuple[int, ...]] = {tuple(each.count for each in shelves): ()}
    for number, room in enumerate(rooms):
        after: dict[Counts, tuple[int, ...]] = {}
        for rest, kept in waiting.items():
            for filling in _fillings(room, shelves, rest, roomy, spare):
                taken = sum(count * each.height for count, each in zip(filling, shelves, strict=True))
                still = tuple(count - used for count, used in zip(rest, filling, strict=True))
                after.setdefault(still, (*kept, taken))
        waiting = _undominated(after, shelves)
        none = (0,) * len(shelves)
        if none in waiting:
            return Laid(none, (*waiting[none], *(0 for _ in rooms[number + 1 :])))
    left = min(waiting, key=lambda rest: tuple(height_left(shelves, rest).values()))
    return Laid(left, waiting[left])


def height_left(shelves: Sequence[Shelves], left: Counts) -> dict[str, int]:
    """Ticks of shelves left over, by part, in the order of the parts."""
    heights = dict.fromkeys((each.part for each in shelves), 0)
    for each, count in zip(shelves, left, strict=True):
        heights[each.part] += count * each.height
    return heights


def _fillings(room: Room, shelves: Sequence[Shelves], rest: Counts, roomy: str, spare: int) -> Iterator[Counts]:
    """The fillings of a room from `rest` that no further shelf can be added to."""
    able = tuple(n if each.width <= room.width else 0 for each, n in zip(shelves, rest, strict=True))
    if not roomy:
        yield from _full(room.length, shelves, able)
        return
    yield from _full(room.length - spare, shelves, able)
    without = tuple(0 if each.part == roomy else n for each, n in zip(shelves, able, strict=True))
    yield from _full(room.length, shelves, without)


def _full(length: int, shelves: Sequence[Shelves], able: Counts) -> Iterator[Counts]:
    later = [sum(n * each.height for n, each in zip(able[i:], shelves[i:], strict=True)) for i in range(len(able) + 1)]

    def fill(i: int, free: int, lowest_left: float, taken: Counts) -> Iterator[Counts]:
        if free - later[i] >= lowest_left:
            return  # a shelf that was left out would lie here, too
        if i == len(able):
            yield taken
            return
        height = shelves[i].height
        most = max(0, min(able[i], free // height))
        for count in range(most, -1, -1):
            lowest = lowest_left if count == able[i] else min(lowest_left, height)
            yield from fill(i + 1, free - count * height, lowest, (*taken, count))

    yield from fill(0, length, math.inf, ())


def _undominated(
    found: dict[Counts, tuple[int, ...]], shelves: Sequence[Shelves]
) -> dict[Counts, tuple[int, ...]]:
    """Those of which no other has less or as little left of every kind."""
    least: list[Counts] = []
    for rest in sorted(found, key=sum):
        if not any(all(a <= b for a, b in zip(other, rest, strict=True)) for other in least):
            least.append(rest)
    if len(least) > MOST_STATES:
        least = sorted(least, key=lambda rest: tuple(height_left(shelves, rest).values()))[:MOST_STATES]
    return {rest: found[rest] for rest in least}


def ways_to_lie(
    rooms: Sequence[Room], shelves: Sequence[Shelves], alike: Sequence[object], worth: Callable[[int, int], int]
) -> list[tuple[int, ...]]:
    """The ways in which all shelves can lie, as ticks of each room that they take; the most worthy first.

    alike -- rooms with equal marks are alike: of ways that differ by such rooms only, the one that takes less of the
    first is given. worth -- what a room is still worth, by its number and the ticks left of it: where there are too
    many ways, those worth most together are carried on.
    """
    kinds = sorted(shelves, key=lambda each: -each.height)
    ways = {tuple(room.length for room in rooms)}
    for each in kinds:
        able = [i for i, room in enumerate(rooms) if room.width >= each.width]
        for _ in range(each.count):
            after = {
                _in_order((*left[:i], left[i] - each.height, *left[i + 1 :]), alike)
                for left in ways
                for i in able
                if left[i] >= each.height
            }
            ways = set(_most_worth(after, worth))
    whole = tuple(room.length for room in rooms)
    return [tuple(a - b for a, b in zip(whole, left, strict=True)) for left in _most_worth(ways, worth)]


def _in_order(left: tuple[int, ...], alike: Sequence[object]) -> tuple[int, ...]:
    """The same with more left of the first among rooms alike."""
    by_mark: dict[object, list[int]] = {}
    for mark, ticks in zip(alike, left, strict=True):
        by_mark.setdefault(mark, []).append(ticks)
    if len(by_mark) == len(left):
        return left
    sorted_left = {mark: iter(sorted(ticks, reverse=True)) for mark, ticks in by_mark.items()}
    return tuple(next(sorted_left[mark]) for mark in alike)


def _most_worth(ways: set[tuple[int, ...]], worth: Callable[[int, int], int]) -> list[tuple[int, ...]]:
    """At most MOST_WAYS, worth most together first; of equals those that leave most on one room."""
    def key(left: tuple[int, ...]) -> tuple[int, list[int], tuple[int, ...]]:
        return -sum(worth(i, ticks) for i, ticks in enumerate(left)), sorted(left), left

    return sorted(ways, key=key)[:MOST_WAYS]
