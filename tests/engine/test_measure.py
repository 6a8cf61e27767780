"""Measuring what is inside a box: mean light, range, palette, variety. Truth is known, as the pictures are drawn."""

from __future__ import annotations

import colour as reference
import numpy as np
import pytest
from PIL import Image

from stash.colour.lab import delta_e_2000
from stash.colour.light import blocks
from stash.colour.measure import measure
from stash.colour.photo import PhotoFault
from stash.colour.space import SRGB, Photo
from stash.model import Colour, Measured, Reference
from tests.engine.scenes import Lamp, dotted, light, plain, taken


def picture(codes: np.typing.NDArray[np.uint8], mask: np.typing.NDArray[np.uint8] | None = None) -> Photo:
    return Photo("p.png", Image.fromarray(codes), SRGB, mask=None if mask is None else Image.fromarray(mask))


def check(side: int, cell: int = 1) -> np.typing.NDArray[np.uint8]:
    """Black and white in turn."""
    black = (np.indices((side, side)).sum(axis=0) if cell == 1 else sum(np.indices((side, side)) // cell)) % 2 == 0
    return np.where(black[:, :, None], 0, 255).astype(np.uint8).repeat(3, axis=2)


@pytest.mark.parametrize(("side", "cell"), [(64, 1), (400, 1), (1200, 1), (300, 25)])
def test_a_black_and_white_check_is_as_light_as_its_light(side: int, cell: int) -> None:
    """Half the light of white is L* 76.07 (CIE 1976: 116 cbrt(0.5) - 16); the mean of L* would say 50."""
    found = measure(picture(check(side, cell)))
    assert found.colour.L == pytest.approx(116 * 0.5 ** (1 / 3) - 16, abs=0.3)
    assert (found.value_low, found.value_high) == (0, pytest.approx(100, abs=0.01))
    assert found.relative
    assert found.colour.source == "relative"


def test_colours_agree_with_colour_science() -> None:
    """200 random sRGB codes, each a picture of its own."""
    rng = np.random.default_rng(5)
    for codes in rng.integers(0, 256, (200, 3), dtype=np.uint8):
        found = measure(picture(np.broadcast_to(codes, (8, 8, 3)).copy())).colour
        xyz = reference.sRGB_to_XYZ(codes / 255)
        lab = reference.XYZ_to_Lab(xyz, reference.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"])
        apart = reference.delta_E(np.array([found.L, found.a, found.b]), lab, method="CIE 2000")
        assert apart < 0.02, (codes, found, lab)


def test_the_palette_of_three_colours_is_those_with_their_shares() -> None:
    codes = np.zeros((100, 100, 3), np.uint8)
    codes[:, :60], codes[:, 60:90], codes[:, 90:] = (200, 30, 40), (240, 230, 210), (20, 60, 120)
    found = measure(picture(codes))
    assert [round(one.share, 2) for one in found.palette] == [0.6, 0.3, 0.1]
    assert sum(one.share for one in found.palette) == pytest.approx(1)
    L = [one.colour.L for one in found.palette]
    assert L == pytest.approx([42.9, 91.5, 25.4], abs=1.0)


def test_close_colours_are_one_and_small_ones_are_left_out() -> None:
    codes = np.full((100, 100, 3), 120, np.uint8)
    codes[:, :50] = 124  # far under dE 5 from 120
    codes[:1, :] = (255, 0, 0)  # one part in a hundred
    assert len(measure(picture(codes)).palette) == 1


def test_variety_tells_solids_from_prints() -> None:
    mean = light((45, 20, 20))
    solid = measure(taken(plain(mean, 200, 200), noise=2))
    print_ = measure(taken(dotted(mean, 240, 240)))
    assert solid.variety < 3
    assert 3 < print_.variety < 25
    assert measure(picture(check(100, 10))).variety == pytest.approx(50, abs=0.5)  # two in four pairs are 100 apart


def test_variety_leaves_a_lamp_at_one_side_out_of_account() -> None:
    mean = light((55, 10, 20))
    lit = plain(mean, 300, 300) * Lamp(across=0.35).on(300, 300)
    found = measure(taken(lit))
    assert found.variety < 3
    assert found.value_high - found.value_low > 10  # the light is uneven, and the range says so


def test_only_what_is_opaque_counts() -> None:
    codes = np.full((60, 60, 3), 255, np.uint8)
    mask = np.zeros((60, 60), np.uint8)
    codes[20:40, 20:40], mask[20:40, 20:40] = 118, 255
    found = measure(picture(codes, mask))
    grey = measure(picture(np.full((20, 20, 3), 118, np.uint8)))
    assert found.colour.L == pytest.approx(grey.colour.L, abs=1e-6)
    assert found.value_low == found.value_high == pytest.approx(grey.colour.L, abs=0.01)


def test_hardly_anything_opaque_is_still_measured() -> None:
    codes = np.full((1000, 1000, 3), 118, np.uint8)
    mask = np.zeros((1000, 1000), np.uint8)
    mask[500:506, 500:506] = 255
    found = measure(picture(codes, mask))
    assert found.value_low == pytest.approx(found.colour.L, abs=0.1)


def test_a_long_narrow_picture_has_no_more_blocks_than_another() -> None:
    photo = Photo("p.png", Image.new("RGB", (20_000, 500), (118, 118, 118)), SRGB)
    assert blocks(photo, (0, 0, 20_000, 500), 256).there.size <= 200_000
    assert measure(photo).colour.L == pytest.approx(49.6, abs=0.2)


def test_a_picture_too_small_for_paper_is_refused() -> None:
    for size in ((3000, 1), (49, 400)):
        with pytest.raises(PhotoFault, match="too small"):
            measure(Photo("p.png", Image.new("RGB", size, (200, 200, 200)), SRGB), on_paper=True)


def test_a_box_is_what_is_measured() -> None:
    codes = np.full((100, 200, 3), 240, np.uint8)
    codes[10:30, 150:180] = (30, 90, 40)
    found = measure(picture(codes), (150, 10, 30, 20))
    assert (found.colour.a, found.box) == (pytest.approx(-31, abs=2), (150, 10, 30, 20))
    assert len(found.palette) == 1


@pytest.mark.parametrize("box", [(0, 0, 0, 5), (-1, 0, 5, 5), (0, 0, 101, 5), (98, 0, 5, 5), (0, 97, 3, 4)])
def test_a_box_beyond_the_picture_is_refused(box: tuple[int, int, int, int]) -> None:
    with pytest.raises(PhotoFault, match="not inside the picture \\(100 x 100"):
        measure(picture(check(100)), box)


def test_measuring_twice_gives_the_very_same() -> None:
    photo = taken(dotted(light((40, -20, 10)), 700, 700), noise=4)
    first: Measured = measure(photo)
    assert measure(photo) == first


def test_clipped_cloth_is_said() -> None:
    codes = np.full((50, 50, 3), 255, np.uint8)
    assert any("too bright" in note for note in measure(picture(codes)).notes)


def test_patches_and_cards_set_the_light_right() -> None:
    """A warm, dim lamp: grey card and white patch bring the cloth back within dE 2; with neither it is far off.

    Not nearer: the lamp dims red, green and blue light, the eye's cones see otherwise."""
    lamp = Lamp((0.42, 0.34, 0.2))
    cloth = (58.0, 25.0, 15.0)
    lit = np.concatenate([plain(light(cloth), 200, 200), np.full((200, 100, 3), 0.18), np.full((200, 100, 3), 0.88)], 1)
    photo = taken(lit * lamp.on(400, 200), noise=1)
    box = (20, 20, 160, 160)
    for found in (
        measure(photo, box, grey=(210, 10, 80, 180)),
        measure(photo, box, white=(310, 10, 80, 180)),
        measure(photo, box, white=(210, 10, 80, 180), reflectance=0.18),
    ):
        assert not found.relative
        assert found.colour.source == "measured"
        assert delta_e_2000(Colour(*cloth), [found.colour])[0] < 2
    assert measure(photo, box).reference is Reference.NONE
    assert measure(photo, box).colour.L < cloth[0] - 15


def test_references_that_tell_nothing_are_refused() -> None:
    codes = np.full((200, 200, 3), 128, np.uint8)
    codes[:, 100:] = 255
    photo = picture(codes)
    with pytest.raises(PhotoFault, match="too bright for the camera"):
        measure(photo, (0, 0, 50, 50), white=(120, 10, 60, 60))
    with pytest.raises(PhotoFault, match="49 x 80 pixels"):
        measure(photo, (0, 0, 50, 50), grey=(10, 10, 49, 80))
    assert measure(photo, (0, 0, 40, 40), grey=(10, 10, 50, 50)).reference is Reference.GREY
    with pytest.raises(PhotoFault, match="too dark"):
        measure(picture(np.zeros((200, 200, 3), np.uint8)), grey=(10, 10, 60, 60))
    with pytest.raises(PhotoFault, match="two references"):
        measure(photo, white=(0, 0, 60, 60), on_paper=True)


def test_a_reference_with_few_clipped_pixels_is_taken() -> None:
    codes = np.full((100, 100, 3), 200, np.uint8)
    codes[:2] = 255  # one part in fifty, just what is let pass
    assert measure(picture(codes), white=(0, 0, 100, 100)).reference is Reference.WHITE
    codes[2, :10] = 255
    with pytest.raises(PhotoFault):
        measure(picture(codes), white=(0, 0, 100, 100))
