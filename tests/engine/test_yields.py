"""Segments, runs and strips: the integer test, and the trade's own figures."""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import ROUND_FLOOR, Decimal, localcontext
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from stash.errors import UsageFault
from stash.lengths import TICKS_PER_INCH, to_ticks
from stash.model import Sewn, Star
from stash.star import yields
from stash.star.chart import cells, check_star, make_order

F = Fraction


def star(grid: int, strip: str | F, order: str = "mirror", width: int | F = 40, **more: object) -> Star:
    made = Star(grid, F(strip), make_order(order, grid), width=F(width), **more)  # type: ignore[arg-type]
    return check_star(made)


def strips(one: Star) -> list[int]:
    return [yields.strips_of_letter(one, letter) for letter in one.letters]


# Derived (L(N) = w + N w sqrt2 with the exact stagger), worked out by hand to two places: w, L(8), then the
# segments of one strip at 40, 41, 42, 43 and 44 in.
TABLE = [
    ("2", 24.63, 13, 13, 14, 14, 14),
    ("2.25", 27.71, 11, 12, 12, 12, 13),
    ("2.5", 30.78, 10, 10, 11, 11, 11),
    ("2.75", 33.86, 9, 9, 10, 10, 10),
    ("3", 36.94, 8, 8, 9, 9, 9),
    ("3.25", 40.02, 7, 8, 8, 8, 8),
    ("3.5", 43.10, 7, 7, 7, 7, 8),
]


@pytest.mark.parametrize("line", TABLE)
def test_segments_of_a_strip(line: tuple[str, float, int, int, int, int, int]) -> None:
    strip, length_for_8, *segments = line
    for width, wanted in zip((40, 41, 42, 43, 44), segments, strict=True):
        one = star(4, strip, width=width)
        assert yields.segments_per_strip(one) == wanted
        assert yields.run_gauge(one).most(width * TICKS_PER_INCH, 1) == wanted
    assert yields.length_for(star(4, strip), 8) == pytest.approx(length_for_8, abs=0.006)
    assert yields.spare_on_strip(star(4, strip)) == pytest.approx(40 - length_for_8, abs=0.006)


def test_strips_of_the_usual_stars() -> None:
    # Common practice, no source: strips of 2 1/2 in, 4 x 4 mirrored 2, 4, 6, 4; 3 x 3 with five fabrics 1 2 3 2 1.
    assert strips(star(4, "2.5")) == [2, 4, 6, 4]
    assert strips(star(3, "2.5", "none")) == [1, 2, 3, 2, 1]
    # Common practice, no source: eight fit one strip at 3 in, not at 3 1/2, where the rest costs further strips.
    assert yields.sewn_on_paper(star(3, "3")) is Sewn.WHOLE
    assert sum(strips(star(3, "3.5", "none"))) > sum(strips(star(3, "3", "none")))
    # Source: American magazine pattern, allpeoplequilt.com, wall quilt of a 4 x 4 star of 2 1/4 in strips.
    assert strips(star(4, "2.25", "none")) == [1, 2, 3, 4, 3, 2, 1]


def test_yards_of_the_usual_star() -> None:
    # Common practice, no source: 2, 4 and 6 strips of 2 1/2 in are 5, 10 and 15 in: 1/4, 3/8 and 1/2 yd as sold.
    found = yields.letter_yields(star(4, "2.5"))
    assert [one.inches for one in found] == [5, 10, 15, 10]
    assert [one.yards for one in found] == [F(1, 4), F(3, 8), F(1, 2), F(3, 8)]
    assert [one.rows for one in found] == [(1, 7), (2, 6), (3, 5), (4,)]
    # 4 1/2 in are 1/8 yd to the thread; straightening takes 1 in more (1 to 2 in: catbirdquilts.wordpress.com, 2014).
    tip = yields.letter_yields(star(2, "4.5", width=56))[0]
    assert (tip.strips, tip.yards, tip.buy) == (2, F(1, 4), F(3, 8))


def test_typed_lengths_on_paper_stay_exact() -> None:
    """5 strips of 2.7 in are 13 1/2 in, 3/8 yd to the thread: whole ticks a strip would make it 1/2 (derived)."""
    assert to_ticks(F("2.7")) * 5 > to_ticks(F("13.5"))
    found = yields.letter_yields(star(5, "2.7", "none"))[4]
    assert (found.strips, found.inches, found.yards) == (5, F(27, 2), F(3, 8))


def test_the_shop_class_that_was_promised_eight() -> None:
    # Source: blairblogscraps.blogspot.com, January 2013: 3 1/2 in strips, 3 x 3; most got seven from a strip.
    one = star(3, "3.5", width=42)
    assert yields.segments_per_strip(one) == 7
    assert yields.segments_per_strip(replace(one, width=F(44))) == 8
    assert yields.length_for(one, 8) == pytest.approx(43.10, abs=0.005)


