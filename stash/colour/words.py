"""Plain words for a colour, as one would call a fabric, and for how varied a cloth is.

The limits are our own, set on L*, C* and the variety so that a quilter's word falls where one would say it; none are
published.
"""

from __future__ import annotations

from stash.colour.lab import NEUTRAL, hue_degrees, hue_word
from stash.model import Colour

VERY_DARK, DARK, LIGHT, PALE = 20.0, 40.0, 70.0, 75.0  # L*
DUSTY, BRIGHT = 25.0, 60.0  # C*

_VARIETY = ((3.0, "solid"), (8.0, "reads as solid"), (15.0, "print"))


def variety_word(variety: float) -> str:
    """What a variety (expected CIEDE2000 of two random points) looks like: solid to busy."""
    return next((word for limit, word in _VARIETY if variety < limit), "busy")


def colour_words(colour: Colour) -> str:
    """A plain name of one to three words: "cream", "dusty pink", "very dark blue"."""
    if colour.chroma < NEUTRAL:
        return _neutral(colour)
    return _brown(colour) or _hued(colour)


def _neutral(colour: Colour) -> str:
    """Whites, greys and blacks, and what is hardly more than warm grey."""
    L = colour.L
    warm = colour.b >= 4 and colour.b > abs(colour.a)
    if L >= 85 and warm:
        return "cream"
    if L >= 90:
        return "white"
    if warm and colour.chroma >= 7 and L >= 25:
        return "beige" if L >= 65 else "grey brown"
    if L < VERY_DARK:
        return "black"
    return "charcoal" if L < 35 else "dark grey" if L < 45 else "medium grey" if L < LIGHT else "light grey"


def _brown(colour: Colour) -> str:
    """The words for dark or dull reds, oranges and yellows that nobody calls by those names; "" for others."""
    L, chroma, hue = colour.L, colour.chroma, hue_degrees(colour)
    if 60 <= hue <= 105 and L >= 82 and chroma < DUSTY:
        return "cream"
    if 60 <= hue <= 105 and L >= 65 and chroma < 18:
        return "beige"
    if 90 < hue <= 118 and L < 66 and chroma < 62:
        return "olive" if L >= DARK else "dark olive"
    if not 38 <= hue <= 90:
        return ""
    if L < 58 and chroma < (55 if L < 50 else 40):
        return "dark brown" if L < 32 else "brown"
    return "tan" if hue >= 50 and L < 82 and chroma < 35 else ""


def _hued(colour: Colour) -> str:
    """A hue and one word before it: how dark or light, or how dull or bright."""
    L, chroma, hue = colour.L, colour.chroma, _hue(colour)
    if L < DARK:
        return f"{'very dark' if L < VERY_DARK else 'dark'} {hue}"
    if L >= PALE and chroma < 30:
        return f"pale {hue}"
    if chroma < DUSTY:
        return f"dusty {hue}"
    if chroma >= BRIGHT:
        return f"bright {hue}"
    return f"{'light' if L >= LIGHT else 'medium'} {hue}"


def _hue(colour: Colour) -> str:
    """The word for the hue, where the words for light and dark reds and for deep blues differ from the angle's."""
    word, hue = hue_word(colour), hue_degrees(colour)
    if word == "red" and (colour.L >= 65 or (colour.L >= 58 and colour.chroma < 55)):
        return "pink"  # nobody says light red
    if word == "pink" and colour.L < DARK:
        return "red" if hue < 90 or hue > 352 else "purple"
    if word == "purple" and colour.L < DARK and (hue < 298 or (hue < 308 and colour.chroma >= 45)):
        return "blue"  # L*a*b* bends deep blues towards purple
    if word == "teal" and hue >= 215 and colour.L >= 60:
        return "blue"  # teal is a deep colour; this is sky
    return word
