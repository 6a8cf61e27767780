"""Lines in the order in which they are seen: Hebrew and Arabic run from right to left, and Arabic letters join.

Pages here are in English, so every line runs from left to right as a whole, and a name from right to left within it.
"""

from __future__ import annotations

import re
import unicodedata

MARK = "\N{LEFT-TO-RIGHT MARK}"
LEFTWARDS = re.compile(r"[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufeff]")
RIGHTWARDS = re.compile(r"[^\W\d_]")


def as_seen(text: str) -> str:
    """The letters of a line from left to right, in the forms they are written in.

    Source: Unicode Standard Annex 9, with a mark after each part that runs leftwards: else the number after a name
    ("Moss: 4 strips") would be taken for a part of the name.
    """
    if not LEFTWARDS.search(text):
        return text
    import arabic_reshaper
    from bidi import get_display

    seen = get_display(arabic_reshaper.reshape(_marked(text)), base_dir="L")
    return str(seen).replace(MARK, "")


def _marked(text: str) -> str:
    """A mark after the last leftward letter before each rightward one, and after the last of all."""
    parts: list[str] = []
    since = ""  # what came after the last leftward letter
    open_part = False
    for c in text:
        leftward = bool(LEFTWARDS.match(c))
        if leftward or (open_part and unicodedata.combining(c)):
            parts += [since, c]
            since, open_part = "", True
        elif open_part and RIGHTWARDS.match(c):
            parts += [MARK, since, c]
            since, open_part = "", False
        else:
            since += c
    return "".join([*parts, MARK if open_part else "", since])
