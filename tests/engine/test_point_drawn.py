"""One point enlarged: where each small diamond lies, its letter read back, and how it stands off its fabric."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
import pytest
from PIL import Image, ImageDraw
from shapely.geometry import Polygon

from stash.errors import UsageFault
from stash.model import Star
from stash.sheets.contact_sheet import sheet_size
from stash.sheets.fonts import picture_font
from stash.sheets.point_picture import draw_point, least_pixels, middles
from stash.sheets.star_picture import Cloth, Palette
from stash.star.chart import make_order

if TYPE_CHECKING:
    from pathlib import Path

    from tests.engine.conftest import CommandLine

ANY_COLOUR = [(0, 0, 0), (255, 255, 255), (118, 118, 118), (255, 0, 0), (0, 0, 255), (0, 160, 0), (250, 240, 30)]


def plain(star: Star, *colours: tuple[int, int, int]) -> Palette:
    used = {letter: (Cloth(colours[i % len(colours)]),) for i, letter in enumerate(star.letters)}
    return Palette(used, Cloth((9, 9, 9)))


def contrast(one: np.ndarray, other: np.ndarray) -> float:
    """Contrast ratio of two sRGB colours. Source: WCAG 2.2, definitions of relative luminance and contrast ratio."""
    light = []
    for codes in (one, other):
        part = codes / 255
        linear = np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)
        light.append(float(linear @ (0.2126, 0.7152, 0.0722)))
    return (max(light) + 0.05) / (min(light) + 0.05)


@pytest.mark.parametrize(("grid", "repeat", "pixels"), [(2, "none", 500), (4, "none", 900), (9, "mirror", 1700)])
def test_the_letters_read_back_are_those_of_the_rows(grid: int, repeat: str, pixels: int) -> None:
    """Each letter's shape is the likest to what stands on its small diamond, of all letters of the star."""
    star = Star(grid, Fraction(5, 2), make_order(repeat, grid))
    grey = np.asarray(draw_point(star, plain(star, (255, 255, 255)), pixels).convert("L")).astype(int)
    side = pixels / (2 * math.cos(math.pi / 8) * grid)
    reach, font = round(side * 0.27), picture_font(round(side / 2))
    shapes = {}
    for letter in star.letters:
        shape = Image.new("L", (2 * reach, 2 * reach), 255)
        ImageDraw.Draw(shape).text((reach, reach), letter, fill=0, font=font, anchor="mm")
        shapes[letter] = np.asarray(shape).astype(int)
    read: dict[int, list[str]] = {}
    for row, x, y in middles(star, pixels):
        patch = grey[round(y) - reach : round(y) + reach, round(x) - reach : round(x) + reach]
        read.setdefault(row, []).append(min(shapes, key=lambda letter: np.abs(shapes[letter] - patch).sum()))
    assert read == {
        row: [letter] * min(row, 2 * grid - row) for row, letter in enumerate(star.order, start=1)
    }  # as many small diamonds in a row as the chart has [derived]


@pytest.mark.parametrize("colour", ANY_COLOUR)
def test_a_letter_stands_off_any_colour(colour: tuple[int, int, int]) -> None:
    """At least 4.5 : 1 between ink and fabric, what small text needs. Source: WCAG 2.2, success criterion 1.4.3."""
    star = Star(2, Fraction(5, 2), "ABC")
    codes = np.asarray(draw_point(star, plain(star, colour), 600))
    stem = next((round(x), round(y)) for row, x, y in middles(star, 600) if row == 2)  # the stem of B is left of it
    line = codes[stem[1] + 20, stem[0] - 60 : stem[0] + 60]
    assert any((each == colour).all() for each in line)
    inks = [each for each in line if set(each.tolist()) in ({0}, {255})]
    assert max(contrast(each, np.asarray(colour)) for each in inks) >= 4.5


