"""One point of the star enlarged: its small diamonds in their fabrics, each with its letter on it.

The point stands on the star's centre with its tip up, as on the chart that is printed. A letter is black or white,
whichever shows better on its small diamond as that was painted, with a rim of the other for busy prints.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from stash.errors import UsageFault
from stash.model import Star
from stash.sheets.fonts import picture_font
from stash.sheets.star_picture import FINE, MOST, Floats, Palette, Pixels, greyed, halved, luminance, paint
from stash.star.geometry import finished

if TYPE_CHECKING:
    from PIL.Image import Image

HALF = math.pi / 8  # half of a point's angle
LETTER = 0.5  # a letter's size, in sides of its small diamond
SMALLEST_LETTER = 9  # pixels: smaller ones cannot be read
MIDDLE = 0.179  # black and white stand off equally from this luminance. Source: contrast ratio in W3C's WCAG 2.2
LINE = 0.02  # how broad the line along each edge of a small diamond is, in its sides; a pixel at least


def draw_point(star: Star, cloth: Palette, pixels: int, *, turn: int = 0, grey: bool = False) -> Image:
    """One point, `pixels` high. `turn`, 0 to 7, says which: look-alikes lie in the even and in the odd ones.

    Raises UsageFault for a size that cannot be, or that is too small for letters.
    """
    from PIL import Image

    if not least_pixels(star) <= pixels <= MOST:
        do = f"use {least_pixels(star)} to {MOST}"
        raise UsageFault(f"a point with letters cannot be drawn in {pixels} pixels", do=do)
    fine = 2 if pixels <= FINE else 1
    codes = _painted(star, cloth, pixels * fine, turn)
    if grey:
        codes = greyed(codes)
    picture = Image.fromarray(halved(codes) if fine == 2 else codes)
    _write_letters(star, picture)
    return picture


def least_pixels(star: Star) -> int:
    """The smallest height at which a star's letters can be read."""
    return math.ceil(SMALLEST_LETTER / LETTER * 2 * math.cos(HALF) * star.grid)


def turns(cloth: Palette) -> range:
    """Which points show all there is: one, or two neighbours where a row has look-alikes."""
    return range(2 if any(len(used) > 1 for used in cloth.letters.values()) else 1)


def middles(star: Star, pixels: int) -> Iterator[tuple[int, float, float]]:
    """The row (from 1) of each small diamond and where its middle lies, in pixels from the upper left corner."""
    side = pixels / (2 * math.cos(HALF) * star.grid)
    for first in range(star.grid):
        for second in range(star.grid):
            x = (star.grid + first - second) * side * math.sin(HALF)
            yield first + second + 1, x, pixels - (first + second + 1) * side * math.cos(HALF)


def _painted(star: Star, cloth: Palette, high: int, turn: int) -> Pixels:
    """The codes of every pixel: white round the point, a line along the edges of its small diamonds."""
    wide = 2 * round(high / 2 * math.tan(HALF))
    inches = float(finished(star).large_side) * 2 * math.cos(HALF) / high
    up = (np.arange(high, 0, -1, dtype=np.float32) - np.float32(0.5))[:, None] * np.float32(inches)
    right = (np.arange(wide, dtype=np.float32) + np.float32(0.5 - wide / 2))[None, :] * np.float32(inches)
    cos, sin = np.float32(math.cos(HALF)), np.float32(math.sin(HALF))
    along, across = up * cos + right * sin, up * sin - right * cos  # strips lie along the right-hand side
    codes, row = paint(star, cloth, (np.full(along.shape, turn, dtype=np.int32), along, across), (along, across))
    step = float(finished(star).large_side) / star.grid
    edge = _edges(along / step, across / step, max(LINE, inches / step))
    codes[edge] = codes[edge] // 2 + np.where(luminance(codes[edge]) < MIDDLE, 127, 0).astype(np.uint8)[:, None]
    codes[row == 0] = 255
    return codes


def _edges(along: Floats, across: Floats, broad: float) -> NDArray[np.bool_]:
    """Which places lie within half of `broad` of an edge; all in sides of a small diamond."""
    found = np.zeros(along.shape, dtype=bool)
    for value in (along - across, across * math.sqrt(2)):
        part = value - np.floor(value)
        found |= np.minimum(part, 1 - part) * math.sqrt(0.5) < broad / 2
    return found


def _write_letters(star: Star, picture: Image) -> None:
    from PIL import ImageDraw

    size = max(SMALLEST_LETTER, round(LETTER * picture.height / (2 * math.cos(HALF) * star.grid)))
    draw, font = ImageDraw.Draw(picture), picture_font(size)
    codes = np.asarray(picture)
    for row, x, y in middles(star, picture.height):
        reach = size // 2
        seen = codes[round(y) - reach : round(y) + reach, round(x) - reach : round(x) + reach]
        ink, rim = ("white", "black") if luminance(seen).mean() < MIDDLE else ("black", "white")
        letter = star.order[row - 1]
        draw.text((x, y), letter, fill=ink, font=font, anchor="mm", stroke_width=max(1, size // 12), stroke_fill=rim)
