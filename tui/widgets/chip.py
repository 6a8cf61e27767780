"""A chip: a little patch of a fabric's colour, in 24-bit colour or in the true grey of its value."""

from __future__ import annotations

from typing import Any

from rich.segment import Segment
from rich.style import Style
from textual.app import App

from stash.model import Colour
from tui.widgets.look import Chip, chip_of

NO_COLOUR = "·?·"


def shows_colours(app: App[Any]) -> bool:
    """Whether the terminal can show a chip at all: in 16 colours one would mislead."""
    return app.console.color_system in ("truecolor", "256")


def colours_note(app: App[Any]) -> str:
    """What to say once about the terminal's colours, "" where they are true."""
    if app.console.color_system == "truecolor":
        return ""
    if shows_colours(app):
        return "This terminal has 256 colours: chips and stars are approximate"
    return "This terminal has 16 colours at most: no chips are shown, the value bar and the words tell"


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
