"""Runs into lanes, against a packer that tries every run on every lane."""

from __future__ import annotations

import random
from decimal import Decimal, getcontext
from fractions import Fraction

import pytest

from stash.match.holding import can_hold
from stash.match.packing import NO_RUNS, SIZES, Runs, lay, left_after, take
from stash.match.service import Servant
from stash.model import Star
from tests.engine import by_hand
from tests.engine.by_hand import INCH, inch
from tests.engine.packed import counted, spelled, star_for


@pytest.mark.parametrize("seed", range(300))
def test_can_hold_is_what_trying_all_places_finds(seed: int) -> None:
    rng = random.Random(seed)
    star = star_for(rng)
    servant = Servant(star)
    head, strip = by_hand.head_of(star), star.strip * INCH
    # Each piece's ways as lists of lanes, the lengths often a tick to either side of what some runs need.
    pieces = []
    for _ in range(rng.randint(1, 3)):
        offered = []
        for _ in range(rng.randint(1, 2)):
            number, segments = rng.randint(1, 3), rng.choice((1, 2, 4, 7, 8, 9, 11, 15, 16))
            needed = float(number * head) + segments * float(strip) * 2**0.5
            offered.append([int(needed) + rng.choice((0, 1, 1, 2, 900))] * rng.randint(1, 2))
        pieces.append(offered)
    runs = [rng.choice(SIZES) for _ in range(rng.randint(1, 6))]
    ways = tuple(tuple((servant.capacity(lanes[0]), len(lanes)) for lanes in offered) for offered in pieces)

    def any_way(i: int, lanes: tuple[int, ...]) -> bool:
        if i == len(pieces):
            return by_hand.packs(lanes, tuple(sorted(runs, reverse=True)), head, strip)
        return any(any_way(i + 1, (*lanes, *one)) for one in pieces[i])

    assert can_hold(ways, counted(runs)) == any_way(0, ())


@pytest.mark.parametrize("seed", range(120))
def test_what_is_left_is_the_least_that_can_be_left(seed: int) -> None:
    """Every part of the runs that lanes can take leaves no less than some left that `left_after` names, and what it
    names can be reached."""
    rng = random.Random(1000 + seed)
    star = star_for(rng)
    head, strip = by_hand.head_of(star), star.strip * INCH
    lane = inch(rng.choice((9, 12, 18, 20, 21, 31, 37, "79/2", 40, 44)))
    count = rng.randint(1, 3)
    runs = counted([rng.choice(SIZES) for _ in range(rng.randint(1, 5))])
    capacity = Servant(star).capacity(lane)
    lefts = left_after(capacity, count, runs)

    def held(part: Runs) -> bool:
        return by_hand.packs((lane,) * count, spelled(part), head, strip)

    for left in lefts:
        assert held(take(runs, left))
        laid = lay(capacity, count, take(runs, left))
        assert laid is not None
        assert len(laid) <= count
        assert all(by_hand.packs((lane,), spelled(filling), head, strip) for filling in laid)
        assert tuple(map(sum, zip(NO_RUNS, *laid, strict=True))) == take(runs, left)
    parts = [(a, b, c, d, e) for a in range(runs[0] + 1) for b in range(runs[1] + 1) for c in range(runs[2] + 1)
             for d in range(runs[3] + 1) for e in range(runs[4] + 1)]  # fmt: skip
    for part in parts:
        if held(part):
            after = take(runs, part)
            assert any(all(k <= n for k, n in zip(left, after, strict=True)) for left in lefts)
        else:
            assert lay(capacity, count, part) is None


@pytest.mark.parametrize(
    ("strip", "lane", "runs", "fit"),
    [
        # L(N) = w + N w sqrt2 (derived): eight at 3 1/4 take 40.02 in and miss 40; at 3 in they take 36.94.
        ("13/4", "40", (8,), False),
        ("13/4", "40", (7,), True),
        ("3", "37", (8,), True),
        ("3", "40", (4, 4), True),
        ("3", "40", (7, 1), True),
        ("3", "79/2", (4, 4), False),
        ("3", "79/2", (7, 1), False),
        ("3/2", "40", (8, 8), True),
        # Two runs of eight on one strip of 40 at 1 5/8 and under (derived: 2 w + 16 w sqrt2 = 40.02 at 1 5/8, so
        # 1 5/8 itself needs a little more than 40).
        ("13/8", "40", (8, 8), False),
        ("13/8", "161/4", (8, 8), True),
    ],
)
def test_runs_that_just_fit_and_just_miss(strip: str, lane: str, runs: tuple[int, ...], fit: bool) -> None:
    getcontext().prec = 60
    width = Decimal(Fraction(strip).numerator) / Fraction(strip).denominator
    long_way = len(runs) * width + sum(runs) * width * Decimal(2).sqrt()
    assert (long_way <= Decimal(Fraction(lane).numerator) / Fraction(lane).denominator) == fit
    servant = Servant(Star(2, Fraction(strip), "ABA"))
    assert can_hold((((servant.capacity(inch(lane)), 1),),), counted(list(runs))) == fit


@pytest.mark.parametrize(
    ("strip", "lanes", "runs"),
    [
        ("2", (40, 40, 40), (1, 1, 3, 3, 2)),
        ("3/2", (34, 34), (1, 1, 1, 2, 3)),
        ("3/2", (72, 34), (2, 2, 1, 3, 2)),
        ("2", (28, 28, 28, 60), (3, 0, 2, 3, 3)),
    ],
)
def test_runs_that_fit_only_where_lanes_are_not_filled_longest_first(
    strip: str, lanes: tuple[int, ...], runs: Runs
) -> None:
    star = Star(2, Fraction(strip), "ABA")
    servant = Servant(star)
    ticks = tuple(map(inch, lanes))
    assert by_hand.packs(ticks, spelled(runs), by_hand.head_of(star), star.strip * INCH)
    assert can_hold([((servant.capacity(lane), 1),) for lane in ticks], runs)
