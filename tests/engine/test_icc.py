"""Colour profiles: held against LittleCMS and colour-science, which share no code with the reader."""

from __future__ import annotations

import random
from io import BytesIO

import colour
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageCms

from stash.colour.icc import colour_model, has_tables, read_grey_profile, read_matrix_profile
from stash.colour.lab import RGB_TO_XYZ, WHITE
from stash.colour.modes import ADOBE, BT2020, P3
from stash.colour.space import SRGB, RgbSpace
from tests.engine.profiles import SRGB_CURVE, curv, described, gamma, matrix_profile, matrix_tags, para, profile

CODES = [(200, 100, 50), (20, 220, 60), (30, 40, 240), (250, 10, 10), (255, 255, 255), (0, 0, 0), (7, 9, 12)]


def xyz(space: RgbSpace, codes: tuple[int, int, int]) -> NDArray[np.float64]:
    return np.asarray(space.to_xyz @ [space.curves[c][code] for c, code in enumerate(codes)])


def lab(space: RgbSpace, codes: tuple[int, int, int]) -> NDArray[np.float64]:
    white = colour.XYZ_to_xy(np.array(WHITE))
    return np.asarray(colour.XYZ_to_Lab(xyz(space, codes), white))


def known(name: str, codes: tuple[int, int, int]) -> NDArray[np.float64]:
    """L*a*b* D65 by colour-science (its own matrices, curves and Bradford)."""
    space = colour.RGB_COLOURSPACES[name]
    seen = colour.RGB_to_XYZ(np.array(codes) / 255, space, apply_cctf_decoding=True)
    daylight = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    whites = colour.xy_to_XYZ(space.whitepoint), colour.xy_to_XYZ(daylight)
    adapted = colour.adaptation.chromatic_adaptation_VonKries(seen, *whites, transform="Bradford")
    return np.asarray(colour.XYZ_to_Lab(adapted, daylight))


def by_littlecms(icc: bytes, image: Image.Image) -> NDArray[np.int64]:
    source, target = ImageCms.ImageCmsProfile(BytesIO(icc)), ImageCms.createProfile("sRGB")
    intent = ImageCms.Intent.RELATIVE_COLORIMETRIC
    turned = ImageCms.profileToProfile(image, source, target, renderingIntent=intent, outputMode="RGB")
    assert turned is not None
    return np.asarray(turned).astype(np.int64)


def srgb_codes(space: RgbSpace, codes: NDArray[np.uint8]) -> NDArray[np.int64]:
    light = np.stack([space.curves[c][codes[..., c]] for c in range(3)], axis=-1)
    linear = np.clip(light @ (np.linalg.inv(np.array(RGB_TO_XYZ)) @ space.to_xyz).T, 0, 1)
    encoded = np.where(linear <= 0.0031308, linear * 12.92, 1.055 * linear ** (1 / 2.4) - 0.055)
    return np.asarray(np.rint(encoded * 255).astype(np.int64))


def read(icc: bytes) -> RgbSpace:
    space = read_matrix_profile(icc)
    assert space is not None
    return space


@pytest.mark.parametrize(
    ("name", "curve"),
    [
        ("Display P3", para(3, *SRGB_CURVE)),
        ("sRGB", para(3, *SRGB_CURVE)),
        ("Adobe RGB (1998)", gamma(563 / 256)),
        ("ROMM RGB", para(3, 1.8, 1.0, 0.0, 1 / 16, 1 / 32)),
    ],
    ids=lambda part: part if isinstance(part, str) else "",
)
def test_spaces_of_cameras_come_out_as_colour_science_has_them(name: str, curve: bytes) -> None:
    space = read(matrix_profile(name, curve))
    assert space.name == name
    for codes in CODES:
        assert colour.delta_E(lab(space, codes), known(name, codes), method="CIE 2000") < 0.5


@pytest.mark.parametrize(
    ("space", "name"), [(P3, "Display P3"), (BT2020, "ITU-R BT.2020"), (ADOBE, "Adobe RGB (1998)"), (SRGB, "sRGB")]
)
def test_spaces_known_without_a_profile(space: RgbSpace, name: str) -> None:
    for codes in CODES:
        if name == "ITU-R BT.2020":  # pictures of it carry the curve of sRGB: only the primaries are compared
            codes = (255 * (codes[0] > 100), 255 * (codes[1] > 100), 255 * (codes[2] > 100))
        assert colour.delta_E(lab(space, codes), known(name, codes), method="CIE 2000") < 0.5


@pytest.mark.parametrize("codes", [(255, 0, 0), (0, 255, 0)])
def test_p3_goes_past_srgb_and_is_not_cut_off(codes: tuple[int, int, int]) -> None:
    icc = matrix_profile("Display P3")
    linear = np.linalg.inv(np.array(RGB_TO_XYZ)) @ xyz(read(icc), codes)
    assert linear.max() > 1.02
    assert linear.min() < -0.02
    clipped = by_littlecms(icc, Image.new("RGB", (1, 1), codes))[0, 0]
    assert colour.delta_E(lab(SRGB, tuple(clipped)), lab(read(icc), codes), method="CIE 2000") > 2


