"""The star as a picture: flat colours, or the fabrics' photographs laid into the small diamonds; in colour or grey.

The large diamonds lie between the directions 0, 45, 90 ... degrees, so that two points touch each side of the square
and a corner square of ground lies in each corner. Each large diamond is the first one turned. In it the strips lie
along its first side, as they are sewn; a photograph lies along its strip, and no two small diamonds show the same part.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.lab import RGB_TO_XYZ, srgb8_from_lab
from stash.colour.space import SRGB, codes_of
from stash.errors import UsageFault
from stash.model import Colouring, Fabric, Star
from stash.star.beds import quilt_size
from stash.star.geometry import finished

if TYPE_CHECKING:
    from PIL.Image import Image

LEAST, MOST = 16, 6000  # pixels a side
EDGE = 0.15  # of each side of a kept picture: the paper round the cloth, and its cut edges
UNKNOWN = (108, 108, 108)  # a fabric with no colour yet
NO_GROUND = (236, 232, 224)  # where no fabric is named for it
PICTURE_INCHES = 6.0  # what the shorter side of a swatch photograph shows, about: nothing in it tells its size
BAND = 200_000  # pixels that are painted at a time
FINE = 1600  # up to so many pixels a side every pixel is four
GOLDEN = (math.sqrt(5) - 1) / 2

Pixels = NDArray[np.uint8]  # (height, width, 3), sRGB
Floats = NDArray[Any]  # inches or light, float32

_LIGHT: Floats = SRGB.curves[0].astype(np.float32)  # of each code, the same in all channels


@dataclass(frozen=True, slots=True, eq=False)
class Cloth:
    """A fabric as it is painted: its colour (sRGB codes), and its photograph where that is wanted."""

    colour: tuple[int, int, int]
    picture: Pixels | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Palette:
    """The cloth at each letter (two look-alikes lie in every other point) and the ground's."""

    letters: Mapping[str, tuple[Cloth, ...]]
    ground: Cloth


def palette(
    colouring: Colouring, fabrics: Mapping[str, Fabric], pictures: Mapping[int, bytes] | None = None
) -> Palette:
    """The cloth of a colouring. `fabrics` by name; `pictures` by fabric id, as the stash keeps them (JPEG)."""
    known: dict[str, Cloth] = {}

    def cloth(name: str | None) -> Cloth:
        fabric = fabrics.get(name or "")
        if fabric is None:
            return Cloth(UNKNOWN)
        if fabric.name not in known:
            colour = srgb8_from_lab(fabric.colour) if fabric.colour is not None else UNKNOWN
            data = pictures.get(fabric.id) if pictures else None
            known[fabric.name] = Cloth(colour, None if data is None else _opened(data))
        return known[fabric.name]

    uses = {letter: tuple(cloth(name) for name in names) for letter, names in colouring.uses.items()}
    return Palette(uses, cloth(colouring.ground) if colouring.ground else Cloth(NO_GROUND))


def _opened(data: bytes) -> Pixels:
    from PIL import Image

    with Image.open(BytesIO(data)) as picture:
        codes = np.asarray(picture.convert("RGB"), dtype=np.uint8)
    high, wide = (max(1, round(side * EDGE)) for side in codes.shape[:2])
    return codes[high:-high, wide:-wide] if min(codes.shape[:2]) > 8 else codes


