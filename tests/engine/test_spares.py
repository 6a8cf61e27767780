"""Segments to spare, derived once more: every way to sew the runs of a plan together is tried."""

from __future__ import annotations

import random
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from itertools import combinations, product

import pytest

from stash.match.coverage import check, covers
from stash.match.spares import spare_segments
from stash.model import Colouring, Coverage, CutStrip, Fabric, Star
from stash.sheets.sets import set_steps
from tests.engine import by_hand, proof
from tests.engine.by_hand import RUNS, Uses
from tests.engine.random_stars import random_fabric, random_star
from tests.engine.shared_strips import LOOK_ALIKES, STAR, cloth

TIMES = {8: 1, 7: 1, 1: 1, 4: 2, 2: 4}  # how often a set is sewn with runs of a size
Takes = tuple[tuple[int, int], ...]  # lanes with the segments that one more of a set takes of them


def room_of(star: Star, strip: CutStrip) -> int:
    """Segments that a strip gives beyond its runs, by the run test."""
    return next(more for more in range(99) if not proof.holds_its_runs(star, strip.length, strip, more + 1))


def ways_to_sew(runs: list[int], together: tuple[int, ...]) -> Iterator[tuple[tuple[int, ...], ...]]:
    """Every way to deal runs (the lane of each) to the times a set is sewn, `together[i]` to time i."""
    if not together:
        yield ()
        return
    for chosen in set(combinations(range(len(runs)), together[0])):
        rest = [lane for at, lane in enumerate(runs) if at not in chosen]
        for more in ways_to_sew(rest, together[1:]):
            yield (tuple(runs[at] for at in chosen), *more)


def takes_of(star: Star, uses: Uses, fabric: Fabric, number: int, runs: Mapping[int, list[int]]) -> set[Takes]:
    """What one more segment of a set takes of the fabric's lanes, for every way to sew its runs together. Whichever
    time the set was sewn it may be lost from, so the most of all times counts."""
    each_size = []
    for size, lanes in runs.items():
        together = [0] * TIMES[size]
        for letter in by_hand.sets(star)[number - 1]:
            used = uses[letter]
            for time in range(TIMES[size]):
                together[time] += used[time % len(used)].id == fabric.id
        each_size.append(list(ways_to_sew(lanes, tuple(together))))
    found = set()
    for sewn in product(*each_size):
        most: Counter[int] = Counter()
        for time in (one for size in sewn for one in size):
            for lane, count in Counter(time).items():
                most[lane] = max(most[lane], count)
        found.add(tuple(sorted(most.items())))
    return found


class Possible:
    """Whether all sets can give so many segments more at the same time."""

    def __init__(self, star: Star, uses: Uses, answer: Coverage) -> None:
        strips = [(cut.fabric_id, strip) for cut in answer.cuts for strip in cut.strips]
        self.rooms = [room_of(star, strip) for _, strip in strips]
        self.of_fabric: list[list[tuple[int, list[Takes]]]] = []
        for fabric in by_hand.each_fabric(uses):
            runs: defaultdict[int, defaultdict[int, list[int]]] = defaultdict(lambda: defaultdict(list))
            for lane, (fabric_id, strip) in enumerate(strips):
                for run in strip.runs if fabric_id == fabric.id else ():
                    runs[run.set][run.segments].append(lane)
            self.of_fabric.append([
                (number, sorted(takes_of(star, uses, fabric, number, by_size))) for number, by_size in runs.items()
            ])  # fmt: skip

    def __call__(self, spare: Mapping[int, int]) -> bool:
        return all(any(self._fits(sewn, spare) for sewn in product(*(
            [(number, takes) for takes in ways] for number, ways in one
        ))) for one in self.of_fabric)  # fmt: skip

    def _fits(self, sewn: tuple[tuple[int, Takes], ...], spare: Mapping[int, int]) -> bool:
        given: Counter[int] = Counter()
        for number, takes in sewn:
            for lane, count in takes:
                given[lane] += count * spare[number]
        return all(self.rooms[lane] >= count for lane, count in given.items())


def fits_to_try(seed: int) -> tuple[Star, Uses, Coverage] | None:
    """A random star and stash: one or two letters have look-alikes, or two letters one fabric. None if short."""
    rng = random.Random(seed)
    star = random_star(rng, grids=(2, 3))
    fabrics = [random_fabric(rng, i + 1, star.strip, 5, 8) for i in range(len(star.letters) + 2)]
    uses = {letter: (fabrics[i],) for i, letter in enumerate(star.letters)}
    kind = seed % 4
    if kind == 0:
        uses["B"] = uses["A"]
    for letter in star.letters[: kind if kind < 3 else 1]:
        uses[letter] = (uses[letter][0], fabrics[-1] if letter == "A" else fabrics[-2])
    asked = Colouring(by_hand.names(uses))
    if not covers(star, asked, by_hand.stash_of(uses)):
        return None
    return star, uses, check(star, asked, by_hand.stash_of(uses))


def test_every_set_gives_what_it_has_to_spare_at_the_same_time_and_none_gives_more() -> None:
    seen: Counter[str] = Counter()
    for seed in range(700):
        case = fits_to_try(seed)
        if case is None:
            continue
        star, uses, answer = case
        possible = Possible(star, uses, answer)
        spare = {one.set: one.spare_segments for one in answer.sets}
        assert possible(spare), seed
        for number in spare:
            assert not possible({**spare, number: spare[number] + 1}), seed
        alone = {
            number: one.alone for number, one in spare_segments(star, by_hand.names(uses), answer.cuts).items()
        }
        none = dict.fromkeys(spare, 0)
        for number, most in alone.items():
            assert possible({**none, number: most}), seed
            assert not possible({**none, number: most + 1}), seed
        seen["look-alikes"] += any(len(used) == 2 for used in uses.values())
        seen["given once"] += alone != spare
        seen["some"] += any(spare.values())
        seen.update(str(one.sewn) for one in answer.sets)
    for what in ("look-alikes", "given once", "some", "whole", "halved", "7+1"):
        assert seen[what] >= 5, (what, seen)


@pytest.mark.parametrize(
    ("wide", "spoiled", "together", "left", "could"),
    [
        (36, (), [0, 0], [0, 0], [0, 0]),
        (38, (), [1, 0], [1, 0], [1, 1]),
        (38, (0, 1), [0, 1], [0, 0], [0, 0]),  # set 2 took what the two share
        (38, (1, 0), [1, 0], [0, 0], [0, 0]),
        (41, (), [1, 1], [1, 1], [2, 2]),
        (41, (0, 1), [1, 1], [1, 0], [1, 1]),
    ],
)
def test_what_two_sets_share_is_given_once(
    wide: int, spoiled: tuple[int, ...], together: list[int], left: list[int], could: list[int]
) -> None:
    found = check(STAR, LOOK_ALIKES, cloth(wide))
    assert RUNS[found.sets[0].sewn] == (4, 4)
    sets = set_steps(STAR, LOOK_ALIKES, found.cuts, spoiled)
    assert [one.spare for one in sets] == together
    assert [one.left for one in sets] == left
    assert [one.could for one in sets] == could
