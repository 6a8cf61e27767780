"""The star as a picture: areas against geometry, the true grey, photographs along their strips, the command."""

from __future__ import annotations

import math
import os
from collections import defaultdict
from fractions import Fraction
from io import BytesIO
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from PIL import Image
from shapely.affinity import rotate
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

from stash.colour.lab import grey_level, lab_from_srgb8, srgb8_from_lab
from stash.errors import UsageFault
from stash.model import Colour, Colouring, Fabric, Star
from stash.sheets import star_picture
from stash.sheets.contact_sheet import contact_sheet
from stash.sheets.star_picture import Cloth, Palette, draw_star, greyed, palette
from stash.star.chart import make_order
from stash.star.geometry import finished

if TYPE_CHECKING:
    from pathlib import Path

    from tests.engine.conftest import CommandLine

COLOURS = [(40 + 7 * i, 255 - 9 * i, (53 * i) % 256) for i in range(25)]
GROUND = (250, 250, 240)


def flat(star: Star, pairs: str = "") -> Palette:
    """A colour for each letter; two for those in `pairs`."""
    letters = {
        letter: (Cloth(COLOURS[i]), Cloth((0, 10 * i, 0))) if letter in pairs else (Cloth(COLOURS[i]),)
        for i, letter in enumerate(star.letters)
    }
    return Palette(letters, Cloth(GROUND))


def areas_by_geometry(star: Star, pairs: str) -> dict[tuple[int, int, int], float]:
    """Square inches of each colour: small diamonds as polygons, turned round the centre [derived]."""
    side = float(finished(star).large_side)
    step, slant = side / star.grid, math.sqrt(0.5)
    cloth = flat(star, pairs)
    pieces = defaultdict(list)
    for p in range(star.grid):
        for q in range(star.grid):
            corner = (step * (p + q * slant), step * q * slant)
            points = [(0, 0), (1, 0), (1 + slant, slant), (slant, slant)]
            diamond = Polygon([(corner[0] + step * x, corner[1] + step * y) for x, y in points])
            used = cloth.letters[star.order[p + q]]
            for turn in range(8):
                colour = used[turn % len(used)].colour
                pieces[colour].append(rotate(diamond, 45 * turn, origin=(0, 0)))
    found = {colour: unary_union(each).area for colour, each in pieces.items()}
    wide, high = quilt_inches(star)
    assert unary_union([one for each in pieces.values() for one in each]).area == pytest.approx(sum(found.values()))
    return found | {GROUND: box(0, 0, wide, high).area - sum(found.values())}


def quilt_inches(star: Star) -> tuple[float, float]:
    """The quilt top by the rules of borders and beds [derived]: each border on both sides; a bed's drop at both sides
    and at the foot of its mattress (a crib's is 28 by 52 in, a full bed's 54 by 75: the table named in the tests of
    beds), where the star is smaller than that."""
    side = float(finished(star).square) + 2 * sum(map(float, star.borders))
    if star.bed is None or star.drop is None:
        return side, side
    wide, high = {"crib": (28, 52), "full": (54, 75)}[star.bed]
    return max(side, wide + 2 * float(star.drop)), max(side, high + float(star.drop))


def photographs(star: Star, pairs: str) -> Palette:
    """Cloth whose photograph is noise, but for its red, which tells the fabric; turned this way and that."""
    random, plain = np.random.default_rng(5), flat(star, pairs)

    def cloth(one: Cloth, place: int) -> Cloth:
        codes = random.integers(0, 256, (190, 260, 3) if place % 2 else (260, 190, 3)).astype(np.uint8)
        codes[..., 0] = REDS[place]
        return Cloth(one.colour, codes)

    fabrics = [one for used in plain.letters.values() for one in used]
    dressed = iter([cloth(one, place) for place, one in enumerate(fabrics, start=1)])
    letters = {letter: tuple(next(dressed) for _ in used) for letter, used in plain.letters.items()}
    return Palette(letters, cloth(plain.ground, 0))


