"""What to say once before a star is cut: washing, dyes, the cutter, and cloth to keep uncut."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stash.colour.lab import hue_word
from stash.model import Colour, Colouring, Fabric, Star
from stash.sheets.keep_uncut import QuiltParts, kept_uncut
from stash.wording import listed

BLEEDING = ("red", "pink", "purple", "blue")  # hues whose dyes are known to bleed (common practice, no source)
DULL, DARK, BLACK = 20.0, 50.0, 25.0  # C* over which a hue counts; L* under which it, and any cloth at all, does
CUTTER = (
    "Rotary cutter: close the guard after every cut, cut away from the body, fingers off the ruler's edge, shoes on; "
    "change dull blades and keep it from children. Your local rules come first."
)


def cautions(
    star: Star, colouring: Colouring, fabrics: Mapping[str, Fabric], parts: QuiltParts
) -> tuple[str, ...]:
    """Sentences for the head of a cutting page, most urgent first. `fabrics` by name."""
    names = [name for letter in star.letters for name in colouring.uses.get(letter, ())]
    names += colouring.parts.values()
    used = [fabrics[name] for name in dict.fromkeys(names) if name in fabrics]
    return (*_bleeding(used), *_washing(used), CUTTER, *kept_uncut(star, colouring, parts, fabrics))


def may_bleed(colour: Colour) -> bool:
    """Reds, deep pinks, purples and blues of some depth, and anything nearly black (common practice, no source)."""
    return colour.L < BLACK or (colour.L < DARK and colour.chroma >= DULL and hue_word(colour) in BLEEDING)


def _bleeding(used: Sequence[Fabric]) -> list[str]:
    names = [fabric.name for fabric in used if fabric.colour is not None and may_bleed(fabric.colour)]
    if not names:
        return []
    return [f"{listed(names)} may bleed: test a swatch in warm soapy water before you cut."]


def _washing(used: Sequence[Fabric]) -> list[str]:
    washed = [fabric.name for fabric in used if fabric.washed]
    if not washed or len(washed) == len(used):
        return []
    verb = "is" if len(washed) == 1 else "are"
    return [f"{listed(washed)} {verb} washed and the others are not: wash these too, or they shrink apart."]
