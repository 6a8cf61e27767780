"""Single colours against colour-science, Sharma's pairs, the Munsell scale and WCAG 2."""

from __future__ import annotations

import math
import warnings
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stash.colour import lab
from stash.errors import UsageFault
from stash.model import Colour

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which optional libraries it does without
    import colour
    import numpy as np

CODE = st.integers(0, 255)

# L1 a1 b1 L2 a2 b2 dE00. Source: Sharma, Wu & Dalal, "The CIEDE2000 Color-Difference Formula: Implementation
# Notes, Supplementary Test Data, and Mathematical Observations", Color Research & Application 30 (2005), table 1.
SHARMA = """
    50.0000 2.6772 -79.7751 50.0000 0.0000 -82.7485 2.0425
    50.0000 3.1571 -77.2803 50.0000 0.0000 -82.7485 2.8615
    50.0000 2.8361 -74.0200 50.0000 0.0000 -82.7485 3.4412
    50.0000 -1.3802 -84.2814 50.0000 0.0000 -82.7485 1.0000
    50.0000 -1.1848 -84.8006 50.0000 0.0000 -82.7485 1.0000
    50.0000 -0.9009 -85.5211 50.0000 0.0000 -82.7485 1.0000
    50.0000 0.0000 0.0000 50.0000 -1.0000 2.0000 2.3669
    50.0000 -1.0000 2.0000 50.0000 0.0000 0.0000 2.3669
    50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0009 7.1792
    50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0010 7.1792
    50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0011 7.2195
    50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0012 7.2195
    50.0000 -0.0010 2.4900 50.0000 0.0009 -2.4900 4.8045
    50.0000 -0.0010 2.4900 50.0000 0.0010 -2.4900 4.8045
    50.0000 -0.0010 2.4900 50.0000 0.0011 -2.4900 4.7461
    50.0000 2.5000 0.0000 50.0000 0.0000 -2.5000 4.3065
    50.0000 2.5000 0.0000 73.0000 25.0000 -18.0000 27.1492
    50.0000 2.5000 0.0000 61.0000 -5.0000 29.0000 22.8977
    50.0000 2.5000 0.0000 56.0000 -27.0000 -3.0000 31.9030
    50.0000 2.5000 0.0000 58.0000 24.0000 15.0000 19.4535
    50.0000 2.5000 0.0000 50.0000 3.1736 0.5854 1.0000
    50.0000 2.5000 0.0000 50.0000 3.2972 0.0000 1.0000
    50.0000 2.5000 0.0000 50.0000 1.8634 0.5757 1.0000
    50.0000 2.5000 0.0000 50.0000 3.2592 0.3350 1.0000
    60.2574 -34.0099 36.2677 60.4626 -34.1751 39.4387 1.2644
    63.0109 -31.0961 -5.8663 62.8187 -29.7946 -4.0864 1.2630
    61.2901 3.7196 -5.3901 61.4292 2.2480 -4.9620 1.8731
    35.0831 -44.1164 3.7933 35.0232 -40.0716 1.5901 1.8645
    22.7233 20.0904 -46.6940 23.0331 14.9730 -42.5619 2.0373
    36.4612 47.8580 18.3852 36.2715 50.5065 21.2231 1.4146
    90.8027 -2.0831 1.4410 91.1528 -1.6435 0.0447 1.4441
    90.9257 -0.5406 -0.9208 88.6381 -0.8985 -0.7239 1.5381
    6.7747 -0.2908 -2.4247 5.8714 -0.0985 -2.2286 0.6377
    2.0776 0.0795 -1.1350 0.9033 -0.0636 -0.5514 0.9082
"""
PAIRS = [tuple(map(float, line.split())) for line in SHARMA.strip().splitlines()]


def white_xy() -> Any:
    """The white of the sRGB matrix as chromaticity, for the reference library."""
    return colour.XYZ_to_xy(np.array(lab.WHITE))


def reference_lab(code: tuple[int, int, int]) -> Any:
    light = colour.cctf_decoding(np.array(code) / 255, function="sRGB")
    xyz = colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ @ light
    return colour.XYZ_to_Lab(xyz, illuminant=white_xy())