def test_sets_that_are_not_staggered_exactly() -> None:
    # Source: sewnbyleila.blogspot.com, May 2012: 2 x 2 of 1 3/4 in strips sewn level, 23 in for eight (22.80).
    level = star(2, "1.75", stagger=F(0))
    assert yields.length_for(level, 8) == pytest.approx(22.80, abs=0.005)
    assert yields.run_gauge(level).most(23 * TICKS_PER_INCH, 1) == 8
    assert yields.run_gauge(level).most(to_ticks(F("22.79")), 1) == 7
    # Derived from crispynoodleknits.blogspot.com, March 2009: 5 x 5 of 2 1/2 staggered by the cut width, 32.78 in.
    wide = star(5, "2.5", stagger=F(5, 2))
    assert yields.length_for(wide, 8) == pytest.approx(32.78, abs=0.006)


def test_two_runs_of_eight_on_a_strip() -> None:
    """Two runs of eight need 2 w (1 + 8 sqrt2) = 24.627 w: 1 1/2 in fit 40, 1 5/8 miss it by 0.02 in (derived)."""
    assert yields.runs_per_strip(star(4, "1.5"), 8) == 2
    assert strips(star(4, "1.5")) == [1, 2, 3, 2]
    assert strips(star(4, "1.5", "none")) == [1, 1, 2, 2, 2, 1, 1]
    assert 2 * 1.625 * (1 + 8 * math.sqrt(2)) - 40 == pytest.approx(0.0196, abs=1e-4)
    assert yields.runs_per_strip(star(4, "1.625"), 8) == 1
    assert yields.runs_per_strip(star(4, "1.625", width=F("40.02")), 8) == 2
    assert yields.runs_per_strip(star(4, "1"), 8) == 3


def test_a_hair_short_is_short() -> None:
    # Derived: 3 1/4 in at 40 in misses the eighth segment by 0.02 in.
    one = star(4, "3.25")
    assert 0 < -yields.spare_on_strip(one) < 0.02
    assert yields.segments_per_strip(one) == 7
    assert yields.sewn_on_paper(one) is Sewn.SEVEN_ONE
    for letter in one.letters:  # a strip gives one run of seven, or five runs of one
        count = cells(one, letter)
        assert yields.strips_of_letter(one, letter) == count + math.ceil(count / 5)


def fewest_by_trial(one: Star, runs: tuple[int, ...], count: int) -> int:
    """Strips for `count` small diamonds by packing longest runs first, tried directly on 60 digits."""
    with localcontext() as context:
        context.prec = 60
        strip, width = as_decimal(one.strip), as_decimal(one.width)
        need = {length: strip + as_decimal(one.slant) + length * strip * Decimal(2).sqrt() for length in set(runs)}
        free: list[Decimal] = []
        for length in sorted(runs * count, reverse=True):
            if need[length] > width:
                return 10**6
            place = next((i for i, left in enumerate(free) if left >= need[length]), None)
            if place is None:
                free.append(width - need[length])
            else:
                free[place] -= need[length]
        return len(free)


def as_decimal(value: F) -> Decimal:
    return Decimal(value.numerator) / Decimal(value.denominator)


STRIPS = st.fractions(1, F(9, 2), max_denominator=64)


@given(st.integers(2, 5), STRIPS, st.integers(18, 60), st.booleans())
@settings(max_examples=60, deadline=None)
def test_the_way_of_sewing_takes_the_fewest_strips(grid: int, strip: F, width: int, small: bool) -> None:
    one = star(grid, strip, "none", width, small_runs=small)
    ways = {Sewn.SEVEN_ONE: (7, 1), Sewn.HALVED: (4, 4)} | ({Sewn.QUARTERED: (2, 2, 2, 2)} if small else {})
    if fewest_by_trial(one, (8,), 1) == 1:
        ways = {Sewn.WHOLE: (8,)}
    totals = {
        way: sum(fewest_by_trial(one, runs, cells(one, letter)) for letter in one.letters)
        for way, runs in ways.items()
    }
    least = min(totals.values())
    if least >= 10**6:
        with pytest.raises(UsageFault, match="segments"):
            yields.sewn_on_paper(one)
        return
    assert yields.sewn_on_paper(one) == next(way for way, total in totals.items() if total == least)
    assert sum(strips(one)) == least


