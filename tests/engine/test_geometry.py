"""Finished sizes and setting pieces against the star drawn by coordinates and measured by shapely (GEOS)."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import box, union_all
from shapely.affinity import rotate, translate
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from stash.model import Star
from stash.star import chart, geometry, yields
from stash.star.chart import make_order
from stash.star.surd import Surd

F = Fraction

# (grid, strip width, seam, stagger)
STARS = [
    Star(4, F(5, 2), make_order("mirror", 4)),
    Star(2, F(7, 4), make_order("none", 2)),
    Star(3, F(27, 10), make_order("none", 3), seam=F(3, 8)),
    Star(6, F(300, 127), make_order("mirror", 6)),
    Star(13, F(9, 2), make_order("none", 13)),
]
NEAR = 1e-9


def ray(degrees: float, length: float) -> tuple[float, float]:
    return length * math.cos(math.radians(degrees)), length * math.sin(math.radians(degrees))


def large_diamond(side: float, turned: int) -> Polygon:
    """The large diamond between the rays at 45 * turned and 45 * (turned + 1) degrees from the star's centre."""
    (ax, ay), (bx, by) = ray(45 * turned, side), ray(45 * turned + 45, side)
    return Polygon([(0, 0), (ax, ay), (ax + bx, ay + by), (bx, by)])


def large_side(star: Star) -> float:
    """A small diamond of height f and angle 45 degrees has the side f / sin 45; a large one has n of them."""
    return star.grid * float(star.finished_strip) / math.sin(math.pi / 4)


def drawn(star: Star) -> tuple[list[Polygon], list[Polygon], list[Polygon], Polygon]:
    """Diamonds, side triangles, corner squares, and the whole square, by coordinates from the diamonds alone."""
    side = large_side(star)
    diamonds = [large_diamond(side, turned) for turned in range(8)]
    edge = max(x for diamond in diamonds for x, _ in diamond.exterior.coords)
    square = box(-edge, -edge, edge, edge)
    rest = square.difference(union_all(diamonds).buffer(1e-9))
    pieces = [Polygon(part.exterior).buffer(1e-9, join_style="mitre").simplify(1e-6) for part in rest.geoms]
    triangles = [part for part in pieces if len(part.exterior.coords) == 4]
    corners = [part for part in pieces if len(part.exterior.coords) == 5]
    return diamonds, triangles, corners, square


def sides(shape: Polygon) -> list[float]:
    points = list(shape.exterior.coords)
    return sorted(math.dist(p, q) for p, q in pairwise(points))


def with_seam(shape: Polygon, star: Star) -> BaseGeometry:
    return shape.buffer(float(star.seam), join_style="mitre", mitre_limit=10)


@pytest.mark.parametrize("star", STARS)
def test_finished_sizes(star: Star) -> None:
    diamonds, _, _, square = drawn(star)
    found = geometry.finished(star)
    assert float(found.large_side) == pytest.approx(sides(diamonds[0])[0], abs=NEAR)
    assert float(found.small_side) == pytest.approx(sides(diamonds[0])[0] / star.grid, abs=NEAR)
    assert float(found.square) == pytest.approx(sides(square)[0], abs=NEAR)
    tips = [diamond.exterior.coords[2] for diamond in diamonds]
    assert found.tip_to_tip == pytest.approx(math.dist(tips[0], tips[4]), abs=NEAR)
    assert found.tip_to_tip > float(found.square)


@pytest.mark.parametrize("star", STARS)
def test_setting_pieces(star: Star) -> None:
    diamonds, triangles, corners, square = drawn(star)
    assert (len(triangles), len(corners)) == (4, 4)
    pieces = [*diamonds, *triangles, *corners]
    assert sum(piece.area for piece in pieces) == pytest.approx(square.area, rel=1e-6)
    assert all(one.intersection(other).area < 1e-5 for one, other in combinations(pieces, 2))
    for corner in corners:
        assert float(geometry.corner(star).exact) == pytest.approx(sides(with_seam(corner, star))[0], abs=1e-5)
    for triangle in triangles:
        long_side = sides(with_seam(triangle, star))[-1]
        assert float(geometry.triangle_square(star).exact) == pytest.approx(long_side, abs=1e-5)


@pytest.mark.parametrize("star", STARS)
def test_rows_are_the_small_diamonds_by_distance_from_the_centre(star: Star) -> None:
    """Each small diamond of the drawn large one lies in the row that its place says, and they fill it."""
    side = large_side(star)
    (ax, ay), (bx, by) = ray(0, side / star.grid), ray(45, side / star.grid)
    small = [
        translate(large_diamond(side / star.grid, 0), i * ax + j * bx, i * ay + j * by)
        for i in range(star.grid)
        for j in range(star.grid)
    ]
    assert union_all([one.buffer(1e-9) for one in small]).area == pytest.approx(large_diamond(side, 0).area, rel=1e-6)
    along = ray(22.5, 1)
    height = float(geometry.finished(star).small_side) * 2 * math.cos(math.pi / 8)
    reach = [(one.centroid.x * along[0] + one.centroid.y * along[1]) / (height / 2) for one in small]
    for row in chart.rows(star):
        assert sum(round(far) == row.row for far in reach) == row.small_diamonds


