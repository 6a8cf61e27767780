"""Several pictures on one, with their names below."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stash.errors import UsageFault
from stash.sheets.fonts import write_on

if TYPE_CHECKING:
    from PIL.Image import Image

COLUMNS, GAP = 3, 16
MOST = 100_000_000  # pixels of a sheet: 300 MB while it is drawn


def contact_sheet(pictures: Sequence[tuple[str, Image]], columns: int = COLUMNS) -> Image:
    """Several pictures on one with their names below, as many in a row as `columns`.

    Raises UsageFault where that is too large a picture.
    """
    from PIL import Image, ImageDraw

    wide, high = (max(picture.size[side] for _, picture in pictures) for side in (0, 1))
    line = max(14, wide // 24)
    size, across = sheet_size(len(pictures), wide, high, columns)
    sheet = Image.new("RGB", size, "white")
    draw = ImageDraw.Draw(sheet)
    for place, (name, picture) in enumerate(pictures):
        left = GAP + (place % across) * (wide + GAP)
        top = GAP + (place // across) * (high + GAP + 2 * line)
        sheet.paste(picture, (left, top))
        write_on(draw, (left, top + high + line // 3), name, line, wide)
    return sheet


def sheet_size(count: int, wide: int, high: int, columns: int = COLUMNS) -> tuple[tuple[int, int], int]:
    """Width and height of a sheet of `count` pictures of so many pixels, and how many stand in a row.

    Raises UsageFault where that is too large a picture.
    """
    line = max(14, wide // 24)
    across = min(columns, count)
    size = across * (wide + GAP) + GAP, -(-count // across) * (high + GAP + 2 * line) + GAP
    if size[0] * size[1] > MOST:
        said = f"{count} pictures side by side would be {size[0]} x {size[1]} pixels"
        raise UsageFault(f"{said}, too many for one picture", do="draw them smaller, with --pixels")
    return size, across