REDS = [9 * place for place in range(28)]
CASES = [
    (2, "mirror", "", {}),
    (4, "none", "D", {}),
    (4, "none", "D", {"borders": (Fraction(2), Fraction(11, 2))}),
    (5, "mirror", "B", {"bed": "full", "drop": Fraction(12)}),
    (3, "none", "", {"bed": "crib", "drop": Fraction(10)}),
    (7, "mirror", "", {}),
    (13, "none", "", {}),
]


@pytest.mark.parametrize(("grid", "repeat", "pairs", "more"), CASES)
def test_the_areas_of_the_colours_are_those_of_the_polygons(
    grid: int, repeat: str, pairs: str, more: dict[str, Any]
) -> None:
    """Within 1 %, borders and ground too, with the shape of the quilt."""
    star = Star(grid, Fraction(5, 2), make_order(repeat, grid), **more)
    wide, high = quilt_inches(star)
    drawn = draw_star(star, flat(star, pairs), 2000)
    assert drawn.size[0] / drawn.size[1] == pytest.approx(wide / high, rel=0.001)
    codes = np.asarray(drawn).reshape(-1, 3).astype(int) @ (65536, 256, 1)
    for colour, area in areas_by_geometry(star, pairs).items():
        share = (codes == np.asarray(colour) @ (65536, 256, 1)).mean()
        assert share * wide * high == pytest.approx(area, rel=0.01)


@pytest.mark.parametrize(("grid", "repeat", "pairs", "more"), CASES)
def test_photographs_cover_the_same_areas(grid: int, repeat: str, pairs: str, more: dict[str, Any]) -> None:
    star = Star(grid, Fraction(5, 2), make_order(repeat, grid), **more)
    wide, high = quilt_inches(star)
    cloth = photographs(star, pairs)
    reds = np.asarray(draw_star(star, cloth, 2000))[..., 0]
    wanted = areas_by_geometry(star, pairs)
    shown = {one.colour: one.picture for used in [*cloth.letters.values(), (cloth.ground,)] for one in used}
    assert set(np.unique(reds)) == set(REDS[: len(shown)])
    for colour, picture in shown.items():
        assert picture is not None
        assert (reds == picture[0, 0, 0]).mean() * wide * high == pytest.approx(wanted[colour], rel=0.01)


def test_small_pictures_have_these_areas_too_where_edges_are_mixed() -> None:
    """Up to 1,600 pixels each is the mean light of four: black fabrics on a white ground, by their light."""
    star = Star(4, Fraction(5, 2), make_order("none", 4))
    cloth = Palette({letter: (Cloth((0, 0, 0)),) for letter in star.letters}, Cloth((255, 255, 255)))
    white = areas_by_geometry(star, "")[GROUND] / float(finished(star).square) ** 2
    for pixels in (200, 701, 1600):
        codes = np.asarray(draw_star(star, cloth, pixels))[..., 0] / 255
        light = np.where(codes <= 0.04045, codes / 12.92, ((codes + 0.055) / 1.055) ** 2.4)  # IEC 61966-2-1
        assert light.mean() == pytest.approx(white, rel=0.01)


@pytest.mark.parametrize("pixels", [333, 1700])
def test_a_picture_painted_in_bands_is_the_one_painted_at_once(pixels: int, monkeypatch: pytest.MonkeyPatch) -> None:
    star = Star(3, Fraction(5, 2), "ABCDE", bed="crib", drop=Fraction(10))
    cloth, drawn = photographs(star, "B"), []
    for band in (10**9, 50_000, 1):
        monkeypatch.setattr(star_picture, "BAND", band)
        drawn.append(np.asarray(draw_star(star, cloth, pixels if band > 1 else 101, grey=band == 1)))
    assert (drawn[0] == drawn[1]).all()
    assert max(drawn[2].shape) == 101