@pytest.mark.parametrize("star", STARS)
def test_check_measures(star: Star) -> None:
    found = geometry.checks(star)
    point = large_diamond(large_side(star), 0)
    raw = with_seam(point, star)
    assert float(found.point_edge) == pytest.approx(sides(raw)[0], abs=1e-6)
    for turned in (0.0, -45.0):  # both pairs of parallel sides laid level
        low, high = rotate(raw, turned, origin=(0, 0)).bounds[1::2]
        assert float(found.point_across) == pytest.approx(high - low, abs=1e-6)
    # Strips lie f apart: the raw height of two and of n of them.
    apart, width = float(star.finished_strip), float(star.strip)
    assert float(found.pair) == pytest.approx(apart + width, abs=NEAR)
    assert float(found.sewn_set) == pytest.approx((star.grid - 1) * apart + width, abs=NEAR)
    # Two cuts at 45 degrees, w apart square across, meet the set's edge w sqrt2 apart.
    cut = LineString([(0, 0), (100, 100)]).buffer(width, single_sided=True, cap_style="flat")
    level = cut.intersection(LineString([(-50, 50), (150, 50)]))
    assert float(found.step) == pytest.approx(level.length, abs=1e-6)


def sewn_set(star: Star) -> list[Polygon]:
    """The raw strips of a set as they lie under one another, each set off by the stagger."""
    f, w, usable = float(star.finished_strip), float(star.strip), float(star.width)
    set_off = f if star.stagger is None else float(star.stagger)
    return [box(i * set_off, i * f, i * set_off + usable, i * f + w) for i in range(star.grid)]


def whole_segments(star: Star) -> int:
    """Segments cut one after the other from the first place where every raw strip is whole under the cut."""
    strips = sewn_set(star)
    step = float(star.strip) * math.sqrt(2)
    start = max(strip.bounds[0] - strip.bounds[1] for strip in strips)
    count = 0
    while True:
        left = start + count * step
        top = strips[-1].bounds[3]
        segment = Polygon([(left, 0), (left + step, 0), (left + step + top, top), (left + top, top)])
        for strip in strips:
            under = segment.intersection(box(-1e4, strip.bounds[1], 1e4, strip.bounds[3]))
            if under.difference(strip.buffer(1e-7)).area > 1e-9:
                return count
        count += 1


@pytest.mark.parametrize("stagger", [None, F(0), F(3, 2), F(9, 4), F(5, 2)])
@pytest.mark.parametrize(
    ("grid", "strip", "width"), [(4, F(5, 2), 40), (2, F(7, 4), 23), (5, F(3), 42), (3, F(13, 4), 41)]
)
def test_segments_from_a_drawn_strip_set(grid: int, strip: F, width: int, stagger: F | None) -> None:
    star = Star(grid, strip, make_order("none", grid), width=F(width), stagger=stagger)
    assert yields.segments_per_strip(star) == whole_segments(star)


def test_the_usual_star() -> None:
    # Derived, by hand: 4 x 4 of 2 1/2 in: S = 8 sqrt2 = 11.314; corner 11.814; triangle square 17.207.
    star = STARS[0]
    assert (geometry.corner(star).cut, geometry.corner(star).reserve) == (F("11.75"), F("12.125"))
    assert (geometry.triangle_square(star).cut, geometry.triangle_square(star).reserve) == (F("17.25"), F("17.5"))


def test_printed_sizes_of_others() -> None:
    # Source: sewnbyleila.blogspot.com, May 2012: 2 x 2 of 1 3/4: squares 4, triangle square 6 1/4, star 12.
    small = STARS[1]
    assert geometry.corner(small).cut == 4
    assert geometry.triangle_square(small).cut == F(25, 4)
    assert float(geometry.finished(small).square) == pytest.approx(12, abs=0.1)
    # Source: allpeoplequilt.com, star wall quilt: 4 x 4 of 2 1/4: centre 33.80 finished, 34 1/2 raw.
    wall = geometry.finished(Star(4, F(9, 4), make_order("none", 4))).square
    assert float(wall) == pytest.approx(33.80, abs=0.005)
    assert F("34.5") - 1 < wall + F(1, 2) < F("34.5")
    # Source: agfblog.com, April 2019: 3 x 3 of 2 1/2 finishes 28.97, printed 29.
    assert float(geometry.finished(Star(3, F(5, 2), make_order("none", 3))).square) == pytest.approx(28.97, abs=0.005)


def test_the_trade_s_rule_for_the_triangle_square() -> None:
    """At s = 1/4 the trade adds 1 1/4 to 2 n f where the exact rule adds 1.207: up to 1/8 they agree (practice)."""
    for grid in (2, 3, 4, 6, 8):
        for eighths in range(8, 30):
            star = Star(grid, F(eighths, 8) + F(1, 2), make_order("none", grid))
            rule = 2 * grid * star.finished_strip + F(5, 4)
            assert geometry.triangle_square(star).cut == rule


COEFFICIENT = st.fractions(-500, 500, max_denominator=400)


@given(COEFFICIENT, COEFFICIENT, st.sampled_from([F(1), F(1, 8), F(1, 64), F(1, 36)]))
def test_rounding_of_roots_is_exact(plain: F, root: F, step: F) -> None:
    """Against the same in whole numbers: k step <= a + b sqrt2 is settled by squaring k step - a."""
    value = Surd(plain, root)

    def not_over(edge: F) -> bool:
        rest = edge - plain  # is rest <= root sqrt2 ?
        if rest <= 0 <= root:
            return True
        if root <= 0 < rest:
            return False
        return rest**2 <= 2 * root**2 if root > 0 else rest**2 >= 2 * root**2

    down, up = value.down_to(step), value.up_to(step)
    assert not_over(down)
    assert not not_over(down + step)
    assert up == (down if root == 0 and (plain / step).denominator == 1 else down + step)
    assert (value <= down) == (up == down)
    assert value >= down
    assert (value > down) == (up != down)
    assert not value < down
    assert float(value) == pytest.approx(float(plain) + float(root) * 2**0.5, abs=1e-9)
