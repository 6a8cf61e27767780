"""Stars by grid and strip width: a cell each, with its finished square, and covered or how many letters are short."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import ClassVar

from rich.text import Text
from textual import events
from textual.binding import BindingType
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget

from stash.lengths import show_cm, show_inches, show_typed
from stash.match.sizes import GRIDS, STRIPS
from stash.model import Mark, SizeFit, Star
from stash.star.beds import widest_bed
from stash.star.geometry import finished
from tui.commands import bindings_for
from tui.widgets.look import SIGNS, UNCHECKED

HEAD, NARROWEST, WIDEST = 8, 10, 25  # cells of the grid's name and of a cell at least and at most
LEAST_LINES = 2  # of each grid: the squares, and the beds as wide

Place = tuple[int, int]  # grid and strip width by their places in GRIDS and STRIPS


class SizesGrid(Widget, can_focus=True):
    """Draws what is known of each star and moves a cursor over them."""

    DEFAULT_CSS = """
    SizesGrid { height: 19; width: 100%; }
    SizesGrid > .sizes--covered { color: $text-success; }
    SizesGrid > .sizes--unmeasured { color: $text-warning; }
    SizesGrid > .sizes--short { color: $text-error; }
    SizesGrid > .sizes--quiet { color: $text-muted; }
    SizesGrid > .sizes--cursor { background: $primary 40%; text-style: bold; }
    SizesGrid > .sizes--resting { background: $panel; text-style: bold; }
    """
    COMPONENT_CLASSES: ClassVar = {
        "sizes--covered", "sizes--unmeasured", "sizes--short", "sizes--quiet", "sizes--cursor", "sizes--resting",
    }  # fmt: skip
    HERE = "grid"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for(HERE)
    ALLOW_SELECT = False

    cursor: reactive[Place] = reactive((2, 4))  # 4 x 4 of 2 1/2 in

    class Moved(Message):
        """The cursor stands on another star."""

    class Chosen(Message):
        """The star under the cursor was clicked."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.stars: Mapping[Place, Star] = {}
        self.fits: Mapping[Place, SizeFit] = {}

    def show(self, stars: Mapping[Place, Star], fits: Mapping[Place, SizeFit]) -> None:
        self.stars, self.fits = stars, fits
        self.refresh()

    @property
    def lines_each(self) -> int:
        """Lines of each grid, those that stay empty with them."""
        return max(LEAST_LINES, (self.size.height - 1) // len(GRIDS))

    @property
    def cell_width(self) -> int:
        return max(NARROWEST, min(WIDEST, (self.size.width - HEAD) // len(STRIPS)))

    def render(self) -> Text:
        quiet = self.get_component_rich_style("sizes--quiet")
        text = Text(no_wrap=True, overflow="crop")
        text.append(" " * HEAD)
        wide = self.cell_width
        units = next((star.units for star in self.stars.values()), "in")
        for strip in STRIPS:
            text.append(show_typed(strip, units).ljust(wide), quiet)
        for row, grid in enumerate(GRIDS):
            name = f"{grid} × {grid}"
            text.append(f"\n{name:<{HEAD}}", quiet)
            for column in range(len(STRIPS)):
                self._append(text, (row, column), self._first(row, column), wide)
            text.append("\n" + " " * HEAD)
            for column in range(len(STRIPS)):
                star = self.stars.get((row, column))
                self._append(text, (row, column), f" {bed_text(star) if star else ''}", wide, quiet=True)
            text.append("\n" * (self.lines_each - LEAST_LINES))
        return text

    def _first(self, row: int, column: int) -> str:
        star, fit = self.stars.get((row, column)), self.fits.get((row, column))
        if star is None:
            return ""
        sign = UNCHECKED
        if fit is not None:
            sign = _sign(fit)
        words = f"{sign} {square_text(star)}"
        # a narrow cell gets whole inches, which the line below tells in full
        return words if len(words) < self.cell_width else f"{sign} {float(finished(star).square):.0f}"

    def _append(self, text: Text, place: Place, words: str, wide: int, *, quiet: bool = False) -> None:
        fit = self.fits.get(place)
        name = "quiet" if quiet or fit is None else _STYLES[_mark(fit)]
        style = self.get_component_rich_style(f"sizes--{name}")
        if place == self.cursor:
            here = self.get_component_rich_style("sizes--cursor" if self.has_focus else "sizes--resting")
            style = here if quiet else style + here
        text.append(words[: wide - 1].ljust(wide - 1), style).append(" ")

    # -- the cursor

    def validate_cursor(self, cursor: Place) -> Place:
        row, column = cursor
        return max(0, min(row, len(GRIDS) - 1)), max(0, min(column, len(STRIPS) - 1))

    def watch_cursor(self) -> None:
        self.post_message(self.Moved())

    def action_move(self, down: int, right: int) -> None:
        self.cursor = (self.cursor[0] + down, self.cursor[1] + right)

    def _place_at(self, event: events.MouseEvent) -> Place | None:
        place = (event.y - 1) // self.lines_each, (event.x - HEAD) // self.cell_width
        inside = event.y >= 1 and event.x >= HEAD and place[0] < len(GRIDS) and place[1] < len(STRIPS)
        return place if inside else None

    def on_mouse_move(self, event: events.MouseMove) -> None:
        place = self._place_at(event)
        said = self._words(place) if place is not None else None
        if self.tooltip != said:
            self.tooltip = said

    def on_leave(self) -> None:
        self.tooltip = None

    def _words(self, place: Place) -> str | None:
        """A star in words, for the mouse that rests on it."""
        star, fit = self.stars.get(place), self.fits.get(place)
        if star is None:
            return None
        answer = "not asked yet" if fit is None else _answer(fit)
        click = "A click opens it" if place == self.cursor else "A click takes it in hand, another opens it"
        strip = show_typed(star.strip, star.units)
        return f"{star.grid} × {star.grid} of {strip} strips, {square_text(star)} square: {answer}. {click}"

    def on_click(self, event: events.Click) -> None:
        place = self._place_at(event)
        if place is None:
            return
        if place == self.cursor:
            self.post_message(self.Chosen())
        self.cursor = place

    def on_focus(self) -> None:
        self.refresh()

    def on_blur(self) -> None:
        self.refresh()


_STYLES = {Mark.COVERED: "covered", Mark.UNMEASURED: "unmeasured", Mark.SHORT: "short"}


def _mark(fit: SizeFit) -> Mark:
    if not fit.covered:
        return Mark.SHORT
    return Mark.UNMEASURED if fit.unmeasured else Mark.COVERED


def _sign(fit: SizeFit) -> str:
    return SIGNS[_mark(fit)] if fit.covered else f"{SIGNS[Mark.SHORT]}{fit.letters_short}"


def _answer(fit: SizeFit) -> str:
    if not fit.covered:
        return f"short at {fit.letters_short}"
    return "covered only with fabrics not measured yet" if fit.unmeasured else "covered"


def square_text(star: Star) -> str:
    """The side of the finished square in the star's units, without their name."""
    side = Fraction(float(finished(star).square))
    return show_cm(side) if star.units == "cm" else show_inches(side)


def bed_text(star: Star) -> str:
    """The widest bed whose mattress the finished square spans, in a word that fits a cell; "" for none."""
    return (widest_bed(star) or "").replace("california", "cal")
