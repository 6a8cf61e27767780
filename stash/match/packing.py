"""Runs into lanes: which runs a number of equal lanes can hold.

The runs asked for are counted by size in the order of `SIZES`. A lane is known by its *capacity*: entry R - 1 is
the most segments that R runs give together on it (`stash.star.yields.RunGauge.most`), cut off at the first R that
does not leave a segment for each run.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

SIZES = (8, 7, 4, 2, 1)

Runs = tuple[int, int, int, int, int]  # how many runs of each of SIZES
Capacity = tuple[int, ...]

NO_RUNS: Runs = (0, 0, 0, 0, 0)


def take(runs: Runs, filling: Runs) -> Runs:
    """What is left of `runs` without those of `filling`, all of which are among them."""
    return (
        runs[0] - filling[0],
        runs[1] - filling[1],
        runs[2] - filling[2],
        runs[3] - filling[3],
        runs[4] - filling[4],
    )


def least(lefts: Iterable[Runs]) -> list[Runs]:
    """Those of `lefts` that no other is below or equal to in every size, in a fixed order."""
    kept: list[Runs] = []
    for left in sorted(set(lefts), key=lambda runs: (sum(runs), runs)):
        if not any(within(other, left) for other in kept):
            kept.append(left)
    return kept


def within(runs: Runs, more: Runs) -> bool:
    """Whether `more` has as many runs of each size at least."""
    return (
        runs[0] <= more[0] and runs[1] <= more[1] and runs[2] <= more[2] and runs[3] <= more[3] and runs[4] <= more[4]
    )


def lesser(runs: Runs, other: Runs) -> Runs:
    """Of each size the fewer runs."""
    return (
        min(runs[0], other[0]), min(runs[1], other[1]), min(runs[2], other[2]), min(runs[3], other[3]),
        min(runs[4], other[4]),
    )  # fmt: skip


@lru_cache(maxsize=10_000)
def alone(capacity: Capacity) -> Runs:
    """How many runs of each size one lane takes where no other comes beside them."""
    a, b, c, d, e = (sum(most >= number * size for number, most in enumerate(capacity, start=1)) for size in SIZES)
    return a, b, c, d, e


@lru_cache(maxsize=100_000)
def fillings(capacity: Capacity, runs: Runs) -> tuple[Runs, ...]:
    """The ways to fill one lane from `runs` that leave room for no further one of them."""
    ways: set[Runs] = set()

    def grow(filled: list[int], size: int, number: int, segments: int) -> None:
        if size == len(SIZES):
            ways.add((filled[0], filled[1], filled[2], filled[3], filled[4]))
            return
        for count in range(runs[size] + 1):
            runs_now, segments_now = number + count, segments + count * SIZES[size]
            if count and (runs_now > len(capacity) or segments_now > capacity[runs_now - 1]):
                break
            grow([*filled, count], size + 1, runs_now, segments_now)

    grow([], 0, 0, 0)
    ways.discard(NO_RUNS)
    return tuple(sorted((way for way in ways if _is_full(capacity, runs, way)), reverse=True))


def _is_full(capacity: Capacity, runs: Runs, way: Runs) -> bool:
    number, segments = sum(way) + 1, sum(n * size for n, size in zip(way, SIZES, strict=True))
    if number > len(capacity):
        return True
    return not any(
        way[i] < runs[i] and segments + size <= capacity[number - 1] for i, size in enumerate(SIZES)
    )


@lru_cache(maxsize=200_000)
def left_after(capacity: Capacity, count: int, runs: Runs) -> tuple[Runs, ...]:
    """What may be left of `runs` when `count` lanes have taken what they can: the least lefts only."""
    if not any(runs) or count == 0 or not capacity:
        return (runs,)
    largest = next(size for size, number in zip(SIZES, runs, strict=True) if number)
    if count >= sum(runs) and capacity[0] >= largest:
        return (NO_RUNS,)
    lefts, room = [runs], alone(capacity)
    for _ in range(min(count, sum(runs))):
        lefts = least(
            take(left, filling) for left in lefts for filling in fillings(capacity, lesser(left, room)) or (NO_RUNS,)
        )
        if lefts == [NO_RUNS]:
            break
    return tuple(lefts)


def lay(capacity: Capacity, count: int, runs: Runs) -> tuple[Runs, ...] | None:
    """Fillings of at most `count` lanes that hold all of `runs`, fullest lanes first; None if they cannot."""
    if not any(runs):
        return ()
    if NO_RUNS not in left_after(capacity, count, runs):
        return None
    for filling in fillings(capacity, runs):
        rest = lay(capacity, count - 1, take(runs, filling))
        if rest is not None:
            return (filling, *rest)
    raise AssertionError("left_after found a way that fillings does not have")


def most_segments(offered: Iterable[tuple[tuple[Capacity, int], ...]]) -> int:
    """More segments than this are in no runs that the pieces can hold; offered as for `can_hold`."""
    return sum(max((count * _most_on(capacity) for capacity, count in ways), default=0) for ways in offered)


@lru_cache(maxsize=100_000)
def _most_on(capacity: Capacity) -> int:
    """The most segments on one lane, in runs of eight at most."""
    return max((min(most, SIZES[0] * number) for number, most in enumerate(capacity, start=1)), default=0)


def segments_of(runs: Runs) -> int:
    """Segments in all of `runs` together."""
    return 8 * runs[0] + 7 * runs[1] + 4 * runs[2] + 2 * runs[3] + runs[4]
