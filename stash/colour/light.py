"""Mean light of a photograph: of a box at once from its histogram, and block by block.

Light adds up, codes do not: a check of black and white has a mean of codes that is far too dark. So codes become
light before anything is averaged.
"""

from __future__ import annotations

import math
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from stash.colour.space import Floats, Photo
from stash.model import Box

Bytes = NDArray[np.uint8]
Bools = NDArray[np.bool_]

FULL = 65535  # light 1.0 in the table for blocks
SAMPLE = 60_000  # pixels looked at one by one
MOST_BLOCKS = 200_000  # of a long, narrow picture
BAND = 64  # rows of pixels at a time


@dataclass(frozen=True, slots=True, eq=False)
class Blocks:
    """Means of square blocks of a box: `light` shape (rows, columns, 3), each channel's own light 0..1.

    `x` (columns) and `y` (rows) are the blocks' centres in pixels of the picture. `there` is False for blocks that
    are transparent for more than half.
    """

    light: Floats
    x: Floats
    y: Floats
    size: int
    there: Bools


def whole(photo: Photo) -> Box:
    """The box of the whole picture."""
    return (0, 0, photo.width, photo.height)


def part(image: Image.Image, box: Box) -> Image.Image:
    x, y, width, height = box
    return image if (x, y, width, height) == (0, 0, *image.size) else image.crop((x, y, x + width, y + height))


def histogram(photo: Photo, box: Box) -> Floats:
    """How many opaque pixels of a box have each code, shape (3, 256)."""
    mask = part(photo.mask, box) if photo.mask is not None else None
    return np.array(part(photo.image, box).histogram(mask), dtype=np.float64).reshape(3, 256)


def mean_light(photo: Photo, counts: Floats) -> Floats:
    """The exact mean light of the three channels, shape (3,): a histogram times the light of each code."""
    return np.asarray((counts * photo.space.curves).sum(axis=1) / max(1.0, float(counts[0].sum())))


def share_from(counts: Floats, code: int) -> float:
    """The share of pixels that stand at `code` or above in the channel where most do."""
    return float((counts[:, code:].sum(axis=1) / np.maximum(counts.sum(axis=1), 1)).max())


@dataclass(frozen=True, slots=True, eq=False)
class Points:
    """Single pixels taken at random, the same ones each time: `codes` shape (n, 3), `x` and `y` in the picture."""

    codes: Bytes
    x: Floats
    y: Floats


def survey(photo: Photo, box: Box, least: int, every: int = 1) -> tuple[Blocks, Points]:
    """Block means and single pixels of a box, in one go through it, band by band.

    Blocks are so large that the short side still has `least` of them (fewer in a small picture), and there are not
    too many. `every`: only so small a part of each block's rows, its middle ones, where a rough mean will do. Single
    pixels are taken at random places, as every second pixel of a fine check is always the same colour.
    """
    left, top, width, height = box
    short = min(height, width)
    size = min(short, max(1, short // least, math.ceil(math.sqrt(height * width / MOST_BLOCKS))))
    rows = max(1, size // every)
    columns = width // size
    take = SAMPLE / (height * width) * size / rows
    look = _Look(photo, size, rows, columns)
    # in part, a band is the middle rows of one row of blocks; else it is several rows of blocks
    step = size if rows < size else size * max(1, BAND // size)
    band, inset = (rows, (size - rows) // 2) if rows < size else (step, 0)

    def one(start: int) -> _Band:
        return look.at((left, top + start + inset, width, min(band, height - start)), take)

    starts = range(0, height // size * size if rows < size else height, step)
    if height * width < 1_000_000:
        bands = [one(start) for start in starts]
    else:
        with ThreadPoolExecutor(2) as threads:  # numpy lets other threads run meanwhile
            bands = list(threads.map(one, starts))
    sums = np.concatenate([each.sums for each in bands])
    covered = np.concatenate([each.covered for each in bands])
    light = sums / np.maximum(covered, 1)[:, :, None] / FULL
    x = np.asarray((np.arange(columns) + 0.5) * size + left, dtype=np.float64)
    y = np.asarray((np.arange(len(sums)) + 0.5) * size + top, dtype=np.float64)
    points = Points(*(np.concatenate([getattr(each, name) for each in bands]) for name in ("codes", "x", "y")))
    return Blocks(light, x, y, size, covered * 2 > size * rows), points


@dataclass(frozen=True, slots=True, eq=False)
class _Band:
    """What one band of a box gives: sums of light (0..65535 a pixel) by block, opaque pixels a block, and points."""

    sums: Floats
    covered: Floats
    codes: Bytes
    x: Floats
    y: Floats


class _Look:
    def __init__(self, photo: Photo, size: int, rows: int, columns: int) -> None:
        self.photo = photo
        self.size = size
        self.columns = columns
        self.rows = rows
        self.starts = np.arange(0, columns * size, size)
        self.table = np.round(photo.space.curves * FULL).astype(np.uint32)
        self.alike = bool((self.table == self.table[0]).all())

    def at(self, band: Box, take: float) -> _Band:
        codes = np.asarray(part(self.photo.image, band))
        opaque = np.asarray(part(self.photo.mask, band)) > 0 if self.photo.mask is not None else None
        rows, used = band[3] // self.rows, self.columns * self.size
        sums = np.empty((rows, self.columns, 3), dtype=np.float64)
        covered = np.full((rows, self.columns), float(self.size * self.rows))
        for i in range(rows):
            block = slice(i * self.rows, (i + 1) * self.rows)
            light = self._light(codes[block, :used])
            if opaque is not None:
                light = light * opaque[block, :used, None]
                covered[i] = opaque[block, :used].sum(axis=0).reshape(self.columns, self.size).sum(axis=1)
            sums[i] = np.add.reduceat(light.sum(axis=0, dtype=np.uint32).reshape(-1, 3), self.starts, axis=0)
        return _Band(sums, covered, *self._points(band, codes, opaque, take))

    def _light(self, codes: Bytes) -> NDArray[np.uint32]:
        if self.alike:
            return np.asarray(np.take(self.table[0], codes, mode="clip"))  # which no code needs, but it is faster
        return np.stack([self.table[c][codes[:, :, c]] for c in range(3)], axis=2)

    def _points(self, band: Box, codes: Bytes, opaque: Bools | None, take: float) -> tuple[Bytes, Floats, Floats]:
        left, top, width, height = band
        everything = height * width
        if take >= 1:
            at = np.arange(everything)
        else:
            at = np.random.default_rng(top).integers(0, everything, max(1, round(everything * take)))
        if opaque is not None:
            at = at[opaque.reshape(-1)[at]]
        x = np.asarray(at % width + left + 0.5, dtype=np.float64)
        y = np.asarray(at // width + top + 0.5, dtype=np.float64)
        return codes.reshape(-1, 3)[at], x, y
