"""Light of a photograph: means of a box from its histogram, means of squares, and single pixels.

Light adds up, codes do not: a check of black and white has a mean of codes that is far too dark. So codes become
light before anything is averaged.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from stash.colour.space import Floats, Photo
from stash.model import Box

T = TypeVar("T")
Bytes = NDArray[np.uint8]
Bools = NDArray[np.bool_]

FINE = 256  # blocks on the short side, for the colour and palette of cloth
STRIP = 262_144  # pixels turned into light at once: they stay in the processor's cache
MOST_BLOCKS = 200_000  # of a long, narrow picture
SAMPLE, SAMPLED_ROWS = 50_000, 125  # pixels looked at one by one, and in how many rows at most

threads = 2  # that work at a photograph; one where every core has photographs of its own


@dataclass(frozen=True, slots=True, eq=False)
class Squares:
    """Mean light of squares of a region, shape (rows, columns, 3), each channel's own light 0..1, where transparent
    pixels count as dark; `covered`, shape (rows, columns), is the share that is not transparent. Squares at the right
    and lower edge may be narrower."""

    light: Floats
    covered: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Blocks:
    """Mean light of whole squares of a box, shape (rows, columns, 3), of what is not transparent.

    `x` (columns) and `y` (rows) are the squares' centres in pixels of the picture. `there` is False for squares that
    are transparent for half or more.
    """

    light: Floats
    x: Floats
    y: Floats
    size: int
    there: Bools


@dataclass(frozen=True, slots=True, eq=False)
class Points:
    """Single opaque pixels taken at random, the same ones each time: `codes` shape (n, 3), `x` and `y` in the
    picture."""

    codes: Bytes
    x: Floats
    y: Floats


def whole(photo: Photo) -> Box:
    """The box of the whole picture."""
    return (0, 0, photo.width, photo.height)


def part(image: Image.Image, box: Box) -> Image.Image:
    """The part of a picture inside a box; the picture itself where that is all of it."""
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


def squares(photo: Photo, region: Box, size: int) -> Squares:
    """Mean light of squares of `size` pixels."""
    known = photo.known.pop((region, size), None)
    return known if known is not None else _squares(photo, ((region, size),))[0]


def foresee(photo: Photo, wanted: Sequence[tuple[Box, int]]) -> None:
    """Work out the squares of several regions and sizes that will be asked for, where one pass over the pixels serves
    them all: turning codes into light takes longer than averaging it. The regions begin at the same pixel."""
    rows = math.lcm(*(size for _, size in wanted))
    if rows * max(region[2] for region, _ in wanted) <= 2 * STRIP:
        photo.known.update(zip(wanted, _squares(photo, wanted), strict=True))


def _squares(photo: Photo, wanted: Sequence[tuple[Box, int]]) -> list[Squares]:
    """Strip by strip. A strip is whole rows of squares of each size."""
    (x, y, _, _), _ = wanted[0]
    width, height = (max(region[side] for region, _ in wanted) for side in (2, 3))
    tables = [[float(light) for light in curve] for curve in photo.space.curves]
    step = math.lcm(*(size for _, size in wanted))
    rows = max(1, STRIP // (step * width)) * step

    def strip(top: int) -> list[tuple[Floats, Floats]]:
        place = (x, top, width, min(rows, y + height - top))
        mask = None if photo.mask is None else part(photo.mask, place)
        channels = zip(part(photo.image, place).split(), tables, strict=True)
        bands = [_light(channel, table, mask) for channel, table in channels]
        cover = None if mask is None else mask.convert("F")
        return [_means(bands, cover, (region[2], y + region[3] - top), size) for region, size in wanted]

    strips = _each(strip, range(y, y + height, rows))
    return [Squares(*map(np.concatenate, zip(*each, strict=True))) for each in zip(*strips, strict=True)]


def _each(act: Callable[[int], T], tops: Sequence[int]) -> list[T]:
    """Side by side: Pillow lets other threads run meanwhile."""
    if threads < 2:
        return list(map(act, tops))
    with ThreadPoolExecutor(threads) as pool:
        return list(pool.map(act, tops))


def _means(
    bands: Sequence[Image.Image], cover: Image.Image | None, room: tuple[int, int], size: int
) -> tuple[Floats, Floats]:
    """Means of the part of a strip that lies within `room`, its width and the height that is left of the region."""
    width, height = room[0], min(room[1], bands[0].height)
    if height <= 0:
        return np.zeros((0, -(-width // size), 3)), np.zeros((0, -(-width // size)))
    box = (0, 0, width, height)
    light = np.stack([np.asarray(band.reduce(size, box), dtype=np.float64) for band in bands], axis=-1)
    covered = np.ones(light.shape[:2]) if cover is None else np.asarray(cover.reduce(size, box)) / 255
    return light, np.asarray(covered, dtype=np.float64)


def _light(band: Image.Image, table: list[float], mask: Image.Image | None) -> Image.Image:
    """The light of each code of a channel, nothing where the picture is transparent."""
    light = band.point(table, "F")
    return light if mask is None else Image.composite(light, Image.new("F", light.size, 0.0), mask)


def blocks(photo: Photo, box: Box, least: int) -> Blocks:
    """Means of squares so large that the short side still has `least` of them (fewer in a small picture), and that
    there are not too many."""
    x, y, width, height = box
    region, size = block_squares(box, least)
    rows, columns = height // size, width // size
    found = squares(photo, region, size)
    light = found.light / np.maximum(found.covered, 1e-9)[:, :, None]
    return Blocks(light, _centres(x, columns, size), _centres(y, rows, size), size, found.covered > 0.5)


def block_squares(box: Box, least: int) -> tuple[Box, int]:
    """The region and size of the squares that `blocks` asks for."""
    x, y, width, height = box
    short = min(height, width)
    size = min(short, max(1, short // least, math.ceil(math.sqrt(height * width / MOST_BLOCKS))))
    return (x, y, width // size * size, height // size * size), size


def sampled_blocks(photo: Photo, box: Box, least: int) -> Blocks:
    """As `blocks`, from a grid of single pixels, about three a square each way: where rough means will do.

    Their distance is odd, so that they do not keep step with a check of two pixels.
    """
    x, y, width, height = box
    step = max(1, min(width, height) // (3 * least) - 1) | 1
    columns, rows = width // step, height // step

    def grid(image: Image.Image) -> Image.Image:
        return part(image, (x, y, columns * step, rows * step)).resize((columns, rows), Image.Resampling.NEAREST)

    few = replace(photo, image=grid(photo.image), mask=None if photo.mask is None else grid(photo.mask))
    found = blocks(few, whole(few), least)
    return replace(found, x=found.x * step + x, y=found.y * step + y, size=found.size * step)


def _centres(start: int, count: int, size: int) -> Floats:
    return np.asarray((np.arange(count) + 0.5) * size + start, dtype=np.float64)


def points(photo: Photo, box: Box) -> Points:
    """Single pixels of a box: all of a small one, else random columns of random rows, as every second pixel of a fine
    check is always the same colour."""
    x, y, width, height = box
    if width * height <= SAMPLE:
        return _joined([_picked(photo, box, np.arange(width * height))])
    chance = np.random.default_rng(0)
    rows = np.sort(chance.permutation(height)[:SAMPLED_ROWS]).tolist()
    each = math.ceil(SAMPLE / len(rows))
    return _joined([_picked(photo, (x, y + row, width, 1), chance.integers(0, width, each)) for row in rows])


def _picked(photo: Photo, box: Box, at: NDArray[np.int64]) -> Points:
    """The opaque ones among the pixels of a box at these places, counted row by row."""
    x, y, width, _ = box
    if photo.mask is not None:
        at = at[np.asarray(part(photo.mask, box)).reshape(-1)[at] > 0]
    codes = np.asarray(part(photo.image, box)).reshape(-1, 3)[at]
    return Points(codes, _middle(at % width + x), _middle(at // width + y))


def _middle(pixels: NDArray[np.int64]) -> Floats:
    return np.asarray(pixels + 0.5, dtype=np.float64)


def _joined(picked: list[Points]) -> Points:
    codes, x, y = ([getattr(one, name) for one in picked] for name in ("codes", "x", "y"))
    return Points(np.concatenate(codes), np.concatenate(x), np.concatenate(y))
