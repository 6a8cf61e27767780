"""The free font that pages and pictures are set in, and what it cannot print.

DejaVu Sans covers Latin, Greek, Cyrillic, Armenian, Georgian, Hebrew and Arabic letters and the signs used here; its
licence stands beside it. Letters it has not are printed as a box, and said.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.ImageFont import FreeTypeFont

FOLDER = Path(__file__).with_name("font")
REGULAR, BOLD = "DejaVuSans.ttf", "DejaVuSans-Bold.ttf"


@lru_cache(maxsize=8)
def picture_font(size: int) -> FreeTypeFont:
    """The font for a picture, `size` in pixels."""
    from PIL import ImageFont

    return ImageFont.truetype(str(FOLDER / REGULAR), size)
