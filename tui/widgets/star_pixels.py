"""The star as a grid of pixels: which row of which large diamond lies under each. Pure functions on plain numbers.

A pixel is half a character cell, so about square. `Spot` counts both: 0 is the ground, otherwise
2 * row + parity, where the row counts from 1 at the star's centre and the parity tells neighbouring large diamonds
apart (two look-alike fabrics in one row lie in every other point).
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

SQRT2 = math.sqrt(2.0)
SIDES = 2.0 + SQRT2  # side of the star's square in sides of a large diamond
POINT_LENGTH = 2.0 * math.cos(math.pi / 8)  # long diagonal of a large diamond in its sides
POINT_WIDTH = 2.0 * math.sin(math.pi / 8)  # short diagonal

READABLE = 1.45  # pixels from edge to edge of a small diamond, judged by eye

Spot = int
Spots = tuple[tuple[Spot, ...], ...]
GROUND: Spot = 0


class Fit(NamedTuple):
    """How big the star can be drawn: `pixels` a side for the whole star, and whether its rows can be told apart."""

    pixels: int
    readable: bool


def row_of(spot: Spot) -> int:
    """The row of a spot, 1 at the centre; 0 for the ground."""
    return spot // 2


def is_odd_point(spot: Spot) -> bool:
    """Whether the spot lies in the second, fourth, sixth or eighth large diamond, counted round the star."""
    return bool(spot % 2)


def whole_star_fit(grid: int, columns: int, lines: int) -> Fit:
    """The largest even number of pixels a side in `columns` x `lines` cells, and whether that shows the grid.

    A small diamond much under one and a half pixels high runs into its neighbours: 5 x 5 wants some 36 x 18 cells,
    6 x 6 some 42 x 21.
    """
    pixels = max(0, min(columns, 2 * lines)) // 2 * 2
    height = pixels / SIDES / grid / SQRT2
    return Fit(pixels, height >= READABLE)


@lru_cache(maxsize=64)
def star_spots(grid: int, pixels: int) -> Spots:
    """The whole star filled out to a square, `pixels` x `pixels`, sampled at the middle of each pixel.

    The large diamonds lie between the directions 0, 45, 90 ... degrees, so that two points touch each side of the
    square and a corner square of ground lies in each corner.
    """
    side = pixels / SIDES
    middle = pixels / 2
    return tuple(
        tuple(_spot(x + 0.5 - middle, middle - y - 0.5, side, grid) for x in range(pixels)) for y in range(pixels)
    )


def _spot(x: float, y: float, side: float, grid: int) -> Spot:
    """The spot at a place measured from the centre (y upwards). All eight diamonds are folded onto the first."""
    across, up = abs(x), abs(y)
    folded = up > across
    if folded:
        across, up = up, across
    # In the first diamond a place is along * (1, 0) + slant * (cos 45, sin 45).
    slant = up * SQRT2
    along = across - up
    if along >= side or slant >= side:
        return GROUND
    row = int(along * grid / side) + int(slant * grid / side) + 1
    odd = folded ^ (x < 0) ^ (y < 0)
    return 2 * row + odd


@lru_cache(maxsize=64)
def point_spots(grid: int, columns: int, lines: int) -> Spots:
    """One large diamond as big as it goes in `columns` x `lines` cells, trimmed to the pixels it needs.

    It stands with the star's centre below and its tip above, or lies with the centre on the left and the tip on the
    right, whichever is larger. The number of pixel rows is even.
    """
    wide, high = max(columns, 0), 2 * max(lines, 0)
    standing = min(wide / POINT_WIDTH, high / POINT_LENGTH)
    lying = min(wide / POINT_LENGTH, high / POINT_WIDTH)
    side = max(standing, lying)
    length, across = int(side * POINT_LENGTH), int(side * POINT_WIDTH)
    if standing >= lying:
        length += length % 2
        across -= 1 - across % 2  # an odd width lets the tip end in one pixel
        return tuple(
            tuple(_point_spot(length - y - 0.5, x + 0.5 - across / 2, side, grid) for x in range(across))
            for y in range(length)
        )
    across += across % 2
    return tuple(
        tuple(_point_spot(x + 0.5, y + 0.5 - across / 2, side, grid) for x in range(length)) for y in range(across)
    )


def _point_spot(along: float, off: float, side: float, grid: int) -> Spot:
    """The spot `along` the long diagonal from the centre of the star and `off` it to one side."""
    lengthwise = along / POINT_LENGTH
    sideways = off / POINT_WIDTH
    first, second = lengthwise + sideways, lengthwise - sideways
    if not (0 <= first < side and 0 <= second < side):
        return GROUND
    return 2 * (int(first * grid / side) + int(second * grid / side) + 1)
