"""Stored pictures as pixels for a terminal: means of light, true greys, sizes, faults."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from stash.colour.areas import scaled
from stash.colour.lab import grey_level, lab_from_srgb8
from stash.model import Colour
from tests.tui.swatches import CREAM, RED, checked, halves, plain, png
from tui.terminal_colours import FEW, FIRST, FIXED, TRUE
from tui.widgets.picture_pixels import fitted, light_of, picture_codes, picture_image
from tui.widgets.swatch_picture import half_lines

BLACK, WHITE = (0, 0, 0), (255, 255, 255)


@pytest.mark.parametrize("in_grey", [False, True])
def test_a_fine_check_becomes_the_mean_of_its_light(in_grey: bool) -> None:
    """Half the light of white is L* 76.1 (CIE 1976), sRGB code 188 (IEC 61966-2-1); the mean of codes would be 128."""
    codes = picture_codes(checked(BLACK, WHITE), 12, 12, in_grey)
    assert codes is not None
    assert codes.shape == (12, 12, 3)
    assert set(codes.ravel().tolist()) == {188}
    assert pytest.approx(76.1, abs=0.3) == lab_from_srgb8(188, 188, 188).L


def test_the_mean_of_light_is_kept_at_any_size() -> None:
    """Derived: pixels that are cut in two count by their parts, so the mean of a scaled picture is the picture's."""
    noise = np.random.default_rng(7).integers(0, 256, (67, 101, 3), dtype=np.uint8)
    light = light_of(png(Image.fromarray(noise)))
    assert light is not None
    for width, height in ((5, 4), (40, 26), (101, 67), (150, 90)):
        small = scaled(light, width, height)
        assert small.shape == (height, width, 3)
        assert small.mean(axis=(0, 1)) == pytest.approx(light.mean(axis=(0, 1)), abs=1e-12)


@pytest.mark.parametrize("codes", [(0, 0, 255), (255, 0, 0), (0, 255, 0), (122, 75, 44), (240, 230, 200)])
def test_greys_are_those_of_the_value(codes: tuple[int, int, int]) -> None:
    """Pure blue is L* 32 and grey 76 (its luminance is 0.0722, IEC 61966-2-1); luma on codes says 29."""
    grey = picture_codes(plain(codes), 4, 4, True)
    assert grey is not None
    assert set(grey.ravel().tolist()) == {grey_level(lab_from_srgb8(*codes).L)}
    if codes == (0, 0, 255):
        assert int(grey[0, 0, 0]) == 76
        assert Image.new("RGB", (1, 1), codes).convert("L").getpixel((0, 0)) == 29


def test_colours_stay_as_they_are() -> None:
    codes = picture_codes(halves(RED, CREAM), 30, 20, False)
    assert codes is not None
    assert tuple(codes[3, 2]) == RED
    assert tuple(codes[3, 28]) == CREAM


def test_with_the_colour_that_was_measured_the_mean_is_that_colour() -> None:
    """A photograph on paper is stored as dark as the camera saw it."""
    wanted = Colour(62, 10, 15)
    image = picture_image(plain((90, 60, 50)), 8, 8, False, wanted)
    assert image is not None
    found = lab_from_srgb8(*image.getpixel((3, 3)))
    assert (found.L, found.a, found.b) == pytest.approx((wanted.L, wanted.a, wanted.b), abs=0.6)


@pytest.mark.parametrize(
    ("size", "room", "expected"),
    [
        ((128, 96), (40, 100), (40, 30)),
        ((128, 96), (100, 16), (21, 16)),
        ((128, 2), (40, 20), (40, 2)),
        ((2, 128), (40, 20), (1, 20)),
        ((128, 128), (39, 39), (38, 38)),
        ((10, 10), (60, 40), (40, 40)),
    ],
)
def test_pictures_fill_the_room_as_far_as_their_shape_allows(
    size: tuple[int, int], room: tuple[int, int], expected: tuple[int, int]
) -> None:
    width, height = fitted(*size, *room)
    assert height % 2 == 0
    assert (width, height) == pytest.approx(expected, abs=1)
    assert width <= room[0]
    assert height <= room[1]


@pytest.mark.parametrize("colours", [TRUE, FEW])
@pytest.mark.parametrize(("columns", "lines"), [(1, 1), (7, 3), (34, 8), (80, 50)])
def test_half_blocks_fit_any_size_in_cells(columns: int, lines: int, colours: str) -> None:
    drawn = half_lines(halves(RED, CREAM), columns, lines, False, colours)
    assert drawn
    assert len(drawn) <= lines
    widths = {sum(len(segment.text) for segment in line) for line in drawn}
    assert len(widths) == 1
    assert widths.pop() <= columns


def test_in_256_colours_a_picture_has_the_fixed_ones_only() -> None:
    drawn = half_lines(halves(RED, CREAM), 20, 8, False, FEW)
    assert drawn
    for segment in (one for line in drawn for one in line):
        assert segment.style is not None
        for colour in (segment.style.color, segment.style.bgcolor):
            assert colour is not None
            assert colour.number is not None
            assert tuple(colour.triplet or ()) == FIXED[colour.number - FIRST]


def cut_jpeg() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (64, 64), RED).save(out, "JPEG")
    return out.getvalue()[:200]


@pytest.mark.parametrize(
    "data", [b"", b"no picture", cut_jpeg(), b"\x89PNG\r\n\x1a\n" + b"\0" * 40, b"GIF89a" + b"\0" * 40]
)
def test_what_cannot_be_read_is_none(data: bytes) -> None:
    assert picture_codes(data, 10, 10, False) is None
    assert half_lines(data, 10, 10, False, TRUE) is None


def test_a_picture_of_too_many_pixels_is_not_decoded() -> None:
    out = io.BytesIO()
    Image.new("1", (30_000, 30_000)).save(out, "PNG")
    assert picture_codes(out.getvalue(), 10, 10, False) is None


def test_no_room_shows_nothing() -> None:
    assert picture_codes(plain(RED), 0, 8, False) is None
    assert picture_codes(plain(RED), 8, 0, False) is None
