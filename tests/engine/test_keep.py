"""The picture and the thumbnail that a stash keeps: right in light, small, and nothing in them but the picture."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import Any

import colour
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from stash.colour.areas import scaled
from stash.colour.keep import PICTURE, THUMBNAIL, kept
from stash.colour.lab import lab_from_light, lab_from_srgb8, light_from_code
from stash.colour.light import squares
from stash.colour.modes import P3
from stash.colour.photo import open_photo
from stash.colour.space import SRGB, Photo
from stash.errors import UsageFault
from tests.engine.pictures import REST, TOP_LEFT, encoded, scene, with_exif, written
from tests.engine.profiles import matrix_profile

RED = (200, 40, 60)


def photo(image: Image.Image, **how: Any) -> Photo:
    return Photo("swatch.png", image, SRGB, **how)


def shown(data: bytes) -> Image.Image:
    image = Image.open(BytesIO(data))
    image.load()
    return image


def value(image: Image.Image) -> float:
    """L* of the mean light of a picture in sRGB, pixel by pixel."""
    table = np.array([light_from_code(code / 255) for code in range(256)])
    y = float(table[np.asarray(image)].mean(axis=(0, 1)) @ (0.2126, 0.7152, 0.0722))
    return 116 * y ** (1 / 3) - 16


def codes(image: Image.Image) -> NDArray[np.int64]:
    return np.asarray(image).astype(np.int64)


def check(size: tuple[int, int], square: int = 1) -> Image.Image:
    y, x = np.mgrid[: size[1], : size[0]]
    board = ((x // square + y // square) % 2 * 255).astype(np.uint8)
    return Image.fromarray(board).convert("RGB")


@pytest.mark.parametrize("size", [(2500, 1900), (4032, 3024), (1001, 1500), (1250, 30)])
@pytest.mark.parametrize("square", [1, 3])
def test_a_fine_check_keeps_its_mean_light(size: tuple[int, int], square: int) -> None:
    """Half of the light is L* 76.1 (CIE 15), where codes averaged give 53."""
    board = photo(check(size, square))
    for data in kept(board, None):
        assert value(shown(data)) == pytest.approx(76.1, abs=0.3)
    for data in kept(board, (100, 5, 900, 20)):
        assert value(shown(data)) == pytest.approx(76.1, abs=0.3)


@pytest.mark.parametrize(
    "size", [(400, 300), (1000, 1000), (1001, 700), (1999, 10), (2000, 2), (2400, 3200), (5000, 1), (1, 1), (129, 128)]
)
def test_sizes(size: tuple[int, int]) -> None:
    picture, thumbnail = (shown(data) for data in kept(photo(Image.new("RGB", size, RED)), None))
    for image, most in ((picture, PICTURE), (thumbnail, THUMBNAIL)):
        assert max(image.size) <= most
        assert max(image.size) >= min(max(size), most * 3 // 4)  # not smaller than it has to be by much
        longer = max(size) / min(size)
        if longer < 4:
            assert max(image.size) / min(image.size) == pytest.approx(longer, rel=0.02)
        assert abs(codes(image) - RED).max() <= 3


def test_small_pictures_keep_every_point() -> None:
    steps = np.arange(0, 256, 4, dtype=np.uint8).repeat(8)[None, :].repeat(64, axis=0)
    image = Image.fromarray(steps).convert("RGB")
    picture = shown(kept(photo(image), None)[0])
    assert picture.size == image.size
    assert abs(codes(picture) - codes(image)).max() <= 6  # JPEG


@pytest.mark.parametrize("size", [(1333, 1000), (1499, 1501), (2660, 1770)])
def test_each_part_stays_where_it_was(size: tuple[int, int]) -> None:
    """Against Pillow's own reduction of a smooth picture, whose light and codes hardly differ in the mean."""
    y, x = np.mgrid[: size[1], : size[0]]
    waves = np.stack([np.sin(x / 90), np.sin(y / 70), np.cos((x + y) / 110)], axis=-1)
    image = Image.fromarray((128 + 60 * waves).astype(np.uint8))
    for data, limit in zip(kept(photo(image), None), (1.5, 3.0), strict=True):
        picture = shown(data)
        difference = abs(codes(picture) - codes(image.resize(picture.size, Image.Resampling.BOX)))
        assert difference.mean() < limit
        assert difference.max() < 24


def test_light_is_averaged_exactly_by_area() -> None:
    """A white column 3 px wide on black, in a picture made 1.5 times smaller: two pixels of full light in all."""
    codes_in = np.zeros((1500, 1500), dtype=np.uint8)
    codes_in[:, 601:604] = 255
    light = squares(photo(Image.fromarray(codes_in).convert("RGB")), (0, 0, 1500, 1500), 1).light
    row = scaled(light, 1000, 1000)[700, :, 0]
    assert row[400:403] == pytest.approx([1 / 3, 1, 2 / 3], abs=1e-5)  # 601 / 1.5 = 400 2/3; 604 / 1.5 = 402 2/3
    assert row.sum() == pytest.approx(2, abs=1e-4)


def test_some_paper_stays_round_the_box_and_the_thumbnail_is_the_box_alone() -> None:
    image = Image.new("RGB", (800, 600), "white")
    image.paste(RED, (300, 200, 500, 300))
    picture, thumbnail = (shown(data) for data in kept(photo(image), (300, 200, 200, 100)))
    assert picture.size == (260, 130)  # 15 % of 200 and of 100 on each side
    assert abs(codes(picture)[65, 130] - RED).max() <= 4
    assert codes(picture)[4, 4].min() > 245
    assert codes(picture)[65, 22].min() > 245  # 30 px of paper at the left
    assert abs(codes(picture)[65, 38] - RED).max() <= 12
    assert thumbnail.size == (128, 64)
    assert abs(codes(thumbnail) - RED).max() <= 12