def test_the_matrix_is_the_standard_s() -> None:
    assert np.allclose(lab.RGB_TO_XYZ, colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ, atol=0)
    assert np.allclose(np.array(lab.XYZ_TO_RGB) @ np.array(lab.RGB_TO_XYZ), np.eye(3), atol=1e-12)
    # Source: CIE 15, D65 for 2 degrees: 95.047, 100, 108.883; the row sums come within 0.02.
    assert [100 * part for part in lab.WHITE] == pytest.approx([95.047, 100, 108.883], abs=0.02)


@given(CODE, CODE, CODE)
def test_codes_to_lab_as_colour_science_has_it(red: int, green: int, blue: int) -> None:
    found = lab.lab_from_srgb8(red, green, blue)
    assert (found.L, found.a, found.b) == pytest.approx(tuple(reference_lab((red, green, blue))), abs=1e-6)


@given(CODE, CODE, CODE)
def test_codes_and_hex_come_back(red: int, green: int, blue: int) -> None:
    found = lab.lab_from_srgb8(red, green, blue)
    assert lab.srgb8_from_lab(found) == (red, green, blue)
    text = f"#{red:02x}{green:02x}{blue:02x}"
    assert lab.hex_from_lab(found) == text
    assert lab.lab_from_hex(text) == found == lab.lab_from_hex(text[1:].upper())


@given(CODE)
def test_greys_have_no_colour(code: int) -> None:
    found = lab.lab_from_srgb8(code, code, code)
    assert found.chroma < 1e-9
    assert lab.grey_level(found.L) == code


@given(st.floats(0, 100), st.floats(-128, 128), st.floats(-128, 128))
def test_what_the_screen_cannot_show_is_cut_off(L: float, a: float, b: float) -> None:
    codes = lab.srgb8_from_lab(Colour(L, a, b))
    assert all(0 <= code <= 255 for code in codes)
    light = lab.light_from_lab(Colour(L, a, b))
    xyz = colour.Lab_to_XYZ(np.array([L, a, b]), illuminant=white_xy())
    wanted = np.linalg.inv(np.array(lab.RGB_TO_XYZ)) @ xyz
    assert light == pytest.approx(tuple(wanted), abs=1e-6)
    for code, part in zip(codes, light, strict=True):
        assert (code == 255) or part < 1
        assert (code == 0) or part > 0


@pytest.mark.parametrize(
    "text", ["", "#12345", "#1234567", "12345g", "#１23456", "red", "#" * 5000, "\x1b[31m", "0x1234"]
)
def test_no_colour_is_a_usage_fault(text: str) -> None:
    with pytest.raises(UsageFault, match="colour") as fault:
        lab.lab_from_hex(text)
    assert fault.value.line().isprintable()


def test_grey_levels_of_the_tens() -> None:
    # Derived from CIE 1976 L* and IEC 61966-2-1.
    assert [lab.grey_level(L) for L in range(10, 100, 10)] == [27, 48, 71, 94, 119, 145, 171, 198, 226]
    assert (lab.grey_level(0), lab.grey_level(100)) == (0, 255)


@given(st.floats(0, 100))
def test_grey_levels_against_colour_science(L: float) -> None:
    light = colour.colorimetry.luminance_CIE1976(L) / 100
    wanted = 255 * colour.cctf_encoding(light, function="sRGB")
    assert abs(lab.grey_level(L) - wanted) <= 0.5 + 1e-3  # the two halves of the sRGB curve meet within that


# Source: ASTM D1535, Y = 1.1914 V - 0.22533 V^2 + 0.23352 V^3 - 0.020484 V^4 + 0.00081939 V^5 (Y in percent of
# magnesium oxide); the L* of Munsell values 1 to 10 is derived from it through CIE 1976 L*.
MUNSELL = [10.41, 20.24, 30.38, 40.74, 51.00, 61.05, 70.86, 80.53, 90.18, 100]


@pytest.mark.parametrize(("value", "lightness"), list(enumerate(MUNSELL, start=1)))
def test_value_of_the_munsell_greys(value: int, lightness: float) -> None:
    powers = (1.1914, -0.22533, 0.23352, -0.020484, 0.00081939)
    light = sum(factor * value ** (power + 1) for power, factor in enumerate(powers)) / 100
    assert lab.lab_from_light(light, light, light).L == pytest.approx(lightness, abs=0.01)


