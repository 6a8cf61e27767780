"""Single colours: light, CIE L*a*b* and CIEDE2000, in plain Python. Whole pictures are measured elsewhere.

sRGB is IEC 61966-2-1; L*a*b* is CIE 1976 for D65 and 2 degrees. The white is the row sums of the sRGB
matrix, so that greys come out with a* = b* = 0.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from stash.errors import UsageFault
from stash.lengths import shown
from stash.model import Colour

# linear sRGB to XYZ, IEC 61966-2-1
RGB_TO_XYZ = (
    (0.4124, 0.3576, 0.1805),
    (0.2126, 0.7152, 0.0722),
    (0.0193, 0.1192, 0.9505),
)
WHITE = tuple(sum(row) for row in RGB_TO_XYZ)
KAPPA = 24389 / 27
EPSILON = 216 / 24389

NEUTRAL = 12.0  # chroma under which a colour has no hue worth a word
HUES: dict[str, float] = {
    "red": 25.0, "orange": 60.0, "yellow": 90.0, "green": 140.0,
    "teal": 195.0, "blue": 260.0, "purple": 310.0, "pink": 0.0,
}  # fmt: skip
WARM = (330.0, 110.0)  # from, to, through 0

_HEX = re.compile(r"#?([0-9a-fA-F]{6})", re.ASCII)


def _inverse(m: Sequence[Sequence[float]]) -> tuple[tuple[float, ...], ...]:
    """The inverse of a 3 x 3 matrix, by cofactors."""

    def minor(i: int, j: int) -> float:
        a, b = (k for k in range(3) if k != i)
        c, d = (k for k in range(3) if k != j)
        return m[a][c] * m[b][d] - m[a][d] * m[b][c]

    whole = sum((-1) ** j * m[0][j] * minor(0, j) for j in range(3))
    return tuple(tuple((-1) ** (i + j) * minor(j, i) / whole for j in range(3)) for i in range(3))


XYZ_TO_RGB = _inverse(RGB_TO_XYZ)


def _times(matrix: Sequence[Sequence[float]], vector: Sequence[float]) -> tuple[float, float, float]:
    x, y, z = (sum(m * v for m, v in zip(row, vector, strict=True)) for row in matrix)
    return x, y, z


def light_from_code(code: float) -> float:
    """An sRGB code 0..1 to linear light 0..1."""
    return code / 12.92 if code <= 0.04045 else float(((code + 0.055) / 1.055) ** 2.4)


def code_from_light(light: float) -> float:
    """Linear light to an sRGB code, both 0..1; light outside is cut off at the ends."""
    light = min(1.0, max(0.0, light))
    return light * 12.92 if light <= 0.0031308 else float(1.055 * light ** (1 / 2.4) - 0.055)


def lab_from_light(red: float, green: float, blue: float, source: str = "typed") -> Colour:
    """Linear light of the three channels (0..1) to L*a*b*."""
    x, y, z = (v / w for v, w in zip(_times(RGB_TO_XYZ, (red, green, blue)), WHITE, strict=True))
    fx, fy, fz = _f(x), _f(y), _f(z)
    return Colour(116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz), source)


def _f(t: float) -> float:
    return math.cbrt(t) if t > EPSILON else (KAPPA * t + 16) / 116


def _f_back(f: float) -> float:
    return f**3 if f**3 > EPSILON else (116 * f - 16) / KAPPA


def light_from_lab(colour: Colour) -> tuple[float, float, float]:
    """L*a*b* to linear light of the three channels, not cut off: out of gamut lies outside 0..1."""
    fy = (colour.L + 16) / 116
    f = (fy + colour.a / 500, fy, fy - colour.b / 200)
    return _times(XYZ_TO_RGB, tuple(_f_back(v) * w for v, w in zip(f, WHITE, strict=True)))


def lab_from_srgb8(red: int, green: int, blue: int, source: str = "typed") -> Colour:
    """sRGB codes 0..255 to L*a*b*."""
    r, g, b = (light_from_code(code / 255) for code in (red, green, blue))
    return lab_from_light(r, g, b, source)


def srgb8_from_lab(colour: Colour) -> tuple[int, int, int]:
    """L*a*b* to sRGB codes 0..255; what the screen cannot show is cut off channel by channel."""
    r, g, b = (round(255 * code_from_light(light)) for light in light_from_lab(colour))
    return r, g, b


def lab_from_hex(text: str, source: str = "typed") -> Colour:
    """`#rrggbb` (the # may be left out) to L*a*b*. Raises UsageFault for anything else."""
    match = _HEX.fullmatch(text.strip()) if len(text) < 40 else None
    if match is None:
        raise UsageFault(f'"{shown(text)}" is no colour', do="Write it like #7a4b2c")
    code = int(match[1], 16)
    return lab_from_srgb8(code >> 16, code >> 8 & 255, code & 255, source)


def hex_from_lab(colour: Colour) -> str:
    """L*a*b* to `#rrggbb`, cut off where the screen cannot show it."""
    return "#{:02x}{:02x}{:02x}".format(*srgb8_from_lab(colour))


def grey_level(L: float) -> int:
    """The sRGB code 0..255 of the grey that has this value L*."""
    y = ((L + 16) / 116) ** 3 if L > 8 else L / KAPPA
    return round(255 * code_from_light(y))


def label_on(L: float) -> str:
    """The colour of a label on a chip of value L*: never under 4.5 : 1 by WCAG 2."""
    return "#ffffff" if L < 49.4 else "#000000"


def hue_degrees(colour: Colour) -> float:
    """The hue angle, 0 to 360 degrees from +a* towards +b*."""
    # twice: a hair under 0 comes out of the first as 360
    return math.degrees(math.atan2(colour.b, colour.a)) % 360 % 360


def apart(one: float, other: float) -> float:
    """Degrees between two hue angles, 0 to 180."""
    return abs((one - other + 180) % 360 - 180)


def hue_word(colour: Colour) -> str:
    """The plain word for a colour's hue, the nearest of eight; "neutral" when its chroma is under 12."""
    if colour.chroma < NEUTRAL:
        return "neutral"
    hue = hue_degrees(colour)
    return min(HUES, key=lambda word: apart(hue, HUES[word]))


def hue_name(word: str) -> str:
    """`warm`, `cool` or a hue's word, in small letters. Raises UsageFault for a word that is none of these."""
    name = word.strip().lower()
    if name not in HUES and name not in ("warm", "cool"):
        raise UsageFault(f'"{shown(word)}" is no hue', do=f"use warm, cool, {', '.join(HUES)}")
    return name


def is_hue(colour: Colour, word: str) -> bool:
    """Whether a colour belongs to `warm`, `cool` or a hue's word (within 45 degrees). Neutrals go with all.

    Raises UsageFault for a word that is none of these.
    """
    name = hue_name(word)
    if colour.chroma < NEUTRAL:
        return True
    hue = hue_degrees(colour)
    if name in HUES:
        return apart(hue, HUES[name]) <= 45
    warm = hue >= WARM[0] or hue <= WARM[1]
    return warm if name == "warm" else not warm


def delta_e_2000(one: Colour, many: Sequence[Colour], *, kL: float = 1.0) -> list[float]:
    """CIEDE2000 from one colour to each of many (Sharma, Wu & Dalal 2005), by colormath.

    kL -- 2 where differences of value should weigh half.
    """
    if not many:
        return []
    import numpy as np
    from colormath.color_diff_matrix import delta_e_cie2000

    # The function wants float shapes (3,) and (n, 3); whole numbers would be cut off silently.
    first = np.array([one.L, one.a, one.b], dtype=float)
    rest = np.array([[c.L, c.a, c.b] for c in many], dtype=float)
    return [float(d) for d in delta_e_cie2000(first, rest, Kl=kL)]