def test_two_look_alikes_lie_in_every_other_point() -> None:
    star = Star(2, Fraction(5, 2), "ABA")
    picture = draw_star(star, flat(star, "B"), 400)
    step, slant = 200 / (2 + math.sqrt(2)), math.sqrt(0.5)
    x, y = step * (1.5 + 0.5 * slant), step * 0.5 * slant  # the middle of a small diamond of row 2 [derived]
    reach, first = math.hypot(x, y), math.atan2(y, x)
    seen = []
    for turn in range(8):
        angle = first + turn * math.pi / 4
        seen.append(picture.getpixel((round(200 + reach * math.cos(angle)), round(200 - reach * math.sin(angle)))))
    assert seen == [COLOURS[1], (0, 10, 0)] * 4


def test_borders_make_the_picture_larger_than_the_star() -> None:
    plain = Star(2, Fraction(5, 2), "ABA")
    bordered = Star(2, Fraction(5, 2), "ABA", borders=(Fraction(6),))
    picture = draw_star(bordered, flat(bordered), 500)
    border = 6 / (float(finished(plain).square) + 12) * 500
    assert picture.size == (500, 500)
    row = np.asarray(picture)[round(border + (500 - 2 * border) * 0.5 / (2 + math.sqrt(2)) * math.sqrt(2))]
    inside = np.flatnonzero((row != GROUND).any(axis=1))
    assert inside[0] >= border - 1
    oblong = Star(2, Fraction(5, 2), "ABA", bed="crib", drop=Fraction(10))
    wide, high = draw_star(oblong, flat(oblong), 620).size
    assert (wide, high) == (480, 620)  # 28 + 2 drops by 52 + 1 drop, a rule named in the tests of beds


def test_grey_is_the_grey_of_the_same_value() -> None:
    """L* of a grey is that of the colour it stands for; a picture's convert("L") is up to 30 off for vivid blue."""
    colours = np.asarray([[[0, 0, 255], [255, 0, 0], [0, 160, 90], [250, 240, 30]]], dtype=np.uint8)
    for code, grey in zip(colours[0], greyed(colours)[0], strict=True):
        value = lab_from_srgb8(*(int(c) for c in code)).L
        assert lab_from_srgb8(*(int(c) for c in grey)).L == pytest.approx(value, abs=0.3)
        assert abs(int(grey[0]) - grey_level(value)) <= 1
    star = Star(2, Fraction(5, 2), "ABA")
    red = Palette({"A": (Cloth((200, 30, 40)),), "B": (Cloth((30, 90, 200)),)}, Cloth(GROUND))
    picture = np.asarray(draw_star(star, red, 200, grey=True))
    assert (picture[..., 0] == picture[..., 1]).all()
    assert (picture[..., 0] == picture[..., 2]).all()


