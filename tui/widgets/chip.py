"""A chip: a little patch of a fabric's colour, in 24-bit colour or in the true grey of its value."""

from __future__ import annotations

from rich.segment import Segment
from rich.style import Style

from stash.model import Colour
from tui.widgets.look import Chip, chip_of

NO_COLOUR = "·?·"


def chip_segment(chip: Chip | None, width: int, *, grey: bool = False, label: str = "") -> Segment:
    """A patch `width` cells wide with `label` in its middle; dots and a question mark where there is no colour."""
    if chip is None:
        return Segment(NO_COLOUR.center(width)[:width])
    style = Style(color=chip.label, bgcolor=chip.paint(grey))
    return Segment(label.center(width)[:width], style)


def colour_words(colour: Colour) -> str:
    """The colour in figures: hex and L*a*b*, for those who cannot or do not trust the chip."""
    chip = chip_of(colour)
    figures = f"L* {colour.L:.1f}  a* {colour.a:+.1f}  b* {colour.b:+.1f}"
    return f"{chip.colour}  {figures}" if chip else figures
