"""A chip: a little patch of a fabric's colour, or of the true grey of its value, as the terminal can show it."""

from __future__ import annotations

from typing import Any

from rich.segment import Segment
from rich.style import Style
from textual.app import App

from stash.model import Colour
from tui.terminal_colours import FEW, NONE, TRUE, colours_of, label_style
from tui.widgets.look import Chip, chip_of

NO_COLOUR = "·?·"
UNKNOWN = ("#4a4a4a", "#6c6c6c")  # chequered where a fabric or its colour is missing


def shows_colours(app: App[Any]) -> bool:
    """Whether the terminal can show a chip at all."""
    return colours_of(app) != NONE


def colours_note(app: App[Any]) -> str:
    """What to say once about the terminal's colours, "" where they are true."""
    colours = colours_of(app)
    if colours == TRUE:
        return ""
    if colours == FEW:
        return "This terminal has 256 colours: chips, stars and pictures are approximate"
    why = "No colours are wanted (NO_COLOR)" if app.no_color else "This terminal has 16 colours at most"
    return f"{why}: no chips or pictures are shown, the value bar and the words tell"


def chip_segment(chip: Chip | None, width: int, colours: str, *, grey: bool = False, label: str = "") -> Segment:
    """A patch `width` cells wide with `label` in its middle; dots and a question mark where there is no colour."""
    if chip is None:
        return Segment(NO_COLOUR.center(width)[:width])
    return Segment(label.center(width)[:width], label_style(chip.paint(grey), colours))


def chip_text(text: str, chip: Chip | None, in_grey: bool, colours: str, bold: bool = False) -> Segment:
    """Text on a chip, on the sign for unknown where there is none, or plain where there are no `colours`."""
    if colours == NONE:
        return Segment(text, Style(bold=bold))
    return Segment(text, label_style(chip.paint(in_grey) if chip else UNKNOWN[0], colours, bold))


def colour_figures(colour: Colour) -> str:
    """The colour in figures: hex and L*a*b*, for those who cannot or do not trust the chip."""
    chip = chip_of(colour)
    figures = f"L* {colour.L:.1f}  a* {colour.a:+.1f}  b* {colour.b:+.1f}"
    return f"{chip.colour}  {figures}" if chip else figures
