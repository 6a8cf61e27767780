"""A colour as it is typed: a plain word, a value alone, L*, a*, b*, or a code."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from functools import cache

from stash.colour.lab import HUES, lab_from_hex, light_from_lab
from stash.colour.words import colour_words
from stash.errors import UsageFault
from stash.lengths import shown
from stash.model import Colour

COLOUR_HINT = "light yellow, a value such as 85, or #7a4b2c"
_NUMBER = re.compile(r"[+-]?(?:[0-9]{1,3}(?:\.[0-9]{0,6})?|\.[0-9]{1,6})", re.ASCII)
_CODE = re.compile(r"[0-9a-f]{6}", re.ASCII | re.IGNORECASE)
LONGEST = 60  # characters


def read_colour(text: str) -> Colour:
    """The colour that `light yellow`, `85` (a value alone: a grey), `62 10 -4` or `#7a4b2c` says, as typed.

    A word is taken for the middle of what `colour_words` calls so. Raises UsageFault for anything else.
    """
    parts = [part for part in re.split(r"[\s,;]+", text.strip()[: LONGEST + 1]) if part]
    if len(text.strip()) > LONGEST:
        raise UsageFault(f'"{shown(text)}" is no colour', do=f"Write it like {COLOUR_HINT}")
    numbers = [float(part) for part in parts if _NUMBER.fullmatch(part)]
    if len(numbers) == len(parts) and len(numbers) in (1, 3):
        return _of_numbers(text, numbers)
    named = _middles().get(_plain(parts))
    if named is not None:
        return named
    if "#" in text or _CODE.fullmatch(text.strip()) or any(sign.isdigit() for sign in text):
        return _of_code(text)
    raise UsageFault(f'"{shown(text)}" is no colour', do=_nearest_words(parts))


def _of_numbers(text: str, numbers: list[float]) -> Colour:
    lightness, a, b = (numbers[0], 0.0, 0.0) if len(numbers) == 1 else numbers
    if not (0 <= lightness <= 100 and -128 <= a <= 128 and -128 <= b <= 128):
        raise UsageFault(f'"{shown(text)}" is no colour', do="L* runs from 0 to 100, a* and b* from -128 to 128")
    return Colour(lightness + 0.0, a + 0.0, b + 0.0)  # -0 is 0


def _of_code(text: str) -> Colour:
    try:
        return lab_from_hex(text)
    except UsageFault as fault:
        raise UsageFault(fault.what, do=f"Write it like {COLOUR_HINT}") from None


def _plain(parts: list[str]) -> str:
    """Words as `colour_words` writes them: a hue alone is a medium one, and so is grey."""
    words = " ".join(parts).casefold().replace("gray", "grey")
    return f"medium {words}" if words in HUES or words == "grey" else words


def _nearest_words(parts: list[str]) -> str:
    """What to type in place of words that name no colour: those there are of the hue that was meant."""
    hue = next((word for word in _plain(parts).split() if word in HUES or word in ("brown", "grey", "olive")), "")
    known = [words for words in sorted(_middles()) if hue and words.endswith(hue)]
    return f"Write {', '.join(known)}" if known else f"Write it like {COLOUR_HINT}"


@cache
def _middles() -> dict[str, Colour]:
    """For each name of a colour the one nearest to the mean of all that a screen can show and that are called so,
    out of a lattice of L* in steps of 5, C* in steps of 8 and hues every 15 degrees."""
    called: defaultdict[str, list[Colour]] = defaultdict(list)
    for L in range(5, 100, 5):
        for chroma in range(0, 89, 8):
            for degrees in range(0, 360, 15) if chroma else (0,):
                turn = math.radians(degrees)
                colour = Colour(float(L), round(chroma * math.cos(turn), 1), round(chroma * math.sin(turn), 1))
                if all(-0.001 <= light <= 1.001 for light in light_from_lab(colour)):
                    called[colour_words(colour)].append(colour)
    return {words: _middle(colours) for words, colours in called.items()}


def _middle(colours: list[Colour]) -> Colour:
    mean = [sum(part) / len(colours) for part in zip(*((one.L, one.a, one.b) for one in colours), strict=True)]
    return min(colours, key=lambda one: math.dist((one.L, one.a, one.b), mean))