def striped(across: bool) -> bytes:
    """A photograph with lines, across it or along it."""
    lines = (np.arange(300) // 10 % 2 * 200).astype(np.uint8)
    codes = np.broadcast_to(lines[None, :, None] if across else lines[:, None, None], (300, 300, 3))
    file = BytesIO()
    Image.fromarray(np.ascontiguousarray(codes)).save(file, "PNG")
    return file.getvalue()


@pytest.mark.parametrize("across", [True, False])
def test_a_photograph_lies_along_its_strip_in_every_point(across: bool) -> None:
    """In the point from 0 to 45 degrees strips lie level, in the next one they lie at 45 degrees, and so on: lines
    along the strip run that way [derived]."""
    star = Star(2, Fraction(4), "AAA")
    fabric = Fabric(1, "Lines", (), Colour(50, 0, 0))
    cloth = palette(Colouring({"A": ("Lines",)}), {"Lines": fabric}, {1: striped(across)})
    grey = np.asarray(draw_star(star, cloth, 800))[..., 0].astype(float)
    side = 800 / (2 + math.sqrt(2))
    for turn in (0, 2):
        angle = math.radians(22.5 + 45 * turn)
        # a patch in the middle of the small diamond next to the centre of the star
        x, y = (400 + side * 0.46 * math.cos(angle), 400 - side * 0.46 * math.sin(angle))
        patch = grey[round(y) - 25 : round(y) + 25, round(x) - 25 : round(x) + 25]
        along_x, along_y = np.abs(np.diff(patch, axis=1)).mean(), np.abs(np.diff(patch, axis=0)).mean()
        strip_is_level = turn == 0
        assert (along_x < along_y) == (strip_is_level != across)


def test_the_paper_round_a_swatch_is_not_drawn_and_an_unknown_fabric_is_grey() -> None:
    codes = np.full((200, 200, 3), 255, dtype=np.uint8)
    codes[30:170, 30:170] = (180, 20, 60)  # the cloth, 15 % of paper round it
    file = BytesIO()
    Image.fromarray(codes).save(file, "PNG")
    star = Star(2, Fraction(5, 2), "ABA")
    red = Fabric(1, "Red", (), Colour(40, 60, 20))
    cloth = palette(Colouring({"A": ("Red",), "B": ("Nobody",)}, "Red"), {"Red": red}, {1: file.getvalue()})
    colours = draw_star(star, cloth, 1700).getcolors()
    assert {colour for _, colour in colours or []} == {(180, 20, 60), (108, 108, 108)}
    plain = palette(Colouring({"A": ("Red",), "B": ("Red",)}), {"Red": red})
    assert plain.letters["A"][0].colour == srgb8_from_lab(red.colour or Colour(0, 0, 0))


@pytest.mark.parametrize("pixels", [0, 15, 6001])
def test_sizes_that_cannot_be(pixels: int) -> None:
    star = Star(2, Fraction(5, 2), "ABA")
    with pytest.raises(UsageFault, match="pixels cannot be"):
        draw_star(star, flat(star), pixels)


def test_a_contact_sheet_has_every_colouring_with_its_name() -> None:
    star = Star(2, Fraction(5, 2), "ABA")
    one = draw_star(star, flat(star), 120)
    sheet = contact_sheet([("A name that is far too long for the picture it stands under, and longer", one)] * 4)
    assert sheet.size[0] == 3 * 136 + 16
    codes = np.asarray(sheet)
    assert (codes[:, -10:] == 255).all()  # nothing written past the edge
    assert (codes[120 + 16 : 120 + 44, :150] < 128).any()  # words below the first


def test_the_command_draws_and_never_takes_anything_s_place(cli: CommandLine, tmp_path: Path) -> None:
    path = tmp_path / "pond.png"
    asked = ("sheet", "--star", "Mill Pond", "--out", path, "--pixels", 300)
    assert cli.json(*asked) == {"file": str(path), "width_px": 300, "height_px": 300}
    drawn = path.read_bytes()
    assert Image.open(path).size == (300, 300)
    said = cli(*asked)
    assert (said.code, "there is a file of this name already" in said.err) == (1, True)
    assert path.read_bytes() == drawn
    cli.json(*asked, "--flat", "--grey", "--overwrite")
    assert path.read_bytes() != drawn
    cli.json("sheet", "--star", "Mill Pond", "--all", "--out", tmp_path / "all.png", "--pixels", 100)
    assert Image.open(tmp_path / "all.png").size[0] == 2 * 116 + 16
    for words, says in (
        (("--star", "Mill Pond"), "--out is needed"),
        (("--star", "Mill Pond", "--out", tmp_path / "a.doc"), "ends in .pdf, .png or .txt"),
        (("--star", "Mill Pond", "--out", tmp_path / "a.png", "--pixels", 9), "9 pixels cannot be"),
        (("--star", "Mill Pound", "--out", tmp_path / "a.png"), "did you mean"),
        (("--star", "Mill Pond", "--out", tmp_path / "none" / "a.png"), "cannot be written"),
        (("--star", "Mill Pond", "--out", tmp_path), ".png"),
        (("--star", "Mill Pond", "--overwrite", "--out", cli.path.with_suffix(".png")), ""),
    ):
        assert says in cli("sheet", *words).err
    assert not [name for name in os.listdir(tmp_path) if name.endswith(".new")]
