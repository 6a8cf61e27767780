"""Segments that the strip sets of a plan have to spare, all of them at the same time.

A set has s to spare when s of its segments may be spoiled, whichever of its runs they are of, and be cut again. One
more segment takes one more of every strip it is sewn of. Where a lane serves several sets, or several strips that are
sewn together, what it gives beyond its runs is given once: in turn to each set, the lowest first.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from stash.model import PieceCut, Star
from stash.names import name_key
from stash.star import chart
from stash.star.chart import StripSet
from stash.star.yields import run_gauge

Uses = Mapping[str, Sequence[str]]  # letters with the names of their fabrics
TIMES = {8: 1, 7: 1, 4: 2, 2: 4, 1: 1}  # how often a set is sewn with runs of a size


@dataclass(frozen=True, slots=True)
class Spare:
    """Segments that a set can give beyond its eight: `together`, while all other sets give theirs; `alone`, while the
    others give no more than is spoiled of them."""

    together: int
    alone: int


@dataclass(frozen=True, slots=True)
class _Lane:
    """`room` segments beyond its runs, of which a further segment of set i takes `takes[i]`."""

    room: int
    takes: Counter[int]


def spare_segments(star: Star, uses: Uses, cuts: Sequence[PieceCut], spoiled: Sequence[int] = ()) -> dict[int, Spare]:
    """By strip set what it has to spare, (0, 0) for one that has no run in `cuts`. `spoiled[i]` segments of set i + 1
    are cut again already; they are part of what it can give."""
    lanes = _lanes(star, uses, cuts)
    given: Counter[int] = Counter()
    numbers = [one.number for one in chart.strip_sets(star) if any(lane.takes[one.number] for lane in lanes)]
    lost = {number: spoiled[number - 1] if number <= len(spoiled) else 0 for number in numbers}
    _in_turn(lanes, given, lost)
    again = given.copy()
    _in_turn(lanes, given, dict.fromkeys(numbers))
    return {
        one.number: Spare(given[one.number], again[one.number] + _more(lanes, again, one.number))
        for one in chart.strip_sets(star)
    }


def _in_turn(lanes: Sequence[_Lane], given: Counter[int], most: Mapping[int, int | None]) -> None:
    """Give each set one more, turn by turn, until it has `most` or some lane of it has no more room."""
    waiting = sorted(most)
    while waiting:
        waiting = [one for one in waiting if given[one] != most[one] and _more(lanes, given, one)]
        for number in waiting:
            given[number] += 1 if _more(lanes, given, number) else 0


def _more(lanes: Sequence[_Lane], given: Counter[int], number: int) -> int:
    """How many more segments set `number` could give beside what is given."""
    return min(
        (
            max(0, lane.room - sum(takes * given[one] for one, takes in lane.takes.items())) // lane.takes[number]
            for lane in lanes
            if lane.takes[number]
        ),
        default=0,
    )


def _lanes(star: Star, uses: Uses, cuts: Sequence[PieceCut]) -> list[_Lane]:
    gauge = run_gauge(star)
    strips = [(name_key(cut.fabric), strip) for cut in cuts for strip in cut.strips]
    runs: defaultdict[tuple[int, str], dict[int, list[int]]] = defaultdict(lambda: defaultdict(list))
    for place, (fabric, strip) in enumerate(strips):
        for run in strip.runs:
            runs[run.set, fabric][run.segments].append(place)
    lanes = [
        _Lane(gauge.most(strip.length, len(strip.runs)) - sum(run.segments for run in strip.runs), Counter())
        for _, strip in strips
    ]
    sets = {one.number: one for one in chart.strip_sets(star)}
    for (number, fabric), by_size in runs.items():
        if number in sets:
            for place, takes in _takes(sets[number], uses, fabric, by_size).items():
                lanes[place].takes[number] = takes
    return lanes


def _takes(one: StripSet, uses: Uses, fabric: str, by_size: Mapping[int, Sequence[int]]) -> Counter[int]:
    """How many segments of each lane of a fabric (by place) a further segment of a set takes: the strips from it that
    are sewn together. Runs of one lane are sewn apart as far as the set's halves or quarters allow."""
    takes: Counter[int] = Counter()
    for size, places in by_size.items():
        together = _strips_together(one, uses, fabric, TIMES[size])
        for lane in _dealt(places, together):
            for place, strips in Counter(lane).items():
                takes[place] = max(takes[place], strips)
    return takes


def _strips_together(one: StripSet, uses: Uses, fabric: str, times: int) -> list[int]:
    """Each time the set is sewn with runs of one size: how many of its strips are of the fabric. Of two look-alikes the
    first is in one half and the second in the other."""
    strips = [0] * times
    for letter in one.letters:
        names = list(dict.fromkeys(name_key(name) for name in uses.get(letter, ())))
        for time in range(times):
            strips[time] += names[time % len(names)] == fabric if names else 0
    return strips


def _dealt(places: Iterable[int], together: Sequence[int]) -> list[list[int]]:
    """The lanes of runs (`places`, one a run) dealt out in turn, so that `together[i]` are sewn at time i."""
    dealt: list[list[int]] = [[] for _ in together]
    time = 0
    for place in sorted(places):
        turn = [(time + i) % len(together) for i in range(len(together))]
        free = next((each for each in turn if len(dealt[each]) < together[each]), turn[0])
        dealt[free].append(place)
        time = free + 1
    return dealt
