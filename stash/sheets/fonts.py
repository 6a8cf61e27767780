"""The free fonts that pages and pictures are set in, and what they cannot print.

DejaVu Sans has Latin, Greek, Cyrillic, Armenian, Georgian, Hebrew, Arabic and Lao letters and the signs used here, Noto
Sans Thai the Thai ones, Droid Sans Fallback Chinese characters, kana and Hangul; the licences stand beside them. Each
letter is set in the first font that has it. One that none of them has is printed as an empty box, and said: scripts
whose letters change with their neighbours (those of India, say) are among these, for set letter by letter they would
read wrong.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterator
from functools import lru_cache
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stash.sheets.direction import as_seen

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw
    from PIL.ImageFont import FreeTypeFont

FOLDER = Path(__file__).with_name("font")
PAGE_FONT = "DejaVuSans"
FONTS = (PAGE_FONT, "NotoSansThai", "DroidSansFallback")  # the order in which a letter is looked for
NO_LETTER = "□"


@lru_cache(maxsize=24)
def picture_font(size: int, name: str = PAGE_FONT) -> FreeTypeFont:
    """A font for a picture, `size` in pixels."""
    from PIL import ImageFont

    return ImageFont.truetype(str(FOLDER / f"{name}.ttf"), size, layout_engine=ImageFont.Layout.BASIC)


@lru_cache(maxsize=len(FONTS))
def page_font(name: str = PAGE_FONT) -> Any:
    """A font for pages, known to reportlab under its name."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    font = TTFont(name, str(FOLDER / f"{name}.ttf"))
    pdfmetrics.registerFont(font)
    return font


def printable(text: str) -> str:
    """The text as the fonts can print it: one line, an empty box for each letter that none of them has."""
    seen = (c for c in unicodedata.normalize("NFC", text) if not _unseen(c))
    return "".join(c if _font_of(c) else NO_LETTER for c in " ".join("".join(seen).split()))


def unprintable(text: str) -> str:
    """The letters of a text that no font has, each once."""
    line = unicodedata.normalize("NFC", text)
    return "".join(dict.fromkeys(c for c in line if not c.isspace() and not _unseen(c) and not _font_of(c)))


def _unseen(c: str) -> bool:
    """Signs that only steer how others are shown: joiners, marks of direction, variants."""
    return unicodedata.category(c) == "Cf" or "\ufe00" <= c <= "\ufe0f"


@lru_cache(maxsize=4096)
def _font_of(c: str) -> str | None:
    """The first font that has a letter. A large one is only opened for a letter that those before it have not."""
    return next((name for name in FONTS if ord(c) in page_font(name).face.charToGlyph), None)


def runs(text: str) -> Iterator[tuple[str, str]]:
    """A printable line as it is seen from left to right, cut into parts of one font each: the font, the part."""
    for name, part in groupby(as_seen(text), key=lambda c: _font_of(c) or PAGE_FONT):
        yield name, "".join(part)


def text_width(text: str, size: float) -> float:
    """Points that a line takes."""
    from reportlab.pdfbase import pdfmetrics

    return sum(float(pdfmetrics.stringWidth(part, page_font(name).fontName, size)) for name, part in runs(text))


def shortened(text: str, most: float, width: Callable[[str], float]) -> str:
    """The text itself where it is no wider than `most`, else as much of its beginning as fits, with an ellipsis."""
    while text and width(text) > most:
        text = f"{text[:-2].rstrip()}…" if len(text) > 1 else ""
    return text


def write_on(draw: ImageDraw, place: tuple[float, float], text: str, size: int, most: float) -> None:
    """One line on a picture, in black, from `place` (its upper left corner) on; cut off at `most` pixels."""
    x, y = place
    for name, part in runs(shortened(printable(text), most, lambda line: picture_width(line, size))):
        font = picture_font(size, name)
        draw.text((x, y + size), part, fill="black", font=font, anchor="ls")
        x += font.getlength(part)


def picture_width(text: str, size: int) -> float:
    """Pixels that a line takes on a picture."""
    return sum(picture_font(size, name).getlength(part) for name, part in runs(text))
