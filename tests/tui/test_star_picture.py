"""The picture of the star against geometry worked out another way: polygons by shapely, areas by formula."""

from __future__ import annotations

import math
from collections import Counter

import pytest
from shapely import Point, Polygon

from tui.widgets.look import Chip, RowLook, StarLook
from tui.widgets.star_picture import HalfCell, half_cells, look_paint, picture_spots, shades
from tui.widgets.star_pixels import (
    GROUND,
    POINT_LENGTH,
    POINT_WIDTH,
    SIDES,
    is_odd_point,
    point_spots,
    row_of,
    star_spots,
    whole_star_fit,
)


def small_diamonds(grid: int, pixels: int) -> list[tuple[int, int, Polygon]]:
    """Every small diamond as (large diamond 0..7, row, polygon) in pixels from the upper left corner.

    Derived: large diamond k lies between the directions 45k and 45(k + 1) degrees; its small diamonds are
    parallelograms of side S / n along these two. The square's side is S (2 + sqrt 2).
    """
    side = pixels / SIDES
    found = []
    for k in range(8):
        u = (math.cos(math.radians(45 * k)), math.sin(math.radians(45 * k)))
        v = (math.cos(math.radians(45 * (k + 1))), math.sin(math.radians(45 * (k + 1))))
        for i in range(grid):
            for j in range(grid):
                corners = [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)]
                places = [
                    (
                        pixels / 2 + side / grid * (p * u[0] + q * v[0]),
                        pixels / 2 - side / grid * (p * u[1] + q * v[1]),
                    )
                    for p, q in corners
                ]
                found.append((k, i + j + 1, Polygon(places)))
    return found


@pytest.mark.parametrize(("grid", "pixels"), [(2, 30), (3, 37), (4, 44), (5, 61), (13, 120)])
def test_every_pixel_lies_in_the_small_diamond_it_is_painted_for(grid: int, pixels: int) -> None:
    spots = star_spots(grid, pixels)
    diamonds = small_diamonds(grid, pixels)
    checked = Counter[int]()
    for y in range(0, pixels, 1 if pixels < 100 else 2):
        for x in range(0, pixels, 1 if pixels < 100 else 2):
            place = Point(x + 0.5, y + 0.5)
            near = [(k, row, shape) for k, row, shape in diamonds if shape.distance(place) < 1e-6]
            if any(shape.boundary.distance(place) < 1e-6 for _, _, shape in near):
                continue  # on a seam either side is right
            row = row_of(spots[y][x])
            assert row == (near[0][1] if near else GROUND), (x, y)
            if near:
                assert is_odd_point(spots[y][x]) == bool(near[0][0] % 2)
            checked[row] += 1
    assert set(checked) == set(range(2 * grid))  # the ground and every row were met


@pytest.mark.parametrize(("grid", "pixels"), [(4, 36), (4, 44), (6, 52), (7, 101)])
def test_all_eight_points_have_the_same_count_of_each_row(grid: int, pixels: int) -> None:
    """Derived: the star is the same after a turn of 45 degrees, so each eighth of the circle holds the same rows."""
    spots = star_spots(grid, pixels)
    eighths: list[Counter[int]] = [Counter() for _ in range(8)]
    for y, line in enumerate(spots):
        for x, spot in enumerate(line):
            across, up = x + 0.5 - pixels / 2, pixels / 2 - y - 0.5
            turned = math.degrees(math.atan2(up, across)) % 360 / 45
            if abs(turned - round(turned)) > 1e-9:  # a pixel on the line between two points belongs to both
                eighths[int(turned)][row_of(spot)] += 1
    assert all(eighth == eighths[0] for eighth in eighths)
    assert set(range(1, 2 * grid)) <= set(eighths[0])


@pytest.mark.parametrize("grid", [2, 4, 6, 9])
def test_each_row_takes_its_share_of_the_area(grid: int) -> None:
    """Derived: a large diamond has the area S^2 sin 45, row r has min(r, 2n - r) of its n^2 small diamonds, and the
    square (S (2 + sqrt 2))^2; so the eight points fill 48.5 % of the square."""
    pixels = 1000
    counts = Counter(row_of(spot) for line in star_spots(grid, pixels) for spot in line)
    star = 8 * math.sin(math.pi / 4) / SIDES**2
    assert star == pytest.approx(0.4853, abs=1e-4)
    assert counts[GROUND] / pixels**2 == pytest.approx(1 - star, abs=0.01)
    for row in range(1, 2 * grid):
        share = star * min(row, 2 * grid - row) / grid**2
        assert counts[row] / pixels**2 == pytest.approx(share, rel=0.02, abs=0.0005)


