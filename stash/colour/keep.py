"""What the stash keeps of a photograph: a small picture and a thumbnail, made smaller in light, not in codes.

Codes averaged would come out too dark where cloth is finely checked: by up to 26 L* for black and white. Light adds
up, so codes become light, light is averaged over areas, and the mean becomes sRGB codes.
"""

from __future__ import annotations

from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from stash.colour.areas import averaged
from stash.colour.lab import XYZ_TO_RGB
from stash.colour.light import FINE, block_squares, foresee, squares
from stash.colour.space import SRGB, Floats, Photo, RgbSpace, codes_of
from stash.errors import UsageFault
from stash.model import Box

PICTURE = 1000  # px on the long side at most
NEAR_ENOUGH = 750
THUMBNAIL = 128
MARGIN = 0.15  # of the box's side, left round it so that some of the paper is seen
QUALITY = 90

Light = NDArray[np.float32]


def kept(photo: Photo, box: Box | None) -> tuple[bytes, bytes]:
    """The picture and the thumbnail that the stash keeps: JPEG in sRGB with nothing in them but the picture.

    The picture is the box with 15 % of its sides left round it (the whole where box is None), at most 1,000 px on the
    long side; the thumbnail the box alone, at most 128 px. Transparent parts are white. A box reaching out of the
    picture is cut to it; raises UsageFault for one that lies outside.
    """
    inside = _inside(photo, box or (0, 0, photo.width, photo.height))
    region = inside if box is None else _inside(photo, _grown(inside))
    size = _cell_size(max(region[2:]))
    found = squares(photo, region, size)
    light = found.light.astype(np.float32)
    if photo.mask is not None:  # white where there is no picture
        light += (1 - found.covered).astype(np.float32)[:, :, None]
    edges = _edges(region[0], region[2], size), _edges(region[1], region[3], size)
    picture = _smaller(light, edges, _full_cells(region, size), min(PICTURE, max(region[2:]) // size))
    thumbnail = _smaller(light, edges, inside, THUMBNAIL)
    return _jpeg(picture, photo.space), _jpeg(thumbnail, photo.space)


def foresee_whole(photo: Photo) -> None:
    """Before all of a photograph is measured and kept: both in one pass over its pixels."""
    whole = (0, 0, photo.width, photo.height)
    foresee(photo, (block_squares(whole, FINE), (whole, _cell_size(max(whole[2:])))))


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


def _edges(start: int, length: int, size: int) -> Floats:
    return np.append(np.arange(start, start + length, size), start + length).astype(np.float64)


def _smaller(light: Light, edges: tuple[Floats, Floats], part: Box, side: int) -> Light:
    """Mean light of a part of the cells, as many pixels as it is large or `side` on its long side. `edges` are those of
    the cells across and down, in pixels of the photograph."""
    x, y, width, height = part
    scale = min(1.0, side / max(width, height))
    columns, rows = max(1, round(width * scale)), max(1, round(height * scale))
    down = averaged(light, edges[1], np.linspace(y, y + height, rows + 1), axis=0)
    return averaged(down, edges[0], np.linspace(x, x + width, columns + 1), axis=1)


def _jpeg(light: Light, space: RgbSpace) -> bytes:
    """Light of a space as JPEG in sRGB; what lies outside sRGB is cut off channel by channel."""
    if space.to_xyz is not SRGB.to_xyz:
        light = light @ (np.array(XYZ_TO_RGB) @ space.to_xyz).T.astype(np.float32)
    codes = codes_of(np.clip(light, 0, 1))
    file = BytesIO()
    Image.fromarray(codes).save(file, "JPEG", quality=QUALITY, subsampling=0)
    return file.getvalue()
