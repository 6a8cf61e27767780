"""Which runs the lanes of several pieces hold, each piece cut in one of its ways.

Pieces stand in a chain and their lanes are filled one after another, in every way that leaves room for nothing more,
until the runs are all placed. It is exact, and quick for three reasons:

- Lanes that take the same runs are one kind: a capacity is rounded down to what so many runs can add up to.
- Most of what cannot be held is known from weights. Give each size of run a weight: what is asked for must not weigh
  more than the lanes can carry, each filled as heavily as it goes. That holds for any weights, and `WEIGHTS` has many.
- Each place in the chain remembers what it holds and what it does not. All questions about the same pieces, and about
  pieces that end a chain alike, share what is remembered.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import combinations_with_replacement, repeat
from math import gcd
from operator import floordiv
from operator import gt as above
from operator import mul as times

from stash.match.packing import NO_RUNS, SIZES, Capacity, Runs, alone, fillings, lesser, take

Way = tuple[Capacity, int]  # lanes of one capacity, and how many
Weight = tuple[int, ...]  # one number for each of `WEIGHTS`

HEAVIEST = 3
LONG = 32  # segments from which all ways to fill a lane are too many to look at
PLENTY = LONG + 1  # more runs than a lane that is not long holds

# A longer run weighs as much as a shorter one at least. The first are the segments themselves.
WEIGHTS: tuple[Runs, ...] = (
    SIZES,
    *((a, b, c, d, e) for e, d, c, b, a in combinations_with_replacement(range(HEAVIEST + 1), 5)
      if gcd(a, b, c, d, e) == 1),
)  # fmt: skip
NOTHING: Weight = (0,) * len(WEIGHTS)


@lru_cache(maxsize=200_000)
def weigh(runs: Runs) -> Weight:
    """What `runs` weigh by each of `WEIGHTS`."""
    return tuple(sum(map(times, runs, weights)) for weights in WEIGHTS)


@lru_cache(maxsize=20_000)
def carried(capacity: Capacity, able: Runs) -> Weight:
    """The most that one lane carries by each of `WEIGHTS`, filled from `able`; for a long lane no less than that."""
    if not capacity or not any(able):
        return NOTHING
    if capacity[0] > LONG:
        by_length = (max(map(floordiv, map(times, weights, repeat(capacity[0])), SIZES)) for weights in WEIGHTS)
        return tuple(min(len(capacity) * max(weights), most) for weights, most in zip(WEIGHTS, by_length, strict=True))
    return tuple(map(max, zip(NOTHING, *map(weigh, fillings(capacity, able)), strict=True)))


@lru_cache(maxsize=1_000)
def _sums(number: int, most: int, able: Runs) -> tuple[int, ...]:
    """What just `number` runs of the sizes in `able` can add up to, up to `most` segments."""
    sums = {0}
    for _ in range(number):
        sums = {
            total + size for total in sums for size, any_of in zip(SIZES, able, strict=True)
            if any_of and total + size <= most
        }  # fmt: skip
    return tuple(sums)


@lru_cache(maxsize=10_000)
def kind_of(capacity: Capacity, able: Runs) -> Capacity:
    """The least capacity that takes the same runs of the sizes in `able`: lanes that take the same have the same.

    So many runs fit where their segments are not over the capacity's entry, so it can be rounded down to the most
    that so many of the sizes come to; between two entries that differ then lie runs that only one of them takes.
    (Long lanes are left as they are.)
    """
    if capacity and capacity[0] > LONG:
        return capacity
    return tuple(max(_sums(number, most, able)) for number, most in enumerate(capacity, start=1))


class Cloth:
    """Lanes and pieces yet to be filled. `most` -- what they carry by each of `WEIGHTS`, or more."""

    def __init__(self, most: Weight) -> None:
        self.most = most
        self._known: dict[Runs, bool] = {}

    def steps(self, runs: Runs) -> Iterator[tuple[Cloth, Runs]]:
        """What to ask of which cloth after the first step here; `runs` are held where any of it is."""
        return iter(())

    def holds(self, runs: Runs) -> bool:
        """Whether `runs` can be held. Depth first; the path is a list, since Python's own stack is too short for a
        star of hundreds of runs."""
        said = self._said(runs)
        if said is not None:
            return said
        path = [(self, runs, self.steps(runs))]
        while path:
            cloth, asked, steps = path[-1]
            for after, left in steps:
                said = after._said(left)
                if said is None:
                    path.append((after, left, after.steps(left)))
                    break
                if said:
                    for one, held, _ in path:
                        one._known[held] = True
                    return True
            else:
                cloth._known[asked] = False
                path.pop()
        return False

    def _said(self, runs: Runs) -> bool | None:
        """The answer where it is known without a search."""
        if runs == NO_RUNS:
            return True
        if any(map(above, weigh(runs), self.most)):
            return False
        return self._known.get(runs)


class _Lanes(Cloth):
    """Some lanes of one kind, then other cloth. `able` -- the sizes of runs, many of each, that may come here.

    Lanes of one kind are alike, so one that has a run of the longest size comes first; else none of them has one.
    """

    def __init__(self, capacity: Capacity, count: int, rest: Cloth, able: Runs) -> None:
        each = carried(capacity, able)
        super().__init__(tuple(count * most + more for most, more in zip(each, rest.most, strict=True)))
        self.capacity, self.count, self.rest, self.able = capacity, count, rest, able
        self.room = lesser(able, alone(capacity))

    def steps(self, runs: Runs) -> Iterator[tuple[Cloth, Runs]]:
        asked = lesser(runs, self.room)
        if not any(asked):
            yield self.rest, runs
            return
        longest = next(i for i, number in enumerate(asked) if number)
        for filling in fillings(self.capacity, asked):
            if filling[longest]:
                yield lanes(self.capacity, self.count - 1, self.rest, self.able), take(runs, filling)
        shorter = [number if i > longest else 0 for i, number in enumerate(self.able)]
        able = (shorter[0], shorter[1], shorter[2], shorter[3], shorter[4])
        yield lanes(self.capacity, self.count, self.rest, able), runs


class _Piece(Cloth):
    """A piece to be cut one way or another, each with the cloth after it."""

    def __init__(self, turned: tuple[Cloth, ...]) -> None:
        super().__init__(tuple(map(max, zip(*(one.most for one in turned), strict=True))))
        self.turned = turned

    def steps(self, runs: Runs) -> Iterator[tuple[Cloth, Runs]]:
        return ((one, runs) for one in self.turned)


_NO_CLOTH = Cloth(NOTHING)


@lru_cache(maxsize=50_000)
def _some_lanes(capacity: Capacity, count: int, rest: Cloth, able: Runs) -> Cloth:
    return _Lanes(capacity, count, rest, able)


def lanes(capacity: Capacity, count: int, rest: Cloth, able: Runs) -> Cloth:
    """`count` lanes before other cloth."""
    return _some_lanes(capacity, count, rest, able) if count and capacity and any(able) else rest


@lru_cache(maxsize=20_000)
def _piece(ways: tuple[Way, ...], rest: Cloth, able: Runs) -> Cloth:
    turned = tuple(lanes(capacity, count, rest, able) for capacity, count in ways)
    return turned[0] if len(turned) == 1 else _Piece(turned)


@lru_cache(maxsize=5_000)
def _chain(offered: tuple[tuple[Way, ...], ...], able: Runs) -> Cloth:
    pieces = []
    for ways in offered:
        kinds = {(kind_of(capacity, able), count) for capacity, count in ways if capacity and count}
        if kinds:
            pieces.append(tuple(sorted(kinds, reverse=True)))
    cloth = _NO_CLOTH
    for piece in sorted(pieces):  # the best stand first
        cloth = _piece(piece, cloth, able)
    return cloth


def too_heavy(pieces: Sequence[Sequence[Way]], number: int, runs: Runs) -> bool:
    """Whether `runs` weigh more than any `number` of the pieces carry; what does not may still not be held."""
    return any(map(above, weigh(runs), _heaviest(tuple(map(tuple, pieces)), number, _sizes_of(runs))))


@lru_cache(maxsize=10_000)
def _heaviest(pieces: tuple[tuple[Way, ...], ...], number: int, able: Runs) -> Weight:
    each = [_piece_carries(ways, able) for ways in pieces]
    return tuple(sum(sorted(column)[-number:]) for column in zip(NOTHING, *each, strict=True))


@lru_cache(maxsize=10_000)
def _piece_carries(ways: tuple[Way, ...], able: Runs) -> Weight:
    turned = [tuple(count * most for most in carried(kind_of(capacity, able), able)) for capacity, count in ways]
    return tuple(map(max, zip(NOTHING, *turned, strict=True)))


def can_hold(offered: Iterable[tuple[Way, ...]], runs: Runs) -> bool:
    """Whether pieces that each offer lanes in one of several ways can hold `runs`.

    offered -- for each piece its ways as (capacity, number of lanes).
    """
    return _chain(tuple(offered), _sizes_of(runs)).holds(runs)


def fewest_more(offered: Iterable[tuple[Way, ...]], capacity: Capacity, runs: Runs) -> int | None:
    """The fewest lanes of `capacity` that, added to the pieces, hold `runs`; None where no number does. Offered as for
    `can_hold`."""
    able = _sizes_of(runs)
    cloth, kind = _chain(tuple(offered), able), kind_of(capacity, able)
    at_least = 0
    for weight, most, each in zip(weigh(runs), cloth.most, carried(kind, able), strict=True):
        if weight > most:
            if not each:
                return None
            at_least = max(at_least, -((most - weight) // each))
    numbers = range(at_least, sum(runs) + 1)
    return next((count for count in numbers if lanes(kind, count, cloth, able).holds(runs)), None)


def _sizes_of(runs: Runs) -> Runs:
    """Plenty of all sizes; runs of two where there are any, for most stars have none."""
    return (PLENTY, PLENTY, PLENTY, PLENTY if runs[SIZES.index(2)] else 0, PLENTY)