def draw_star(star: Star, cloth: Palette, pixels: int, *, grey: bool = False) -> Image:
    """The quilt top, `pixels` along its longer side: the star filled out to a square, and its borders.

    Raises UsageFault for a size that cannot be.
    """
    from PIL import Image

    if not LEAST <= pixels <= MOST:
        raise UsageFault(f"a picture of {pixels} pixels cannot be", do=f"use {LEAST} to {MOST}")
    size = quilt_size(star)
    longer = max(float(size.width), float(size.length))
    wide, high = (max(1, round(pixels * float(side) / longer)) for side in (size.width, size.length))
    fine = 2 if pixels <= FINE else 1
    wide, high = wide * fine, high * fine
    bands = []
    lines = max(1, BAND // (2 * wide)) * 2  # a whole number of halved lines
    for first in range(0, high, lines):
        codes = _painted(star, cloth, (wide, high), range(first, min(first + lines, high)), longer / (pixels * fine))
        codes = greyed(codes) if grey else codes
        bands.append(halved(codes) if fine == 2 else codes)
    return Image.fromarray(np.concatenate(bands))


def _painted(star: Star, cloth: Palette, size: tuple[int, int], lines: range, inches: float) -> Pixels:
    """The codes of these lines of a picture; `inches` a pixel. Some lines at a time, for the numbers behind a large
    picture would fill the memory.

    Edges of the star that lie level or upright would fall between the same two pixels all along, and make pieces too
    large or too small by half a pixel. So every line is looked at a little further to one side (by a part of a pixel,
    evenly spread), and every column a little higher or lower.
    """
    wide, high = size
    number = np.asarray(lines)
    right = np.arange(wide, dtype=np.float32) + np.float32(0.5 - wide / 2)
    up = np.float32(high / 2 - 0.5) - number.astype(np.float32)
    x = (right[None, :] + _spread(number)[:, None]) * np.float32(inches)
    y = (up[:, None] + _spread(np.arange(wide))[None, :]) * np.float32(inches)
    turn, along, across = _first_diamond(x, y)
    return paint(star, cloth, (turn, along, across), (x, y))[0]


def paint(
    star: Star, cloth: Palette, place: tuple[NDArray[np.int32], Floats, Floats], ground: tuple[Floats, Floats]
) -> tuple[Pixels, NDArray[np.int32]]:
    """The codes of places on the star, and the row that each lies in (0: on the ground).

    place -- which large diamond (0 to 7), and inches along its first side and square to it
    ground -- where the place is on the cloth of the ground, inches
    """
    turn, along, across = place
    side = float(finished(star).large_side)
    slant = across * math.sqrt(2)
    first, second = ((value * (star.grid / side)).astype(np.int32) for value in (along - across, slant))
    inside = (along - across >= 0) & (across >= 0) & (first < star.grid) & (second < star.grid)
    row = np.where(inside, first + second + 1, 0)
    strip = float(star.finished_strip)
    # another part of the photograph in every small diamond: along the strip by point and segment, across by row
    u = along + turn * (2.3 * PICTURE_INCHES) + first * (0.61 * PICTURE_INCHES)
    v = across - second * strip + row * (0.37 * PICTURE_INCHES)
    cloths, by_row = _by_row(star, cloth)
    here = by_row[turn % 2, row]
    codes = np.asarray([one.colour for one in cloths], dtype=np.uint8)[here]
    on_star = row > 0
    places = [np.where(on_star, one, other).ravel() for one, other in zip((u, v), ground, strict=True)]
    for number, one in enumerate(cloths):
        if one.picture is not None:
            at = np.flatnonzero(here == number)
            codes.reshape(-1, 3)[at] = _photographed(one.picture, *(each[at] for each in places))
    return codes, row


def _spread(number: NDArray[Any]) -> Floats:
    """A place for each number, evenly spread over a pixel, -1/2 to 1/2, neighbours far apart."""
    return np.asarray((number * GOLDEN) % 1 - 0.5, dtype=np.float32)


def _by_row(star: Star, cloth: Palette) -> tuple[list[Cloth], NDArray[np.uint8]]:
    """All cloths, the ground's first, and the number of the one at each row (0: ground) of even and odd points."""
    cloths = [cloth.ground]
    first: dict[str, tuple[int, int]] = {}
    for letter in star.letters:
        used = cloth.letters.get(letter) or (Cloth(UNKNOWN),)
        first[letter] = (len(cloths), len(cloths) + len(used) - 1)
        cloths += used
    rows = [[0, *(first[letter][odd] for letter in star.order)] for odd in (0, 1)]
    return cloths, np.asarray(rows, dtype=np.uint8)


def _first_diamond(x: Floats, y: Floats) -> tuple[NDArray[np.int32], Floats, Floats]:
    """Which large diamond each place lies in (0 to 7), and the place turned back into the first one."""
    turn = np.floor(np.arctan2(y, x) / (math.pi / 4)).astype(np.int32) % 8
    angles = -np.arange(8) * (math.pi / 4)
    cos, sin = (np.asarray(part, dtype=np.float32)[turn] for part in (np.cos(angles), np.sin(angles)))
    return turn, x * cos - y * sin, np.maximum(x * sin + y * cos, 0)


def _photographed(picture: Pixels, u: Floats, v: Floats) -> Pixels:
    """A photograph at places in inches, shape (n, 3). It is laid out again turned over at its edges, so that no edge
    shows."""
    height, width = picture.shape[:2]
    scale = min(height, width) / PICTURE_INCHES
    found: Pixels = picture[_mirrored(v * scale, height), _mirrored(u * scale, width)]
    return found


def _mirrored(place: Floats, length: int) -> NDArray[Any]:
    """Places on a line of `length` pixels that is laid out to and fro for ever."""
    at = np.floor(place).astype(np.int32) % (2 * length)
    return np.where(at < length, at, 2 * length - 1 - at)


def greyed(codes: Pixels) -> Pixels:
    """The true grey of each pixel: the sRGB code of the same luminance, which has the same L*."""
    return np.repeat(codes_of(luminance(codes))[..., None], 3, axis=2)


def luminance(codes: Pixels) -> Floats:
    """The luminance of each pixel, 0 black to 1 white."""
    found: Floats = _LIGHT[codes] @ np.asarray(RGB_TO_XYZ[1], dtype=np.float32)
    return found


def halved(codes: Pixels) -> Pixels:
    """Four pixels as one, averaged in light."""
    high, wide = codes.shape[0] // 2, codes.shape[1] // 2
    light = _LIGHT[codes].reshape(high, 2, wide, 2, 3).mean(axis=(1, 3))
    return codes_of(light)
