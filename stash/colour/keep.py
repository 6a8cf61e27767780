"""What the stash keeps of a photograph: a small picture and a thumbnail, made smaller in light, not in codes.

Codes averaged would come out too dark where cloth is finely checked: by up to 26 L* for black and white. Light adds
up, so codes become light, light is averaged over areas, and the mean becomes sRGB codes.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from stash.colour.lab import XYZ_TO_RGB
from stash.colour.space import SRGB, Floats, Photo, RgbSpace
from stash.errors import UsageFault
from stash.model import Box

PICTURE = 1000  # px on the long side at most
NEAR_ENOUGH = 750
THUMBNAIL = 128
MARGIN = 0.15  # of the box's side, left round it so that some of the paper is seen
QUALITY = 90
STRIP = 262_144  # pixels turned into light at once: they stay in the processor's cache

Light = NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class _Cells:
    """Mean light of cells of a photograph, shape (rows, columns, 3). `xs` (columns + 1) and `ys` (rows + 1) are the
    cells' edges in pixels of the photograph."""

    light: Light
    xs: Floats
    ys: Floats


def kept(photo: Photo, box: Box | None) -> tuple[bytes, bytes]:
    """The picture and the thumbnail that the stash keeps: JPEG in sRGB with nothing in them but the picture.

    The picture is the box with 15 % of its sides left round it (the whole where box is None), at most 1,000 px on the
    long side; the thumbnail the box alone, at most 128 px. Transparent parts are white. A box reaching out of the
    picture is cut to it; raises UsageFault for one that lies outside.
    """
    inside = _inside(photo, box or (0, 0, photo.width, photo.height))
    region = inside if box is None else _inside(photo, _grown(inside))
    size = _cell_size(max(region[2:]))
    cells = _cells(photo, region, size)
    picture = _smaller(cells, _full_cells(region, size), min(PICTURE, max(region[2:]) // size))
    thumbnail = _smaller(cells, inside, THUMBNAIL)
    return _jpeg(picture, photo.space), _jpeg(thumbnail, photo.space)


def _inside(photo: Photo, box: Box) -> Box:
    """The part of a box that lies in the picture."""
    left, top = max(0, box[0]), max(0, box[1])
    right, bottom = min(photo.width, box[0] + box[2]), min(photo.height, box[1] + box[3])
    if right <= left or bottom <= top:
        raise UsageFault("the box lies outside the picture", where=photo.name, do="draw it on the cloth")
    return left, top, right - left, bottom - top


def _grown(box: Box) -> Box:
    x, y, width, height = box
    across, down = round(MARGIN * width), round(MARGIN * height)
    return x - across, y - down, width + 2 * across, height + 2 * down


def _cell_size(longest: int) -> int:
    """Pixels a side of a cell. Where cells alone come near enough to the size wanted, no second averaging is needed."""
    size = max(1, -(-longest // PICTURE))
    return size if longest // size >= NEAR_ENOUGH else max(1, longest // PICTURE)


def _full_cells(region: Box, size: int) -> Box:
    """A region without the narrower cells at its right and lower edge, which would look like the others."""
    x, y, width, height = region
    return x, y, width - width % size or width, height - height % size or height


def _cells(photo: Photo, region: Box, size: int) -> _Cells:
    """Mean light of squares of `size` pixels; those at the right and lower edge may be narrower."""
    x, y, width, height = region
    table = [[float(light) for light in curve] for curve in photo.space.curves]
    rows = max(1, STRIP // (size * width)) * size

    def strip(top: int) -> Light:
        bands = _opaque(photo, (x, top, x + width, min(y + height, top + rows))).split()
        return np.stack([np.asarray(b.point(t, "F").reduce(size)) for b, t in zip(bands, table, strict=True)], axis=-1)

    with ThreadPoolExecutor(2) as threads:  # Pillow lets other threads run in both steps
        strips = list(threads.map(strip, range(y, y + height, rows)))
    return _Cells(np.concatenate(strips), _edges(x, width, size), _edges(y, height, size))


def _opaque(photo: Photo, place: tuple[int, int, int, int]) -> Image.Image:
    """A part of the picture, white where there is none."""
    image = photo.image.crop(place)
    if photo.mask is not None:
        image = Image.composite(image, Image.new("RGB", image.size, "white"), photo.mask.crop(place))
    return image


def _edges(start: int, length: int, size: int) -> Floats:
    return np.append(np.arange(start, start + length, size), start + length).astype(np.float64)


def _smaller(cells: _Cells, part: Box, side: int) -> Light:
    """Mean light of a part of the cells, as many pixels as it is large or `side` on its long side."""
    x, y, width, height = part
    scale = min(1.0, side / max(width, height))
    columns, rows = max(1, round(width * scale)), max(1, round(height * scale))
    down = _averaged(cells.light, cells.ys, np.linspace(y, y + height, rows + 1), axis=0)
    return _averaged(down, cells.xs, np.linspace(x, x + width, columns + 1), axis=1)


def _averaged(light: Light, edges: Floats, wanted: Floats, axis: int) -> Light:
    """The mean between each two `wanted` edges, by how much of each cell lies between them."""
    if np.array_equal(edges[: len(wanted)], wanted):  # each cell is a pixel
        return light[: len(wanted) - 1] if axis == 0 else light[:, : len(wanted) - 1]
    first = np.searchsorted(edges, wanted[:-1], side="right") - 1
    last = np.searchsorted(edges, wanted[1:], side="left")  # one past
    shape = [1, 1, 1]
    shape[axis] = len(first)
    total: Light = np.zeros([len(first) if k == axis else n for k, n in enumerate(light.shape)], dtype=np.float32)
    for step in range(int((last - first).max())):
        cell = np.minimum(first + step, len(edges) - 2)
        overlap = np.minimum(edges[cell + 1], wanted[1:]) - np.maximum(edges[cell], wanted[:-1])
        weight = np.where(first + step < last, np.maximum(overlap, 0), 0) / np.diff(wanted)
        total += light.take(cell, axis=axis) * weight.astype(np.float32).reshape(shape)
    return total


@cache
def _codes() -> NDArray[np.uint8]:
    """The sRGB code of each light 0..65535, IEC 61966-2-1."""
    light = np.arange(65536) / 65535
    code = np.where(light <= 0.0031308, light * 12.92, 1.055 * light ** (1 / 2.4) - 0.055)
    codes: NDArray[np.uint8] = np.rint(code * 255).astype(np.uint8)
    return codes


def _jpeg(light: Light, space: RgbSpace) -> bytes:
    """Light of a space as JPEG in sRGB; what lies outside sRGB is cut off channel by channel."""
    if space.to_xyz is not SRGB.to_xyz:
        light = light @ (np.array(XYZ_TO_RGB) @ space.to_xyz).T.astype(np.float32)
    codes = _codes()[np.rint(np.clip(light, 0, 1) * 65535).astype(np.uint16)]
    file = BytesIO()
    Image.fromarray(codes).save(file, "JPEG", quality=QUALITY, subsampling=0)
    return file.getvalue()