@pytest.mark.parametrize(
    "curve",
    [
        curv(),
        gamma(1.0),
        gamma(1.8),
        gamma(2.2),
        curv(0, 9000, 30000, 65535),
        curv(*(round(65535 * (k / 1023) ** 2.1) for k in range(1024))),
        para(0, 2.1),
        para(1, 2.0, 0.9, 0.1),
        para(1, 2.0, 1.1, -0.1),
        para(2, 2.0, 0.9, 0.05, 0.05),
        para(3, *SRGB_CURVE),
        para(4, 2.2, 0.9, 0.05, 0.3, 0.1, 0.04, 0.01),
    ],
    ids=lambda curve: f"{curve[:4].decode()}-{curve[8:10].hex()}-{len(curve)}",
)
def test_every_kind_of_curve_agrees_with_littlecms(curve: bytes) -> None:
    # greys, as a matrix of sRGB keeps them; a code of sRGB is up to 5 % of its light near black
    icc = matrix_profile("sRGB", curve)
    ramp = np.repeat(np.arange(256, dtype=np.uint8)[None, :, None], 3, axis=2)
    ours, theirs = srgb_codes(read(icc), ramp), by_littlecms(icc, Image.fromarray(ramp))
    assert abs(ours - theirs).max() <= 1


def test_colours_inside_srgb_agree_with_littlecms() -> None:
    icc = matrix_profile("Display P3")
    codes = np.random.default_rng(3).integers(90, 200, (40, 40, 3)).astype(np.uint8)
    ours, theirs = srgb_codes(read(icc), codes), by_littlecms(icc, Image.fromarray(codes))
    inside = ((theirs > 0) & (theirs < 255)).all(axis=-1)
    assert inside.mean() > 0.9
    assert abs(ours - theirs)[inside].max() <= 1


def test_the_profile_that_littlecms_makes_is_srgb() -> None:
    space = read(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    assert abs(space.curves - SRGB.curves).max() < 1e-4
    assert abs(space.to_xyz - SRGB.to_xyz).max() < 1e-3


@pytest.mark.parametrize("name", ["Display P3", "sRGB", "ROMM RGB"])
def test_full_light_is_the_white_and_greys_are_grey(name: str) -> None:
    space = read(matrix_profile(name))
    assert xyz(space, (255, 255, 255)) == pytest.approx(np.array(WHITE), abs=1e-9)
    assert abs(lab(space, (90, 90, 90))[1:]).max() < 1e-6


def test_a_gamma_of_1_8_that_is_ignored_would_be_five_off() -> None:
    space = read(matrix_profile("sRGB", gamma(1.8)))
    assert lab(space, (119, 119, 119))[0] - lab(SRGB, (119, 119, 119))[0] > 5


@pytest.mark.parametrize("pcs", [b"XYZ ", b"Lab "])
def test_grey_profiles(pcs: bytes) -> None:
    icc = profile({"kTRC": gamma(1.8), "desc": described("grey")}, model=b"GRAY", pcs=pcs)
    space = read_grey_profile(icc)
    assert space is not None
    assert space.name == "grey"
    got = lab(space, (128, 128, 128))
    light = (128 / 255) ** (461 / 256)  # u8Fixed8Number nearest to 1.8
    # Lab: the curve is L* / 100 (ICC.1:2022 annex F); XYZ: it is Y, and L* = 116 Y^(1/3) - 16 (CIE 15)
    assert got[0] == pytest.approx(100 * light if pcs == b"Lab " else 116 * light ** (1 / 3) - 16, abs=0.01)
    assert abs(got[1:]).max() < 1e-6
    assert read_matrix_profile(icc) is None


def test_profiles_with_tables_are_left_to_littlecms() -> None:
    icc = profile(matrix_tags("sRGB", gamma(2.2), others=["A2B0"]))
    assert has_tables(icc)
    assert read_matrix_profile(icc) is None


@pytest.mark.parametrize(
    ("icc", "model"),
    [
        (b"", ""),
        (b"acsp" * 100, ""),
        (profile({}, model=b"CMYK", kind=b"prtr"), "CMYK"),
        (profile({}, kind=b"link"), ""),
        (profile({}), "RGB"),
        (profile(matrix_tags("sRGB", gamma(2.2)), pcs=b"Lab "), "RGB"),
        (profile(matrix_tags("sRGB", curv(7, 7))), "RGB"),  # a curve that does not rise
        (profile(matrix_tags("sRGB", para(0, -2.0))), "RGB"),
        (profile(matrix_tags("sRGB", para(7, 2.0))), "RGB"),
        (profile(matrix_tags("sRGB", b"curv\0\0\0\0\0\0\xff\xff\0\0")), "RGB"),  # 65,535 entries, one there
        (profile(matrix_tags("sRGB", gamma(2.2)) | {"gXYZ": b"XYZ \0\0\0\0" + bytes(12)}), "RGB"),  # no white
        (matrix_profile("sRGB")[:300], "RGB"),
    ],
)
def test_what_is_no_matrix_profile_is_none(icc: bytes, model: str) -> None:
    assert colour_model(icc) == model
    assert read_matrix_profile(icc) is None
    assert read_grey_profile(icc) is None


def test_damaged_profiles_are_none_or_finite() -> None:
    rng, whole = random.Random(5), matrix_profile("Display P3", curv(0, 9000, 30000, 65535))
    read_well = 0
    for _ in range(300):
        icc = bytearray(whole[: rng.choice((len(whole), rng.randrange(len(whole))))])
        for _ in range(3):
            if icc:
                icc[rng.randrange(len(icc))] = rng.randrange(256)
        space = read_matrix_profile(bytes(icc))
        if space is not None:
            read_well += 1
            assert np.isfinite(space.curves).all()
            assert np.isfinite(space.to_xyz).all()
            assert space.to_xyz.sum(axis=1) == pytest.approx(np.array(WHITE))
    assert 0 < read_well < 300