def test_the_thumbnail_of_a_box_in_a_large_picture_has_no_paper_in_it() -> None:
    image = Image.new("RGB", (4000, 3000), "white")
    image.paste(RED, (501, 403, 3402, 2507))
    thumbnail = shown(kept(photo(image), (501, 403, 2901, 2104))[1])
    assert abs(codes(thumbnail)[1:-1, 1:-1] - RED).max() <= 8
    assert abs(codes(thumbnail) - RED).max() <= 45  # on the very edge no more than a trace of it


@pytest.mark.parametrize("box", [(0, 0, 30, 20), (70, 60, 30, 20), (-10, -10, 50, 50), (60, 40, 500, 500)])
def test_boxes_at_the_edge_end_at_the_edge(box: tuple[int, int, int, int]) -> None:
    picture, thumbnail = (shown(data) for data in kept(photo(Image.new("RGB", (100, 80), RED)), box))
    assert picture.width >= thumbnail.width
    for image in (picture, thumbnail):
        assert abs(codes(image) - RED).max() <= 3


@pytest.mark.parametrize("box", [(100, 0, 10, 10), (-20, 0, 20, 20), (0, 0, 0, 5)])
def test_boxes_outside_are_refused(box: tuple[int, int, int, int]) -> None:
    with pytest.raises(UsageFault, match="outside"):
        kept(photo(Image.new("RGB", (100, 80))), box)


def test_the_box_is_on_the_picture_as_it_is_seen(tmp_path: Path) -> None:
    lying = scene((80, 60)).transpose(Image.Transpose.ROTATE_90)
    upright = open_photo(written(tmp_path / "a.png", encoded(lying, "PNG", exif=with_exif(6))))
    assert (upright.width, upright.height) == (80, 60)
    for box, expected in (((5, 5, 30, 20), TOP_LEFT), ((45, 5, 30, 20), REST), ((5, 35, 30, 20), REST)):
        assert abs(codes(shown(kept(upright, box)[1])) - expected).max() <= 4


@pytest.mark.parametrize("orientation", range(1, 9))
def test_however_the_camera_was_held_the_same_picture_is_kept(tmp_path: Path, orientation: int) -> None:
    turns = Image.Transpose
    back = {
        2: turns.FLIP_LEFT_RIGHT, 3: turns.ROTATE_180, 4: turns.FLIP_TOP_BOTTOM, 5: turns.TRANSPOSE,
        6: turns.ROTATE_90, 7: turns.TRANSVERSE, 8: turns.ROTATE_270,
    }  # fmt: skip
    image = scene((1300, 900))
    lying = image.transpose(back[orientation]) if orientation > 1 else image
    path = written(tmp_path / "a.png", encoded(lying, "PNG", exif=with_exif(orientation)))
    assert kept(open_photo(path), None) == kept(photo(image), None)


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP", "TIFF", "HEIF"])
def test_nothing_is_kept_but_the_picture(tmp_path: Path, form: str) -> None:
    how = {"exif": with_exif(), "icc_profile": matrix_profile("Display P3")}
    if form == "JPEG":
        how |= {"comment": b"maker of a remark"}
    data = encoded(scene((300, 200)), form, **how)
    assert b"maker of" in data
    for part in kept(open_photo(written(tmp_path / "a", data)), None):
        image = shown(part)
        assert not image.getexif()
        assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
        for mark in (b"maker of", b"Exif", b"ICC_PROFILE", b"GPS", b"http"):
            assert mark not in part


def test_the_kept_picture_is_jpeg_in_full_colour_resolution() -> None:
    for data in kept(photo(scene()), None):
        image = shown(data)
        assert image.format == "JPEG"
        assert image.mode == "RGB"
        assert [layer[1:3] for layer in image.layer] == [(1, 1)] * 3  # type: ignore[attr-defined]  # 4:4:4


@pytest.mark.parametrize("p3", [(128, 128, 128), (200, 100, 50), (60, 140, 90), (255, 0, 0)])
def test_other_spaces_become_srgb(p3: tuple[int, int, int]) -> None:
    """Against colour-science; red of P3 is more than sRGB has, and ends at its edge."""
    known = colour.RGB_to_RGB(np.array(p3) / 255, "Display P3", "sRGB", None, True, True)
    picture = shown(kept(replace(photo(Image.new("RGB", (40, 40), p3)), space=P3), None)[0])
    assert abs(codes(picture) - 255 * np.clip(known, 0, 1)).max() <= 2.5


def test_transparent_parts_are_white() -> None:
    mask = Image.new("L", (60, 40), 255)
    mask.paste(0, (0, 0, 30, 40))
    picture = shown(kept(photo(Image.new("RGB", (60, 40), RED), mask=mask), None)[0])
    assert codes(picture)[20, 8].min() >= 250
    assert abs(codes(picture)[20, 50] - RED).max() <= 4


def test_what_is_kept_has_the_value_of_the_cloth() -> None:
    """A weave of two colours comes out as the mean of their light, 3 codes or less off."""
    rng = np.random.default_rng(4)
    colours = np.array([(150, 60, 40), (230, 210, 190)])
    weave = colours[rng.integers(0, 2, (1600, 2100))].astype(np.uint8)
    mean = np.mean([[light_from_code(c / 255) for c in colour] for colour in colours], axis=0)
    expected = lab_from_light(*mean).L
    for data in kept(photo(Image.fromarray(weave)), None):
        middle = np.asarray(shown(data)).mean(axis=(0, 1))
        assert pytest.approx(expected, abs=1.0) == lab_from_srgb8(*(round(c) for c in middle)).L
