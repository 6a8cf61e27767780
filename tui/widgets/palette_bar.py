"""The main colours of a fabric as a bar, each as wide as its share of the cloth."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from rich.segment import Segment
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget
from textual.widgets import Static

from stash.model import Measured, PaletteColour
from tui.terminal_colours import NONE, colours_of
from tui.widgets.chip import chip_text
from tui.widgets.look import Chip, chip_of
from tui.widgets.swatch_words import swatch_words


class Part(NamedTuple):
    """One colour's part of the bar."""

    cells: int
    label: str
    chip: Chip | None


def cells_for(shares: Sequence[float], width: int) -> list[int]:
    """`width` cells shared out: one each at least, the rest by share, fractions to those that lose most."""
    count = len(shares)
    if not count or width < count:
        return [1] * min(count, width)
    spare, whole = width - count, sum(shares)
    exact = [spare * share / whole for share in shares]
    cells = [1 + int(one) for one in exact]
    by_loss = sorted(range(count), key=lambda at: (int(exact[at]) - exact[at], at))
    for at in by_loss[: width - sum(cells)]:
        cells[at] += 1
    return cells


def parts_of(palette: Sequence[PaletteColour], width: int, gap: int = 0) -> list[Part]:
    """The bar in `width` cells. A label is the share in %, without the sign where there is no room for it; it
    leaves `gap` cells of its part free."""
    cells = cells_for([one.share for one in palette], width)
    return [
        Part(room, _label(one.share, room - gap), chip_of(one.colour))
        for one, room in zip(palette, cells, strict=False)
    ]


def _label(share: float, cells: int) -> str:
    number = str(round(100 * share))
    if len(number) + 2 < cells:
        return f"{number} %"
    return next((text for text in (f"{number}%", number) if len(text) <= cells), "")


class Bar(Widget, can_focus=False):
    """The bar alone, one line."""

    DEFAULT_CSS = "Bar { height: 1; }"
    ALLOW_SELECT = False

    palette: reactive[tuple[PaletteColour, ...]] = reactive(())
    in_grey: reactive[bool] = reactive(False)

    def render_line(self, y: int) -> Strip:
        width, colours = self.size.width, colours_of(self.app)
        edge = "│" if colours == NONE else ""  # so that parts are told apart without colour
        segments = []
        for part in parts_of(self.palette, width, len(edge)) if y == 0 else ():
            text = edge + part.label.center(part.cells - len(edge))
            segments.append(chip_text(text, part.chip, self.in_grey, colours))
        return Strip(Segment.apply_style(segments, self.rich_style)).adjust_cell_length(width, self.rich_style)


class PaletteBar(Vertical):
    """The bar, and under it value and range, how busy the cloth is, and what told how bright the light was."""

    DEFAULT_CSS = """
    PaletteBar { height: auto; }
    PaletteBar Static { height: auto; }
    """

    in_grey: reactive[bool] = reactive(False, init=False)

    def compose(self) -> ComposeResult:
        yield Bar()
        yield Static(classes="words", markup=False)

    def show(self, measured: Measured | None) -> None:
        """What a photograph said; None shows nothing."""
        self.query_one(Bar).palette = measured.palette if measured else ()
        self.query_one(Static).update(swatch_words(measured) if measured else "")

    def watch_in_grey(self) -> None:
        self.query_one(Bar).in_grey = self.in_grey