def test_sewn_otherwise_than_whole() -> None:
    # 20 in of 2 1/2: six segments, so no run of seven; a run of four needs 16.64 in, a run of two 9.57 (derived).
    short = star(3, "2.5", "none", width=20)
    assert yields.sewn_on_paper(short) is Sewn.HALVED
    assert strips(short) == [2, 4, 6, 4, 2]
    assert yields.sewn_on_paper(replace(short, small_runs=True)) is Sewn.HALVED, "two runs of two: alike, so halved"
    # 41 in of 3 1/2: three runs of two (40.20), so quartered takes 4/3 strips a small diamond where 7 + 1 takes
    # 1 + 1/4; at 32 in (six segments) halved takes one strip a run of four, quartered one for two runs of two.
    assert yields.sewn_on_paper(star(3, "3.5", "none", width=41, small_runs=True)) is Sewn.SEVEN_ONE
    assert yields.sewn_on_paper(star(3, "3.5", "none", width=32, small_runs=True)) is Sewn.HALVED
    # 15 in of 2 1/2: four do not fit, two do.
    narrow = star(3, "2.5", "none", width=15)
    with pytest.raises(UsageFault, match="small runs"):
        yields.sewn_on_paper(narrow)
    assert yields.sewn_on_paper(replace(narrow, small_runs=True)) is Sewn.QUARTERED
    assert strips(replace(narrow, small_runs=True)) == [4, 8, 12, 8, 4]
    with pytest.raises(UsageFault) as fault:
        yields.sewn_on_paper(star(3, "4.5", "none", width=9))
    assert "small runs" not in fault.value.do


@given(
    st.integers(1, 32_000_000),
    st.integers(1, 9),
    STRIPS,
    st.integers(2, 13),
    st.none() | st.fractions(0, 2, max_denominator=50),
)
@settings(max_examples=400, deadline=None)
def test_the_integer_run_test_against_60_digits(lane: int, runs: int, strip: F, grid: int, stagger: F | None) -> None:
    one = Star(grid, strip, make_order("none", grid), stagger=stagger)
    assume(one.finished_strip > 0)
    gauge = yields.run_gauge(one)
    with localcontext() as context:
        context.prec = 60
        left = Decimal(lane) - runs * as_decimal((one.strip + one.slant) * TICKS_PER_INCH)
        each = as_decimal(one.strip * TICKS_PER_INCH) * Decimal(2).sqrt()
        wanted = -1 if left < 0 else int((left / each).to_integral_value(ROUND_FLOOR))
    assert gauge.most(lane, runs) == wanted
    assert gauge.fits(lane, runs, wanted) == (wanted >= 0)
    assert not gauge.fits(lane, runs, wanted + 1)
    assert yields.most_on_paper(one, F(lane, TICKS_PER_INCH), runs) == wanted


@given(st.integers(0, 400_000), st.integers(0, 400_000), st.integers(1, 6), STRIPS)
def test_more_cloth_and_fewer_runs_never_give_less(lane: int, more: int, runs: int, strip: F) -> None:
    gauge = yields.run_gauge(star(4, strip, "none", seam=F(1, 8)))
    assert gauge.most(lane, runs) <= gauge.most(lane + more, runs)
    assert gauge.most(lane, runs + 1) <= gauge.most(lane, runs)


def test_the_gauge_at_its_edges() -> None:
    gauge = yields.run_gauge(star(4, "2.7"))
    assert gauge.scale == 5, "2.7 in are 21,945.6 ticks: kept as fifths"
    head = math.ceil(F("2.7") * TICKS_PER_INCH)
    assert (gauge.most(head, 1), gauge.most(head - 1, 1)) == (0, -1)
    assert (gauge.most(0, 0), gauge.fits(10, 0, 0), gauge.fits(10, 0, 1)) == (0, True, False)
    counts = [gauge.most(lane, 1) for lane in range(head, 400_000, 997)]
    assert all(later - earlier in (0, 1) for earlier, later in pairwise(counts))


def test_the_narrowest_misses_and_fits_there_are() -> None:
    """Pell's equation: x^2 = 2 y^2 - 1 is a hair under y sqrt2 (a miss), x^2 = 2 y^2 + 1 a hair over (a fit).

    Floats take both squares for equal long before the last of these.
    """
    x, y = 1, 1
    for number in range(1, 60):
        gauge = yields.RunGauge(scale=1, strip=y, head=y)
        assert gauge.most(x + y, 1) == (0 if number % 2 else 1)
        x, y = x + 2 * y, x + y
    assert float(x * x) == float(2 * y * y), "no float tells them apart"


def test_a_lane_that_ends_with_the_slanted_end_holds_the_run_and_no_segment() -> None:
    one = star(4, "2.5")
    gauge = yields.run_gauge(one)
    assert [gauge.most(to_ticks(F("7.5")) + more, 3) for more in (-1, 0, 1)] == [-1, 0, 0]
    assert [yields.most_on_paper(one, F("7.5") + more, 3) for more in (F(-1, 999), 0, F(1, 999))] == [-1, 0, 0]