@pytest.mark.parametrize(("columns", "lines"), [(36, 18), (18, 36), (60, 12), (90, 50)])
@pytest.mark.parametrize("grid", [4, 6, 13])
def test_one_point_fits_and_has_its_rows_in_proportion(grid: int, columns: int, lines: int) -> None:
    spots = point_spots(grid, columns, lines)
    assert len(spots) <= 2 * lines
    assert len(spots[0]) <= columns
    assert len(spots) % 2 == 0
    side = max(
        min(columns / POINT_WIDTH, 2 * lines / POINT_LENGTH), min(columns / POINT_LENGTH, 2 * lines / POINT_WIDTH)
    )
    area = side**2 * math.sin(math.pi / 4)  # derived: a rhombus of 45 degrees
    counts = Counter(row_of(spot) for line in spots for spot in line)
    assert sum(counts.values()) - counts[GROUND] == pytest.approx(area, rel=0.06)
    assert set(range(1, 2 * grid)) <= set(counts)
    widest = max(range(1, 2 * grid), key=lambda row: counts[row])
    assert abs(widest - grid) <= (1 if grid <= 6 else 3)


def test_a_standing_point_has_the_centre_below_and_a_lying_one_on_the_left() -> None:
    standing = [line for line in point_spots(3, 20, 30) if any(line)]
    assert {row_of(spot) for spot in standing[-1]} == {GROUND, 1}
    assert {row_of(spot) for spot in standing[0]} == {GROUND, 5}
    lying = [column for column in zip(*point_spots(3, 60, 12), strict=True) if any(column)]
    assert {row_of(spot) for spot in lying[0]} == {GROUND, 1}
    assert {row_of(spot) for spot in lying[-1]} == {GROUND, 5}


def test_the_whole_star_is_shown_while_its_rows_can_be_told_apart() -> None:
    assert whole_star_fit(4, 44, 22) == (44, True)
    assert whole_star_fit(5, 36, 18) == (36, True)
    assert whole_star_fit(6, 36, 18) == (36, False)
    assert whole_star_fit(4, 100, 3) == (6, False)
    assert whole_star_fit(4, 0, 0).pixels == 0


BEHIND = "#101820"


def a_look(**changes: object) -> StarLook:
    chips = [Chip("#ffeedd", "#efefef"), Chip("#223344", "#333333")]
    rows = (RowLook("A", (1, 3), ("Chalk",), (chips[0],)), RowLook("B", (2,), ("Slate",), (chips[1], None)))
    look = {"grid": 2, "order": "ABA", "rows": rows, "ground": Chip("#777777", "#777777")}
    return StarLook(**{**look, **changes})


def test_the_paint_is_the_fabric_or_the_grey_of_its_value() -> None:
    look = a_look()
    colour, grey = look_paint(look, False, BEHIND), look_paint(look, True, BEHIND)
    assert colour(2 * 1, 0, 0) == "#ffeedd"
    assert grey(2 * 3 + 1, 0, 0) == "#efefef"
    assert colour(GROUND, 5, 5) == "#777777"


def test_two_look_alikes_lie_in_every_other_point_and_an_unknown_colour_is_chequered() -> None:
    paint = look_paint(a_look(), False, BEHIND)
    assert paint(2 * 2, 0, 0) == "#223344"
    assert paint(2 * 2 + 1, 0, 0) != paint(2 * 2 + 1, 1, 0)
    assert paint(2 * 2 + 1, 0, 0) == paint(2 * 2 + 1, 1, 1)


def test_with_no_ground_chosen_what_lies_behind_is_seen_and_the_outline_stands_out() -> None:
    paint = look_paint(a_look(ground=None), False, BEHIND)
    assert {paint(GROUND, x, y) for x in range(3) for y in range(3)} == {BEHIND}
    assert paint(2 * 1, 0, 0) == "#ffeedd"


def test_half_cells_take_two_pixel_rows_a_line() -> None:
    cells = half_cells(((0, 2), (4, 6)), lambda spot, x, y: f"{spot}:{x}:{y}")
    assert cells == [[HalfCell("0:0:0", "4:0:1"), HalfCell("2:1:0", "6:1:1")]]


def test_picture_spots_gives_the_whole_star_or_one_point() -> None:
    assert len(picture_spots(4, 44, 22, one_point=False)) == 44
    assert picture_spots(4, 44, 22, one_point=True) == point_spots(4, 44, 22)


def test_without_colours_the_picture_is_shaded_by_value() -> None:
    greys = [HalfCell(code, code) for code in ("#000000", "#404040", "#808080", "#c0c0c0", "#ffffff")]
    assert shades(greys, dark_theme=True) == " ░▒▓█"
    assert shades(greys, dark_theme=False) == "█▓▒░ "
    assert shades([HalfCell("#000000", "#ffffff")], dark_theme=True) == "▒"
