"""Ground on its cloth, borders, beds, binding, backing, batting and warnings."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from stash.lengths import show_yards, yards_up
from stash.model import Star
from stash.star import beds, ground, quilt
from stash.star.chart import BEDS, check_star, make_order
from stash.star.geometry import corner, finished, triangle_square
from stash.star.surd import Surd

F = Fraction


def star(grid: int, strip: str | F, **more: object) -> Star:
    made = Star(grid, F(strip), make_order("mirror", grid), **more)  # type: ignore[arg-type]
    return check_star(made)


USUAL = star(4, "2.5")


# --- the ground ---


def test_ground_of_a_large_star_by_the_width_of_the_cloth() -> None:
    """8 x 8 of 2 1/4 (derived by hand): triangle square 29 1/2, squares 20 5/8; two abreast at 42, one at 40."""
    large = star(8, "2.25")
    at_42, at_40 = (ground.ground_layout(large, F(width)) for width in (42, 40))
    assert at_42.length == F("29.5") + 2 * F("20.625")
    assert at_40.length == F("29.5") + 4 * F("20.625")
    assert [show_yards(yards_up(one.length)) for one in (at_42, at_40)] == ["2", "3 1/8"]
    assert at_42.fits
    assert (at_40.note, at_40.borders, at_40.joined) == ("", "", 1)


def test_squares_stand_beside_the_triangle_square_where_they_fit() -> None:
    # Derived by hand: 17 1/2 + 12 1/8 = 29 5/8 of 40 in; then three squares, 36 3/8 of 40.
    assert [shelf.height for shelf in ground.ground_layout(USUAL, F(40)).shelves] == [F("17.5"), F("12.125")]
    narrower = ground.ground_layout(USUAL, F("36.25"))
    assert [shelf.height for shelf in narrower.shelves] == [F("17.5"), F("12.125"), F("12.125")]
    assert len(ground.ground_layout(USUAL, F("29.5")).shelves) == 3


def test_a_triangle_square_wider_than_the_cloth() -> None:
    wide = star(9, "2.75")  # 2 n f = 40.5: wider than 40 in, its squares (29 3/8) are not
    square = triangle_square(wide).reserve
    layout = ground.ground_layout(wide, F(40))
    assert square > 40 > corner(wide).reserve
    assert layout.fits
    assert "singly" in layout.note
    assert "along the selvage" in layout.note
    assert layout.length == 3 * square - 40 + 4 * corner(wide).reserve


def interlocked(square: F, width: F) -> tuple[tuple[tuple[F, F], ...], ...]:
    """The corners (x across, y along, inches) of the four quarters of a square, long sides at the two selvages in
    turn, each let in between its neighbours as far as the width allows."""
    half, step, zero = square / 2, square - width, F(0)
    places = []
    for start, edge, tip in (
        (zero, zero, half),
        (step, width, width - half),
        (square, zero, half),
        (square + step, width, width - half),
    ):
        places.append(((edge, start), (edge, start + square), (tip, start + half)))
    return tuple(places)


@given(st.integers(1, 400), st.fractions(0, 1, max_denominator=64))
@settings(deadline=None)
def test_triangles_cut_singly_lie_apart_on_the_cloth(eighths: int, share: F) -> None:
    """Drawn by coordinates: four halves of half squares, grain right, within the width and the length counted."""
    square = F(eighths, 8)
    width = square / 2 + share * square / 2
    places = [Polygon(points) for points in interlocked(square, width)]
    cloth = box(0, 0, float(width), float(ground.singles_length(square, width)))
    for place, points in zip(places, interlocked(square, width), strict=True):
        assert place.area == pytest.approx(float(square) ** 2 / 4)
        assert place.within(cloth.buffer(1e-9))
        (first_x, first_y), (second_x, second_y), _ = points
        assert (first_x, second_y - first_y) == (second_x, square), "the long side runs along the selvage"
    assert all(one.intersection(other).area < 1e-9 for one, other in combinations(places, 2))
    assert max(place.bounds[3] for place in places) == pytest.approx(cloth.bounds[3])


def test_a_square_wider_than_the_cloth_is_said_not_to_fit() -> None:
    huge = star(13, "4.5")
    layout = ground.ground_layout(huge, F(40))
    assert not layout.fits
    assert layout.joined == 2
    assert "join 2 widths" in layout.note
    assert layout.length == sum(shelf.height for shelf in layout.shelves)
    # Joined, two widths are 79 1/2 in; the triangles need 3 T - 79 1/2 of both, the squares a shelf each.
    square, side = triangle_square(huge).reserve, corner(huge).reserve
    assert layout.length == 2 * (3 * square - F("79.5") + 4 * side)
    assert ground.ground_layout(huge, F(108)).fits


@given(st.integers(2, 13), st.fractions(1, F(9, 2), max_denominator=16), st.integers(10, 110), st.booleans())
@settings(deadline=None)
def test_the_cloth_counted_is_never_less_than_the_pieces(grid: int, strip: F, width: int, bordered: bool) -> None:
    one = star(grid, strip, borders=(F(2), F(5)) if bordered else ())
    layout = ground.ground_layout(one, F(width))
    pieces = triangle_square(one).reserve ** 2 + 4 * corner(one).reserve ** 2
    pieces += sum((strip.length * strip.width for strip in ground.border_strips(one)), F(0))
    assert layout.length * width >= pieces
    assert layout.length == sum(shelf.height for shelf in layout.shelves)
    assert layout.fits == (width >= corner(one).reserve and 2 * width >= triangle_square(one).reserve)
    assert layout.length <= ground.ground_layouts(one, F(width))[0].length
    wider = ground.ground_layout(replace(one, borders=()), F(width + 1))
    assert wider.length <= ground.ground_layout(replace(one, borders=()), F(width)).length or wider.joined > 1


# --- borders ---


def test_border_strips_go_round_the_quilt() -> None:
    bordered = star(4, "2.5", borders=(F(2), F(4)))
    strips = ground.border_strips(bordered)
    side = float(finished(bordered).square)
    assert [strip.width for strip in strips] == [F("2.5")] * 4 + [F("4.5")] * 4
    raw = [side, side + 4, side + 4, side + 12]
    for strip, wanted in zip(strips[::2], raw, strict=True):
        assert wanted + 0.5 <= strip.length <= wanted + 0.5 + 0.125 + 0.25
    size = beds.quilt_size(bordered)
    assert float(size.width) == float(size.length) == pytest.approx(side + 12)


def test_borders_lengthwise_take_more_cloth_than_across() -> None:
    bordered = star(4, "2.5", borders=(F(4),))
    paper = ground.ground_layout(bordered, F(40))
    assert paper.borders == "across", "less cloth to buy"
    lengthwise, across = ground.ground_layouts(bordered, F(40))
    assert (lengthwise.borders, across) == ("lengthwise", paper)
    # Four strips of 4 1/2 by up to 47 1/2 side by side leave 22 in: the triangle square and two corner squares.
    assert lengthwise.length == F("47.5") + F("12.125")


def test_borders_across_are_joined_from_enough_strips() -> None:
    bordered = star(4, "2.5", borders=(F(4),))
    across = ground.ground_layout(bordered, F(40)).shelves[-1]
    total = sum(strip.length for strip in ground.border_strips(bordered))
    count = across.height / F("4.5")
    assert count * 40 - (count - 1) / 2 >= total > (count - 1) * 40 - (count - 2) / 2
    assert "5 border strips across" in across.what


# --- beds ---

# Mattresses in inches. Source: thesprucecrafts.com, standard mattress sizes.
MATTRESSES = {
    "crib": (28, 52), "twin": (39, 75), "full": (54, 75), "queen": (60, 80), "king": (76, 80),
    "california king": (72, 84),
}  # fmt: skip


def test_mattresses() -> None:
    assert BEDS == MATTRESSES
    # Source: 16 CFR 1219, full-size crib inside 28 +- 5/8 by 52 3/8 +- 5/8 in.
    assert abs(BEDS["crib"][0] - 28) <= 5 / 8
    assert abs(BEDS["crib"][1] - 52.375) <= 5 / 8


@pytest.mark.parametrize("bed", list(MATTRESSES))
def test_a_drop_sets_the_borders(bed: str) -> None:
    # Source: sewnana.com, January 2010: width = mattress + 2 drops, length = mattress + 1 drop.
    made = star(3, "2", bed=bed, drop=F(12))
    size = beds.quilt_size(made)
    across, along = MATTRESSES[bed]
    assert (size.width, size.length) == (Surd(F(across + 24)), Surd(F(along + 12)))
    (border,) = size.borders
    assert border.sides + border.sides + finished(made).square == size.width
    assert border.ends + border.ends + finished(made).square == size.length


def test_a_bed_alone_compares() -> None:
    fit = beds.bed_fit(replace(USUAL, bed="twin"))
    assert fit is not None
    assert float(fit.sides) == pytest.approx((38.6274 - 39) / 2, abs=1e-4)
    assert float(fit.foot) == pytest.approx(38.6274 - 75, abs=1e-4)
    assert "short at each side" in fit.text
    assert beds.quilt_size(replace(USUAL, bed="twin")).borders == ()
    assert beds.bed_fit(USUAL) is None


def test_given_borders_come_first_and_a_star_past_the_bed_is_said() -> None:
    made = star(4, "2.5", borders=(F(3),), bed="queen", drop=F(10))
    size = beds.quilt_size(made)
    assert (float(size.width), float(size.length)) == (80, 90)
    assert [float(border.sides) for border in size.borders] == pytest.approx([3, (80 - 44.6274) / 2], abs=1e-4)
    big = star(8, "3", bed="crib", drop=F(4))
    assert beds.quilt_size(big).borders == ()
    assert any("larger than a crib" in text for text in quilt.warnings(big))
    half = star(4, "2.5", bed="crib", drop=F(3))  # 34 x 55 wanted: too wide, but not long enough
    (border,) = beds.quilt_size(half).borders
    assert (border.sides, float(border.ends)) == (beds.NOTHING, pytest.approx((55 - 38.6274) / 2, abs=1e-4))
    assert any("larger than a crib" in text for text in quilt.warnings(half))
    assert ground.border_strips(half)[0].width > 8
    assert len(ground.border_strips(half)) == 2


# --- round and behind ---


def sized(width: str, length: str) -> Star:
    """A star whose borders bring the quilt to width x length, by way of a bed of that size."""
    return Star(2, F(1), "ABC", bed=f"{width} x {length}", drop=F(1))


# Source: allpeoplequilt.com pattern pages star-show, half-and-half, happy-halloween, patriotic-sparkler:
# quilt, batting to have, backing in yards, binding strips (None: not printed).
@pytest.mark.parametrize(
    ("width", "length", "backing", "binding"),
    [("44.5", "44.5", "3", None), ("55", "70", "3 1/2", 7), ("58.5", "68.5", "3 3/4", 7), ("28", "28", "1", 3)],
)
def test_binding_and_backing_of_printed_patterns(
    monkeypatch: pytest.MonkeyPatch, width: str, length: str, backing: str, binding: int | None
) -> None:
    made = sized(width, length)
    monkeypatch.setitem(BEDS, made.bed, (F(width) - 2, F(length) - 1))  # type: ignore[arg-type, misc]
    found = quilt.quilt(made)
    assert (float(found.size.width), float(found.size.length)) == (float(F(width)), float(F(length)))
    assert show_yards(found.backing_yards) == backing
    assert binding is None or found.binding_strips == binding


def test_backing_takes_the_cheaper_direction_and_wide_cloth() -> None:
    made = star(4, "2.5", bed="queen", drop=F(12))  # 84 x 92, backing 92 x 100
    found = quilt.quilt(made)
    # Derived: three panels either way (2 of 42 are 83 1/2), cheaper 3 x 92 = 276 in = 7 2/3 yd.
    assert (found.panels, found.backing_yards) == (3, F(31, 4))
    wide = quilt.quilt(replace(made, backing_width=F(108)))
    assert (wide.panels, wide.backing_yards) == (1, F(21, 8))
    # Binding: 352 + 10 in at 42 are 9 strips of 2 1/2, 22 1/2 in.
    assert (found.binding_strips, found.binding_yards) == (9, F(5, 8))


# Batting as sold. Source: honeybegood.com: 45 x 60, 72 x 90, 81 x 96, 90 x 108, 120 x 120.
@pytest.mark.parametrize(
    ("grid", "strip", "borders", "batting"),
    [(3, "2.5", (), "45 x 60"), (4, "2.5", (), "72 x 90"), (6, "2.5", (F(6),), "81 x 96"),
     (6, "2.5", (F(9),), "90 x 108"), (8, "3", (F(4),), "120 x 120"), (13, "4.5", (), "over 120 x 120: join two")],
)  # fmt: skip
def test_batting_as_sold_holds_quilt_and_margin(grid: int, strip: str, borders: tuple[F, ...], batting: str) -> None:
    made = star(grid, strip, borders=borders)
    found = quilt.quilt(made)
    assert found.batting == batting
    if "over" not in batting:
        short, long = map(int, batting.split(" x "))
        assert float(found.size.width) + 8 <= short
        assert float(found.size.length) + 8 <= long


# --- warnings ---


def test_warnings_say_what_a_maker_wants_warned_about() -> None:
    assert quilt.warnings(star(6, "2.5", borders=(F(4),))) == ()
    # Derived: 3 1/4 in misses eight at 40 in by 0.02; at 40 1/4 it leaves 0.23.
    (short,) = quilt.warnings(star(5, "3.25"))
    assert "7 segments at 40 in, not eight" in short
    assert "7+1" in short
    (tight,) = quilt.warnings(star(5, "3.25", width=F("40.25")))
    assert "0.23 in" in tight
    (metric,) = quilt.warnings(star(5, "3.25", width=F("40.25"), units="cm"))
    assert "0.59 cm of a strip of 8.26 cm" in metric
    assert quilt.warnings(star(5, "3.25", width=F("40.55"))) == ()


# Source: American Academy of Pediatrics, Pediatrics 150(1) e2022057990: nothing soft in a sleep space.
@pytest.mark.parametrize(
    ("made", "said"),
    [(USUAL, True), (star(5, "2.5"), False), (star(5, "2.5", bed="crib"), True),
     (star(4, "2.5", borders=(F(1),)), False), (star(4, "2.5", borders=(F("0.6"),)), True)],
)  # fmt: skip
def test_the_sleep_caution_stands_at_crib_size(made: Star, said: bool) -> None:
    assert any("sleep space" in text for text in quilt.warnings(made)) is said