@given(st.floats(0, 100))
def test_labels_are_legible(L: float) -> None:
    """Source: WCAG 2, contrast ratio (L1 + 0.05) / (L2 + 0.05), at least 4.5 for text of ordinary size."""
    chip = colour.colorimetry.luminance_CIE1976(L) / 100
    label = 1.0 if lab.label_on(L) == "#ffffff" else 0.0
    ratio = (max(chip, label) + 0.05) / (min(chip, label) + 0.05)
    assert ratio >= 4.5


def test_labels_change_once() -> None:
    assert (lab.label_on(49.39), lab.label_on(49.41)) == ("#ffffff", "#000000")


@pytest.mark.parametrize("pair", PAIRS)
def test_sharma_s_pairs_both_ways(pair: tuple[float, ...]) -> None:
    one, other, wanted = Colour(*pair[:3]), Colour(*pair[3:6]), pair[6]
    assert lab.delta_e_2000(one, [other])[0] == pytest.approx(wanted, abs=5e-5)
    assert lab.delta_e_2000(other, [one])[0] == pytest.approx(wanted, abs=5e-5)


def test_all_of_sharma_s_pairs_are_here() -> None:
    assert len(PAIRS) == len(set(PAIRS)) == 34


def test_differences_to_many_keep_their_order_and_whole_numbers() -> None:
    one = Colour(50, 10, -20)
    many = [Colour(50, 10, -20), Colour(60, 0, 0), Colour(20, 40, 40)]
    found = lab.delta_e_2000(one, many)
    wanted = [float(colour.delta_E([50, 10, -20], [c.L, c.a, c.b], method="CIE 2000")) for c in many]
    assert found == pytest.approx(wanted, abs=1e-9)
    assert lab.delta_e_2000(one, []) == []
    # Whole numbers must not be cut short on the way: 50.5 stays itself beside them.
    assert lab.delta_e_2000(one, [Colour(50.5, 10, -20)])[0] > 0.4


def test_value_may_weigh_half() -> None:
    one, other = Colour(50, 0, 0), Colour(60, 0, 0)
    whole, half = lab.delta_e_2000(one, [other])[0], lab.delta_e_2000(one, [other], kL=2)[0]
    assert half == pytest.approx(whole / 2)


@pytest.mark.parametrize(
    ("text", "word"),
    [("#c00000", "red"), ("#ff8000", "orange"), ("#f0e000", "yellow"), ("#208020", "green"), ("#109090", "teal"),
     ("#3070b0", "blue"), ("#8040a0", "purple"), ("#f070b0", "pink"), ("#888888", "neutral"), ("#f4efe6", "neutral")],
)  # fmt: skip
def test_hue_words(text: str, word: str) -> None:
    assert lab.hue_word(lab.lab_from_hex(text)) == word


@given(st.floats(0.5, 100), st.floats(-180, 180))
def test_hue_is_the_angle_and_words_are_the_nearest(chroma: float, degrees: float) -> None:
    found = Colour(50, chroma * math.cos(math.radians(degrees)), chroma * math.sin(math.radians(degrees)))
    assert lab.apart(lab.hue_degrees(found), degrees % 360) < 1e-6
    assert 0 <= lab.hue_degrees(found) < 360
    word = lab.hue_word(found)
    if chroma < 11.99:
        assert word == "neutral"
    if word != "neutral":
        assert all(lab.apart(degrees, lab.HUES[word]) <= lab.apart(degrees, hue) + 1e-6 for hue in lab.HUES.values())
        assert lab.is_hue(found, word)
        assert lab.is_hue(found, "warm") != lab.is_hue(found, "cool")
    else:
        assert lab.is_hue(found, "warm") == lab.is_hue(found, "cool") == lab.is_hue(found, "blue")


def test_a_hue_keeps_neighbours_within_45_degrees_and_neutrals() -> None:
    def at(degrees: float, chroma: float = 40) -> Colour:
        return Colour(50, chroma * math.cos(math.radians(degrees)), chroma * math.sin(math.radians(degrees)))

    assert [lab.is_hue(at(d), "Blue") for d in (214, 216, 304, 306)] == [False, True, True, False]
    assert [lab.is_hue(at(d), "pink") for d in (314, 316, 44, 46)] == [False, True, True, False]
    assert [lab.is_hue(at(d), "warm") for d in (329, 331, 0, 109, 111)] == [False, True, True, True, False]
    assert lab.is_hue(at(100, 11), "blue")
    with pytest.raises(UsageFault, match="mauve"):
        lab.is_hue(at(0), "mauve")
