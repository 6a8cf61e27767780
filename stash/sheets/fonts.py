"""The free font that pages and pictures are set in, and what it cannot print.

DejaVu Sans covers Latin, Greek, Cyrillic, Armenian, Georgian, Hebrew and Arabic letters and the signs used here; its
licence stands beside it. A letter it has not is printed as an empty box, and said.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from PIL.ImageFont import FreeTypeFont

FILE = Path(__file__).with_name("font") / "DejaVuSans.ttf"
PAGE_FONT = "DejaVuSans"
NO_LETTER = "□"


@lru_cache(maxsize=8)
def picture_font(size: int) -> FreeTypeFont:
    """The font for a picture, `size` in pixels."""
    from PIL import ImageFont

    return ImageFont.truetype(str(FILE), size)


@lru_cache(maxsize=1)
def page_font() -> Any:
    """The font for pages, known to reportlab under `PAGE_FONT`."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    font = TTFont(PAGE_FONT, str(FILE))
    pdfmetrics.registerFont(font)
    return font


def printable(text: str) -> str:
    """The text as the font can print it: one line, an empty box for each letter that it has not."""
    known = page_font().face.charToGlyph
    return "".join(c if ord(c) in known else NO_LETTER for c in " ".join(text.split()))


def unprintable(text: str) -> str:
    """The letters of a text that the font has not, each once."""
    known = page_font().face.charToGlyph
    return "".join(dict.fromkeys(c for c in text if not c.isspace() and ord(c) not in known))


def text_width(text: str, size: float) -> float:
    """Points that a line takes."""
    from reportlab.pdfbase import pdfmetrics

    page_font()
    return float(pdfmetrics.stringWidth(text, PAGE_FONT, size))
