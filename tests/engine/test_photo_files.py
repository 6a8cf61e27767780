"""Files of photographs: every kind is read as it looks, in its own colour space."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pillow_heif
import pytest
from PIL import Image, ImageCms

from stash.colour.lab import grey_level
from stash.colour.modes import ADOBE, P3
from stash.colour.photo import open_photo
from stash.colour.space import SRGB, Photo
from tests.engine.pictures import REST, SIZE, TOP_LEFT, deep_grey, encoded, scene, with_exif, written
from tests.engine.profiles import curv, described, gamma, matrix_profile, matrix_tags, profile, table_profile

Open = Callable[..., Photo]


@pytest.fixture
def opened(tmp_path: Path) -> Open:
    """Open a picture written as `form`, or bytes as they are."""

    def opened(what: Image.Image | bytes, form: str = "PNG", **how: Any) -> Photo:
        data = what if isinstance(what, bytes) else encoded(what, form, **how)
        return open_photo(written(tmp_path / "swatch.any", data))

    return opened


def codes(photo: Photo) -> np.ndarray[Any, Any]:
    return np.asarray(photo.image)


def near(photo: Photo, x: int, y: int, colour: tuple[int, int, int], limit: int = 12) -> bool:
    return bool(abs(codes(photo)[y, x].astype(int) - colour).max() <= limit)


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP", "TIFF", "BMP", "GIF", "HEIF"])
def test_every_format_is_read_whatever_the_file_is_called(tmp_path: Path, form: str) -> None:
    data = encoded(scene(), form)
    photo = open_photo(str(written(tmp_path / "note.txt", data)))
    assert photo.name == "note.txt"
    assert (photo.width, photo.height) == SIZE
    assert photo.image.mode == "RGB"
    assert photo.mask is None
    assert photo.notes == ()
    assert photo.file_hash == hashlib.sha256(data).hexdigest()
    assert near(photo, 4, 4, TOP_LEFT)
    assert near(photo, 44, 28, REST)


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP", "TIFF", "HEIF"])
def test_pictures_are_turned_upright_once(opened: Open, form: str, orientation: int) -> None:
    # how it lies in the file: what turns it upright, undone (EXIF, TIFF 6.0 tag 274)
    turns = Image.Transpose
    lying = {
        2: turns.FLIP_LEFT_RIGHT, 3: turns.ROTATE_180, 4: turns.FLIP_TOP_BOTTOM, 5: turns.TRANSPOSE,
        6: turns.ROTATE_90, 7: turns.TRANSVERSE, 8: turns.ROTATE_270,
    }  # fmt: skip
    image = scene() if orientation == 1 else scene().transpose(lying[orientation])
    if form == "HEIF":  # the encoder writes the turn as a box of the file, as telephones do
        image.getexif().update(with_exif(orientation))
        photo = opened(image, form)
    else:
        photo = opened(image, form, exif=with_exif(orientation))
    assert (photo.width, photo.height) == SIZE
    assert near(photo, 4, 4, TOP_LEFT)
    assert near(photo, 44, 4, REST)
    assert near(photo, 4, 28, REST)
    assert photo.notes == ()


def test_damaged_exif_leaves_the_picture_whole(opened: Open) -> None:
    photo = opened(scene(), "JPEG", exif=b"Exif\0\0II*\0\xff\xff\xff\x7f")
    assert near(photo, 4, 4, TOP_LEFT)


@pytest.mark.parametrize("form", ["PNG", "TIFF"])
def test_16_bit_grey_keeps_its_steps(opened: Open, form: str) -> None:
    photo = opened(deep_grey(), form)
    assert (codes(photo) == np.arange(256).reshape(16, 16, 1)).all()


def test_big_endian_16_bit_grey(opened: Open) -> None:
    image = Image.new("I;16B", (4, 4), 128 * 257)
    assert (codes(opened(image, "TIFF")) == 128).all()


def test_32_bit_numbers_are_scaled_by_the_largest_and_that_is_said(opened: Open) -> None:
    photo = opened(Image.fromarray(np.array([[0, 502_000], [1_000_000, 250_000]], dtype=np.int32)), "TIFF")
    assert codes(photo)[..., 0].tolist() == [[0, 128], [255, 64]]
    assert any("scaled" in note for note in photo.notes)


def test_floats_from_0_to_1_stand_as_they_are(opened: Open) -> None:
    photo = opened(Image.fromarray(np.array([[0, 0.5], [0.25, 0.75]], dtype=np.float32)), "TIFF")
    assert codes(photo)[..., 0].tolist() == [[0, 128], [64, 191]]
    assert photo.notes == ()


def test_floats_past_1_are_scaled_and_what_is_no_number_is_left_out(opened: Open) -> None:
    values = np.array([[0, 2.0, np.nan], [4.0, -1.0, np.inf]], dtype=np.float32)
    photo = opened(Image.fromarray(values), "TIFF")
    assert codes(photo)[..., 0].tolist() == [[0, 128, 0], [255, 0, 0]]
    assert photo.mask is not None
    assert np.asarray(photo.mask).tolist() == [[255, 255, 0], [255, 255, 0]]
    assert len(photo.notes) == 2


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA", "RGBX", "CMYK", "YCbCr"])
def test_modes(opened: Open, mode: str) -> None:
    image = scene().convert("RGBA").convert("LA") if mode == "LA" else scene().convert(mode)
    photo = opened(image, "TIFF" if mode in ("RGBX", "CMYK", "YCbCr") else "PNG")
    assert photo.image.mode == "RGB"
    assert photo.mask is None
    grey = scene().convert("L").tobytes()[0]
    limit = 30 if mode == "P" else 3  # a palette of 216 colours, 51 apart
    assert mode == "1" or near(photo, 4, 4, (grey, grey, grey) if mode in ("L", "LA") else TOP_LEFT, limit)
    assert (codes(photo)[28, 44] > 200).all()


def test_lab_pictures_come_back_as_they_were(opened: Open) -> None:
    spaces = ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB")
    image = ImageCms.profileToProfile(scene(), *spaces, outputMode="LAB")
    assert image is not None
    photo = opened(image, "TIFF")
    assert near(photo, 4, 4, TOP_LEFT, limit=3)
    assert near(photo, 44, 28, REST, limit=3)


def test_alpha_becomes_a_mask_from_one_half_on(opened: Open) -> None:
    image = scene().convert("RGBA")
    for x, alpha in enumerate((0, 127, 128, 255)):
        image.putpixel((x, 0), (*TOP_LEFT, alpha))
    photo = opened(image)
    assert photo.mask is not None
    assert photo.mask.mode == "L"
    assert list(photo.mask.crop((0, 0, 4, 1)).tobytes()) == [0, 0, 255, 255]


def test_the_mask_is_turned_with_the_picture(opened: Open) -> None:
    image = scene().convert("RGBA")
    image.putpixel((0, 0), (0, 0, 0, 0))
    photo = opened(image, exif=with_exif(6))  # turned clockwise: its left edge goes to the top
    assert photo.mask is not None
    assert photo.mask.size == photo.image.size == (SIZE[1], SIZE[0])
    assert photo.mask.getpixel((SIZE[1] - 1, 0)) == 0
    assert photo.mask.histogram()[0] == 1


def test_clear_colours_of_a_palette_and_of_16_bit_grey(opened: Open) -> None:
    image = Image.new("P", (4, 4), 1)
    image.putpalette([10, 10, 10, 200, 0, 0])
    image.putpixel((1, 2), 0)
    photo = opened(image, transparency=0)
    assert photo.mask is not None
    assert photo.mask.getpixel((1, 2)) == 0
    assert photo.mask.histogram()[0] == 1
    assert near(photo, 0, 0, (200, 0, 0), limit=0)
    deep = opened(deep_grey(), transparency=3 * 257)
    assert deep.mask is not None
    assert deep.mask.histogram()[0] == 1


@pytest.mark.parametrize("form", ["GIF", "WEBP", "TIFF", "MPO", "PNG"])
def test_of_many_pictures_the_first_is_taken_with_a_note(opened: Open, form: str) -> None:
    others = [Image.new("RGB", SIZE, "navy"), Image.new("RGB", SIZE, "black")]
    photo = opened(scene(), form, save_all=True, append_images=others)
    assert near(photo, 4, 4, TOP_LEFT)
    assert photo.notes == ("The first of 3 pictures in the file was taken.",)


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP", "TIFF", "HEIF"])
def test_a_matrix_profile_is_read_and_the_codes_stay(opened: Open, form: str) -> None:
    photo = opened(scene(), form, icc_profile=matrix_profile("Display P3"))
    assert photo.space.name == "Display P3"
    assert abs(photo.space.to_xyz - P3.to_xyz).max() < 5e-4
    assert near(photo, 4, 4, TOP_LEFT)
    assert photo.notes == ()


@pytest.mark.parametrize(("primaries", "space"), [(1, SRGB), (12, P3)])
def test_heic_without_a_profile_goes_by_its_primaries(opened: Open, primaries: int, space: object) -> None:
    pillow_heif.register_heif_opener()
    how = {"color_primaries": primaries, "transfer_characteristics": 13, "matrix_coefficients": 6, "full_range_flag": 1}
    photo = opened(scene(), "HEIF", save_nclx_profile=True, **how)
    assert photo.space is space
    assert photo.notes == ()


def test_the_camera_s_mark_for_adobe_rgb(opened: Open) -> None:
    exif = with_exif()
    exif.get_ifd(0x8769)[0xA005] = {1: "R03"}  # DCF 2.0, optional colour space
    photo = opened(scene(), "JPEG", exif=exif)
    assert photo.space is ADOBE


def test_grey_profiles_count_for_grey_pictures(opened: Open) -> None:
    grey = profile({"kTRC": gamma(1.8), "desc": described("grey 1.8")}, model=b"GRAY")
    photo = opened(scene().convert("L"), icc_profile=grey)
    assert photo.space.name == "grey 1.8"
    assert photo.space.curves[1][128] == pytest.approx((128 / 255) ** (461 / 256))


@pytest.mark.parametrize("form", ["JPEG", "TIFF"])
def test_inks_go_by_their_profile(opened: Open, form: str) -> None:
    photo = opened(Image.new("CMYK", (8, 8), (0, 0, 0, 128)), form, icc_profile=table_profile(b"CMYK", 4))
    expected = grey_level(100 - 25 * 128 / 255)  # where inks without a profile would give 127
    assert near(photo, 4, 4, (expected, expected, expected), limit=2)
    assert photo.notes == ()


def test_tables_of_rgb_profiles_are_used(opened: Open) -> None:
    photo = opened(Image.new("RGB", (8, 8), (51, 102, 153)), icc_profile=table_profile(b"RGB ", 3))
    expected = grey_level(60)
    assert near(photo, 4, 4, (expected, expected, expected), limit=2)
    assert photo.space is SRGB
    assert photo.notes == ()


@pytest.mark.parametrize(
    ("mode", "icc", "word"),
    [
        ("RGB", profile({"kTRC": gamma(1.8)}, model=b"GRAY"), "fit"),
        ("RGB", profile({}, model=b"CMYK"), "fit"),
        ("L", matrix_profile("Display P3"), "fit"),
        ("RGB", b"no profile at all", "cannot be read"),
        ("RGB", matrix_profile("Display P3")[:200], "cannot be read"),
        ("RGB", profile(matrix_tags("sRGB", curv(9, 9))), "cannot be read"),
        ("RGB", profile(matrix_tags("sRGB", gamma(2.2), others=["A2B0"])), "cannot be read"),
        ("CMYK", b"no profile at all", "guess"),
        ("CMYK", matrix_profile("sRGB"), "guess"),
    ],
)
def test_a_profile_that_does_not_fit_is_left_out_with_a_note(opened: Open, mode: str, icc: bytes, word: str) -> None:
    photo = opened(scene().convert(mode), "JPEG", icc_profile=icc)
    assert photo.space is SRGB
    assert len(photo.notes) == 1
    assert word in photo.notes[0]


def test_what_the_camera_wrote_does_not_stay_with_the_picture(opened: Open) -> None:
    photo = opened(scene(), "JPEG", exif=with_exif(), comment=b"a remark")
    assert photo.image.info == {}
    file = BytesIO()
    photo.image.save(file, "PNG")
    assert b"maker of the camera" not in file.getvalue()
