"""Rows, letters, strip sets, and the stars that cannot be."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stash.errors import UsageFault
from stash.model import Star
from stash.star import chart
from stash.star.chart import make_order

F = Fraction


def star(grid: int = 4, order: str = "mirror") -> Star:
    return Star(grid, F(5, 2), make_order(order, grid))


def test_repeats() -> None:
    assert make_order("none", 4) == "ABCDEFG"
    assert make_order("MIRROR", 4) == "ABCDCBA"
    assert make_order("abcabca", 4) == "ABCABCA"
    assert make_order("A B A", 2) == "ABA"
    assert make_order("none", 13) == "ABCDEFGHIJKLMNOPQRSTUVWXY"


# Common practice, no source: a 4 x 4 with no repeat uses 7 fabrics, a 6 x 6 uses 11.
@pytest.mark.parametrize(("grid", "fabrics"), [(4, 7), (6, 11)])
def test_fabrics_of_a_star_without_repeat(grid: int, fabrics: int) -> None:
    assert len(star(grid, "none").letters) == fabrics
    assert len(star(grid, "mirror").letters) == grid


@pytest.mark.parametrize(
    ("text", "words"),
    [("ABC", "Write 7 letters"), ("ABCDEFGH", "Write 7 letters"), ("", "Write 7 letters"), ("ABCDEF1", "Write 7"),
     ("ÄBCDEFG", "Write 7"), ("ＡBCDEFG", "Write 7"), ("A" * 5000, "Write 7"), ("ACBDEFG", "Row 2 brings in C"),
     ("BACDEFG", "Row 1 brings in B"), ("ABCEDEF", "Row 4 brings in E")],
)  # fmt: skip
def test_other_orders_name_the_letters_wanted(text: str, words: str) -> None:
    with pytest.raises(UsageFault) as fault:
        make_order(text, 4)
    assert words in fault.value.line()


@given(st.integers(2, 13), st.text(alphabet="ABCabc xyz1", max_size=30))
def test_an_order_is_letters_without_a_gap_or_a_usage_fault(grid: int, text: str) -> None:
    try:
        order = make_order(text, grid)
    except UsageFault:
        return
    firsts = list(dict.fromkeys(order))
    assert len(order) == 2 * grid - 1
    assert firsts == [chr(65 + place) for place in range(len(firsts))]


def test_rows_fill_the_large_diamond() -> None:
    """A large diamond of n x n small ones has n^2 of them, min(r, 2n - r) in row r (derived)."""
    for grid in chart.GRIDS:
        rows = chart.rows(star(grid))
        assert sum(row.small_diamonds for row in rows) == grid * grid
        corner_to_corner = [i + j + 1 for i in range(grid) for j in range(grid)]
        assert [row.small_diamonds for row in rows] == [corner_to_corner.count(r) for r in range(1, 2 * grid)]
        assert sum(chart.cells(star(grid), letter) for letter in star(grid).letters) == grid * grid


def test_cells_of_the_mirrored_star() -> None:
    # Common practice, no source: a 4 x 4 mirrored takes A 2, B 4, C 6, D 4.
    assert [chart.cells(star(), letter) for letter in "ABCD"] == [2, 4, 6, 4]


def test_strip_sets_of_a_mirrored_star_are_alike_in_pairs() -> None:
    """Set i turned end for end is set n + 1 - i; the middle one of an odd grid is its own reverse (derived)."""
    for grid in chart.GRIDS:
        for one in chart.strip_sets(star(grid)):
            partner = grid + 1 - one.number
            assert one.same_as == (partner if one.number > partner else None)
            assert one.turned == (one.same_as is not None)
            assert one.rows == tuple(range(one.number, one.number + grid))


def test_strip_sets_hold_the_letters_of_their_rows_and_make_every_small_diamond() -> None:
    one = star(3, "ABCAB")
    sets = chart.strip_sets(one)
    assert [each.letters for each in sets] == ["ABC", "BCA", "CAB"]
    assert [each.same_as for each in sets] == [None, None, None]
    for row in chart.rows(one):
        assert sum(row.row in each.rows for each in sets) == row.small_diamonds


def test_sets_alike_without_turning() -> None:
    sets = chart.strip_sets(star(4, "ABABABA"))
    assert [(one.letters, one.same_as, one.turned) for one in sets] == [
        ("ABAB", None, False), ("BABA", 1, True), ("ABAB", 1, False), ("BABA", 1, True)
    ]  # fmt: skip
    sets = chart.strip_sets(star(2, "AAA"))
    assert [one.same_as for one in sets] == [None, None], "a set that is its own reverse names no other"


GOOD = star()


@pytest.mark.parametrize(
    "bad",
    [
        replace(GOOD, grid=1), replace(GOOD, grid=14), replace(GOOD, strip=F(99, 100)),
        replace(GOOD, strip=F(451, 100)),
        replace(GOOD, seam=F(0)), replace(GOOD, seam=F(-1, 4)), replace(GOOD, seam=F(51, 100)),
        replace(GOOD, strip=F(1), seam=F(1, 2)), replace(GOOD, width=F(0)), replace(GOOD, width=F(3)),
        replace(GOOD, width=F(500)), replace(GOOD, stagger=F(-1)), replace(GOOD, stagger=F(6)),
        replace(GOOD, borders=(F(4), F(0))), replace(GOOD, borders=(F(61),)), replace(GOOD, bed="hammock"),
        replace(GOOD, drop=F(12)), replace(GOOD, bed="queen", drop=F(0)), replace(GOOD, bed="queen", drop=F(50)),
        replace(GOOD, units="ell"), replace(GOOD, order="ABCDCB"), replace(GOOD, order="abcdcba"),
        replace(GOOD, order="mirror"), replace(GOOD, binding_width=F(0)), replace(GOOD, backing_width=F(1000)),
    ],
)  # fmt: skip
def test_stars_that_cannot_be(bad: Star) -> None:
    with pytest.raises(UsageFault) as fault:
        chart.check_star(bad)
    assert fault.value.do


@pytest.mark.parametrize(
    "good",
    [
        GOOD, replace(GOOD, strip=F(1)), replace(GOOD, strip=F(9, 2)), replace(GOOD, stagger=F(0)),
        replace(GOOD, bed="king", drop=F(12), borders=(F(1), F(6))), star(2, "none"), star(13, "mirror"),
        replace(GOOD, units="cm", strip=F(300, 127)),
    ],
)  # fmt: skip
def test_stars_that_can_be(good: Star) -> None:
    assert chart.check_star(good) is good


def test_words_for_stagger_and_bed() -> None:
    assert chart.read_stagger("exact") is None
    assert chart.read_stagger(" Level ") == 0
    assert chart.read_stagger("2 1/4") == F(9, 4)
    assert chart.read_stagger("5", units="cm") == F(250, 127)
    assert chart.bed_name("California-King") == "california king"
    with pytest.raises(UsageFault, match="crib"):
        chart.bed_name("hammock")
    with pytest.raises(UsageFault):
        chart.read_stagger("-1")
