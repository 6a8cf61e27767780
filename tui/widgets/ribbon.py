"""One suggested colouring as a ribbon: chips in colour, the same in grey with their values, marks, and its words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.containers import Vertical
from textual.message import Message
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from stash.model import Mark
from tui.terminal_colours import NONE, colours_of
from tui.widgets.chip import chip_text
from tui.widgets.look import NEAR_GROUND, SIGNS, Chip
from tui.widgets.value_bar import value_text

WIDEST_CHIP = 24
LINES, MOST_MORE = 7, 4  # of a ribbon, the last of them empty, and what its colours get where there is room


@dataclass(frozen=True)
class RibbonChip:
    """One letter of a ribbon."""

    letter: str
    name: str
    chip: Chip | None
    value: float | None
    mark: Mark | None
    near_ground: bool = False
    relative: bool = False


@dataclass(frozen=True)
class RibbonLook:
    """A suggested colouring as it is drawn. `title` counts it, `changes` are the rows it would change."""

    title: str
    chips: tuple[RibbonChip, ...]
    changes: tuple[str, ...] = ()
    here: bool = False  # it is the colouring on the star


def chip_width(width: int, count: int) -> int:
    """Cells a chip gets: as many as fit, not over `WIDEST_CHIP`, at least two."""
    return max(2, min(WIDEST_CHIP, width // max(count, 1)))


def changes_line(look: RibbonLook, cells: int) -> str:
    """What the ribbon would change in one line: fabric by fabric, or only the letters where that is too long."""
    if not look.changes:
        return "what is on the star" if look.here else ""
    long = f"changes {', '.join(look.changes)}"
    letters = ", ".join(change.split(" ")[0] for change in look.changes)
    count = f"changes {len(look.changes)} of {len(look.chips)} rows"
    return next((said for said in (long, f"{count}: {letters}") if cell_len(said) <= cells), count)


def mark_line(chip: RibbonChip, cells: int) -> str:
    """Sign and, where there is room, word of a chip's mark; ≋ where its row comes near the ground."""
    sign = SIGNS[chip.mark] if chip.mark else "…"
    near = NEAR_GROUND if chip.near_ground else ""
    for word in (str(chip.mark or ""), "unmeas." if chip.mark is Mark.UNMEASURED else ""):
        words = f"{sign} {word}{near}"
        if word and len(words) < cells:
            return words
    return f"{sign}{near}"[:cells]


class Ribbon(Widget, can_focus=True):
    """A ribbon; a click takes focus, a second one (or Enter, on the screen) takes its colouring."""

    DEFAULT_CSS = """
    Ribbon { height: 7; padding: 0 1; border-left: blank; }
    Ribbon:focus { border-left: outer $accent; background: $boost; }
    Ribbon > .ribbon--title { text-style: bold; }
    Ribbon > .ribbon--quiet { color: $text-muted; }
    """
    COMPONENT_CLASSES: ClassVar = {"ribbon--title", "ribbon--quiet"}
    ALLOW_SELECT = False

    class Taken(Message):
        """The ribbon was clicked twice."""

        def __init__(self, index: int) -> None:
            super().__init__()
            self.index = index

    more: reactive[int] = reactive(0)
    """Lines of colour beyond the first two."""

    def __init__(self, index: int, look: RibbonLook) -> None:
        super().__init__()
        self.index = index
        self.look = look

    def show(self, look: RibbonLook) -> None:
        self.look = look
        self.refresh()

    def on_click(self, event: events.Click) -> None:
        if event.chain == 2:
            self.post_message(self.Taken(self.index))

    def render_line(self, y: int) -> Strip:
        width, base = self.size.width, self.rich_style
        cells = chip_width(width, len(self.look.chips))
        if y == 0:
            here = "  (on the star now)" if self.look.here else ""
            segments = [Segment(self.look.title + here, self._style("ribbon--title"))]
        elif y == 1:
            segments = [self._chip(chip, chip.letter.center(cells), False) for chip in self.look.chips]
        elif y == 2:
            segments = [self._chip(chip, _short(chip.name, cells), False) for chip in self.look.chips]
        elif y <= 2 + self.more:
            segments = [self._chip(chip, " " * cells, False) for chip in self.look.chips]
        elif y == 3 + self.more:
            segments = [self._chip(chip, _value(chip).center(cells), True) for chip in self.look.chips]
        elif y == 4 + self.more:
            segments = [
                Segment(set_cell_size(mark_line(chip, cells).center(cells), cells)) for chip in self.look.chips
            ]
        elif y == 5 + self.more:
            segments = [Segment(changes_line(self.look, width), self._style("ribbon--quiet"))]
        else:
            segments = []
        return Strip(Segment.apply_style(segments, base)).adjust_cell_length(width, base)

    def _chip(self, chip: RibbonChip, text: str, grey: bool) -> Segment:
        return chip_text(text, chip.chip, grey, colours_of(self.app))

    def _style(self, name: str) -> Style:
        # The partial style of a muted text is white, whatever it stands on.
        full = self.get_component_rich_style(name)
        return Style(color=full.color, bold=full.bold)


class Ribbons(Vertical):
    """Ribbons one under the other, each as high as all of them can be."""

    def share_out(self) -> None:
        """Give the room there is to those that are there now."""
        ribbons = self.query(Ribbon)
        each = self.size.height // max(len(ribbons), 1)
        if colours_of(self.app) == NONE:
            each = min(each, LINES)  # more of a colour that is not shown is more of nothing
        for ribbon in ribbons:
            ribbon.more = max(0, min(each - LINES, MOST_MORE))
            ribbon.styles.height = LINES + ribbon.more - (each == LINES - 1)

    def on_resize(self) -> None:
        self.share_out()


def _value(chip: RibbonChip) -> str:
    return "?" if chip.value is None else value_text(chip.value, chip.relative)


def _short(name: str, cells: int) -> str:
    """A fabric's name on its chip, nothing where a chip is too small for a word."""
    if cells < 8:
        return " " * cells
    words = f" {name}"
    return f"{set_cell_size(words, cells - 1)}…" if cell_len(words) > cells else set_cell_size(words, cells)
