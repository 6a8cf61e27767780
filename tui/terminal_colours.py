"""A fabric's colour as the terminal can show it: as it is in 24-bit colour, else the nearest of 240 fixed ones.

Every chip, chart, star and picture takes its colours through `shown`. In a terminal of 256 colours the first 16 are
whatever the user's theme makes of them, so only the 6 x 6 x 6 cube and the 24 greys after them are used.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from rich.color import Color, ColorType
from rich.color_triplet import ColorTriplet
from rich.style import Style
from textual.app import App

from stash.colour.lab import delta_e_2000, lab_from_hex, lab_from_srgb8, label_on

TRUE, FEW, NONE = "truecolor", "256", ""
"""What a terminal can do: 24-bit colour, 256 colours, too few to show a fabric."""

FIRST = 16  # the first colour that is the same in every terminal
LEVELS = (0, 95, 135, 175, 215, 255)
VALUE_COUNTS = 0.5  # kL: a wrong value misleads more than a wrong hue, so it weighs double

FIXED: tuple[tuple[int, int, int], ...] = (
    *((red, green, blue) for red in LEVELS for green in LEVELS for blue in LEVELS),
    *((level, level, level) for level in range(8, 248, 10)),
)
"""sRGB codes of colours 16 to 255 as xterm has them."""


def colours_of(app: App[Any]) -> str:
    """TRUE, FEW or NONE. In 16 colours, or where the user wants none, a chip would mislead."""
    system = app.console.color_system
    return system if system in (TRUE, FEW) and not app.no_color else NONE


@lru_cache(maxsize=1)
def _fixed_labs() -> tuple[Any, ...]:
    return tuple(lab_from_srgb8(*codes) for codes in FIXED)


@lru_cache(maxsize=20_000)
def nearest(code: str) -> int:
    """The number, 16 to 255, of the fixed colour nearest to #rrggbb by CIEDE2000 with kL = 0.5."""
    differences = delta_e_2000(lab_from_hex(code), _fixed_labs(), kL=VALUE_COUNTS)
    return FIRST + differences.index(min(differences))


@lru_cache(maxsize=20_000)
def shown(code: str, colours: str) -> Color:
    """The colour #rrggbb as a terminal of these `colours` (TRUE or FEW) shows it."""
    if colours == TRUE:
        return Color.parse(code)
    number = nearest(code)
    # With its triplet beside the number it passes through the screen's filters as it is.
    return Color(code, ColorType.EIGHT_BIT, number, ColorTriplet(*FIXED[number - FIRST]))


@lru_cache(maxsize=20_000)
def label_for(code: str, colours: str) -> str:
    """Black or white, whichever reads on what is shown of #rrggbb."""
    if colours == TRUE:
        return label_on(lab_from_hex(code).L)
    return label_on(lab_from_srgb8(*FIXED[nearest(code) - FIRST]).L)


@lru_cache(maxsize=20_000)
def label_style(code: str, colours: str, bold: bool = False) -> Style:
    """The style of words on a patch of #rrggbb."""
    return Style(color=shown(label_for(code, colours), colours), bgcolor=shown(code, colours), bold=bold)