def test_every_small_diamond_lies_where_geometry_puts_it() -> None:
    """Small diamonds as polygons with an angle of 45 degrees; inside, but for the letter, all is their colour."""
    star, pixels = Star(4, Fraction(5, 2), "ABCDEFG"), 1200
    colours = [(200 - 9 * i, 60 + 20 * i, 33 * i % 250) for i in range(7)]
    picture = draw_point(star, plain(star, *colours), pixels)
    half, codes = pixels / 2 * math.tan(math.pi / 8), np.asarray(picture)
    assert picture.size == (pytest.approx(2 * half, abs=1), pixels)
    for first in range(4):
        for second in range(4):
            # a quarter of the large diamond's diagonals along each of its two lower sides [derived]
            x, y = half * (1 + (first - second) / 4), pixels * (1 - (first + second) / 8)
            corners = [(x, y), (x + half / 4, y - pixels / 8), (x, y - pixels / 4), (x - half / 4, y - pixels / 8)]
            mask = Image.new("1", picture.size)
            draw = ImageDraw.Draw(mask)
            draw.polygon(list(Polygon(corners).buffer(-6, join_style="mitre").exterior.coords), fill=1)
            draw.rectangle((x - 52, y - pixels / 8 - 52, x + 52, y - pixels / 8 + 52), fill=0)
            inside = codes[np.asarray(mask)]
            assert len(inside) > 2000
            assert (inside == colours[first + second]).all()
    assert (codes[0, 0] == codes[-1, -1]).all()
    assert (codes[0, 0] == 255).all()


def test_look_alikes_are_drawn_in_a_point_each() -> None:
    star = Star(2, Fraction(5, 2), "ABC")
    cloth = Palette(
        {"A": (Cloth((200, 0, 0)),), "B": (Cloth((0, 200, 0)), Cloth((0, 0, 200))), "C": (Cloth((90, 90, 0)),)},
        Cloth((9, 9, 9)),
    )
    for turn, there, gone in ((0, (0, 200, 0), (0, 0, 200)), (1, (0, 0, 200), (0, 200, 0))):
        codes = np.asarray(draw_point(star, cloth, 300, turn=turn)).reshape(-1, 3)
        assert (codes == there).all(axis=1).sum() > 1000
        assert not (codes == gone).all(axis=1).any()


@pytest.mark.parametrize("grid", [2, 13])
def test_a_point_too_small_for_its_letters_is_refused_and_the_least_is_said(grid: int) -> None:
    star = Star(grid, Fraction(5, 2), make_order("mirror", grid))
    least = least_pixels(star)
    assert draw_point(star, plain(star, *ANY_COLOUR), least).size[1] == least
    with pytest.raises(UsageFault) as fault:
        draw_point(star, plain(star, *ANY_COLOUR), least - 1)
    assert str(least) in fault.value.do


def test_a_sheet_that_would_be_too_large_is_refused_before_anything_is_drawn() -> None:
    assert sheet_size(9, 2000, 2000)[1] == 3
    with pytest.raises(UsageFault, match="too many for one picture"):
        sheet_size(9, 6000, 6000)


def test_the_command_draws_a_point_of_one_colouring_or_of_all(cli: CommandLine, tmp_path: Path) -> None:
    path = tmp_path / "pond.png"
    asked = ("sheet", "--star", "Mill Pond", "--point", "--out", path, "--pixels", 400)
    assert cli.json(*asked) == {"file": str(path), "width_px": 166, "height_px": 400}
    photographs = path.read_bytes()
    cli.json(*asked, "--flat", "--overwrite")
    assert path.read_bytes() != photographs
    cli.json(*asked, "--grey", "--overwrite")
    codes = np.asarray(Image.open(path))
    assert (codes[..., 0] == codes[..., 2]).all()
    assert cli.json(*asked, "--all", "--overwrite")["width_px"] == 2 * 166 + 3 * 16
    uses = ("--use", "A=Duck Egg", "--use", "B=Fern+Moss", "--use", "C=Trout Pool")
    cli.json("check", "--grid", 2, "--strip", 2.5, "--order", "ABC", *uses, "--save", "Two greens")
    found = cli.json("sheet", "--star", "Two greens", "--point", "--out", tmp_path / "two.png", "--pixels", 400)
    assert found["width_px"] == 2 * 166 + 3 * 16
    said = cli("sheet", "--star", "Mill Pond", "--point", "--out", tmp_path / "small.png", "--pixels", 60)
    assert (said.code, "use 100 to 6000" in said.err, len(said.err.splitlines())) == (2, True, 1)
    assert not (tmp_path / "small.png").exists()
    for ending in ("pdf", "txt"):
        said = cli("sheet", "--star", "Mill Pond", "--point", "--out", tmp_path / f"x.{ending}")
        assert (said.code, "--point" in said.err, len(said.err.splitlines())) == (2, True, 1)
