"""Runs on the lanes of many pieces: the shortcuts, against packers that know none of them."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import combinations_with_replacement, product

import pytest

from stash.match.holding import WEIGHTS, can_hold, carried, fewest_more, kind_of, too_heavy, weigh
from stash.match.packing import SIZES, Runs, alone
from stash.match.service import Servant
from stash.model import Star
from tests.engine import by_hand
from tests.engine.by_hand import INCH, inch
from tests.engine.packed import counted, spelled, star_for

ALL: Runs = (40, 40, 40, 40, 40)
NO_TWOS: Runs = (40, 40, 40, 0, 40)


def every_filling(star: Star, lane: int, sizes: tuple[int, ...]) -> set[tuple[int, ...]]:
    """All runs of these sizes that find a place on one lane together, by the run test alone."""
    head, strip = by_hand.head_of(star), star.strip * INCH
    found: set[tuple[int, ...]] = set()
    number = 1
    while by_hand.holds(lane, number, number, head, strip):
        for runs in combinations_with_replacement(sizes, number):
            if by_hand.holds(lane, number, sum(runs), head, strip):
                found.add(runs)
        number += 1
    return found


@pytest.mark.parametrize("seed", range(60))
def test_lanes_are_of_one_kind_just_where_they_take_the_same_runs(seed: int) -> None:
    rng = random.Random(seed)
    star = star_for(rng)
    servant = Servant(star)
    lanes = [inch(rng.randint(8, 60)) // 2 + rng.choice((-1, 0, 1, 2000)) for _ in range(6)]
    for able, sizes in ((ALL, SIZES), (NO_TWOS, (8, 7, 4, 1))):
        seen = [(kind_of(servant.capacity(lane), able), every_filling(star, lane, sizes)) for lane in lanes]
        for (kind, takes), (other, takes_too) in product(seen, seen):
            assert (kind == other) == (takes == takes_too)


@pytest.mark.parametrize("seed", range(60))
def test_a_lane_carries_what_its_heaviest_filling_weighs(seed: int) -> None:
    rng = random.Random(500 + seed)
    star = star_for(rng)
    lane = inch(rng.randint(8, 60)) // 2
    capacity = Servant(star).capacity(lane)
    held = every_filling(star, lane, SIZES)
    heaviest = [max((weigh(counted(list(runs)))[i] for runs in held), default=0) for i in range(len(WEIGHTS))]
    assert list(carried(capacity, ALL)) == heaviest
    assert alone(capacity) == tuple(sum((size,) * n in held for n in range(1, 60)) for size in SIZES)
    for weights in WEIGHTS:
        assert sorted(weights, reverse=True) == list(weights)


def test_a_long_lane_is_said_to_carry_no_less_than_it_does() -> None:
    """2 1/4 yd along at 1 1/2 in: filled at random until nothing more goes in."""
    star = Star(2, Fraction(3, 2), "ABA")
    lane, head, strip = inch(81), by_hand.head_of(star), star.strip * INCH
    capacity = Servant(star).capacity(lane)
    assert capacity[0] > 32
    rng = random.Random(1)
    for _ in range(200):
        runs: list[int] = []
        few = rng.sample(SIZES, rng.randint(1, 5))
        while by_hand.holds(lane, len(runs) + 1, sum(runs) + min(few), head, strip):
            size = rng.choice(few)
            if by_hand.holds(lane, len(runs) + 1, sum(runs) + size, head, strip):
                runs.append(size)
        assert all(one <= most for one, most in zip(weigh(counted(runs)), carried(capacity, ALL), strict=True))
        assert can_hold([((capacity, 1),)], counted(runs))


@pytest.mark.parametrize("seed", range(150))
def test_fewest_more_and_too_heavy_are_what_trying_all_places_says(seed: int) -> None:
    rng = random.Random(7000 + seed)
    star = star_for(rng)
    servant = Servant(star)
    head, strip = by_hand.head_of(star), star.strip * INCH
    pieces = [
        [[inch(rng.randint(10, 44)) + rng.choice((0, 1000))] * rng.randint(1, 2) for _ in range(rng.randint(1, 2))]
        for _ in range(rng.randint(0, 3))
    ]
    ways = [tuple((servant.capacity(lanes[0]), len(lanes)) for lanes in offered) for offered in pieces]
    runs = counted([rng.choice(SIZES) for _ in range(rng.randint(1, 6))])
    more = inch(rng.choice((16, 21, 40)))

    def held(number: int, of: list[list[list[int]]]) -> bool:
        return any(
            by_hand.packs((*(lane for lanes in turned for lane in lanes), *[more] * number), spelled(runs), head, strip)
            for turned in product(*of)
        )

    expected = next((number for number in range(sum(runs) + 1) if held(number, pieces)), None)
    assert fewest_more(ways, servant.capacity(more), runs) == expected
    assert can_hold(ways, runs) == (expected == 0)
    for number in range(1, len(pieces) + 1):
        if too_heavy(ways, number, runs):
            some = combinations_with_replacement(range(len(pieces)), number)
            assert not any(held(0, [pieces[i] for i in set(chosen)]) for chosen in some)


def test_what_was_asked_before_changes_no_answer() -> None:
    """The same pieces asked many things, in two orders."""
    star = Star(8, Fraction(5, 2), "ABABABABABABABA", small_runs=True)
    servant = Servant(star)
    ways = [((servant.capacity(inch(width)), 2), (servant.capacity(inch("35/2")), 3)) for width in (19, 20, 21, "85/4")]
    rng = random.Random(3)
    asked = [counted([rng.choice(SIZES[1:]) for _ in range(rng.randint(3, 12))]) for _ in range(300)]
    first = {runs: can_hold(ways, runs) for runs in asked}
    apart = [(*ways[1:], ways[0]), tuple(reversed(ways))]
    for order in apart:
        assert {runs: can_hold(order, runs) for runs in sorted(asked)} == first
    head, strip = by_hand.head_of(star), star.strip * INCH
    lanes = [[[inch(width)] * 2, [inch("35/2")] * 3] for width in (19, 20, 21, "85/4")]
    for runs, answer in list(first.items())[:60]:
        turned = (tuple(lane for one in each for lane in one) for each in product(*lanes))
        assert answer == any(by_hand.packs(tuple(sorted(each)), spelled(runs), head, strip) for each in turned)
    assert 20 < sum(first.values()) < 280
