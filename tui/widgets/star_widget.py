"""What the picture, the chart and the rows of a star have in common: one look, a click and a wheel."""

from __future__ import annotations

from rich.segment import Segment
from rich.text import Text
from textual import events
from textual.message import Message
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from stash.model import Mark
from tui.terminal_colours import colours_of
from tui.widgets.chip import chip_text
from tui.widgets.look import SIGNS, Chip, RowLook, StarLook
from tui.widgets.value_bar import value_text

CLICK = "A click takes the row in hand, the wheel tries other fabrics on it"


class RowPicked(Message):
    """A row was clicked in the picture, the chart or the table."""

    def __init__(self, letter: str) -> None:
        super().__init__()
        self.letter = letter


class TryOther(Message):
    """The wheel was turned: try the next (+1) or the one before (-1) for the picked row."""

    def __init__(self, step: int) -> None:
        super().__init__()
        self.step = step


class StarWidget(Widget):
    """Draws a `StarLook` line by line. It decides nothing: clicks and the wheel become messages."""

    look: reactive[StarLook | None] = reactive(None)
    in_grey: reactive[bool] = reactive(False)

    def letter_at(self, x: int, y: int) -> str | None:
        """The letter under a cell of the content, None where there is none."""
        raise NotImplementedError

    def on_click(self, event: events.Click) -> None:
        offset = event.get_content_offset(self)
        letter = self.letter_at(offset.x, offset.y) if offset is not None else None
        if letter:
            event.stop()
            self.post_message(RowPicked(letter))

    def on_mouse_move(self, event: events.MouseMove) -> None:
        """Where the mouse rests, the row there is told in words."""
        offset = event.get_content_offset(self)
        letter = self.letter_at(offset.x, offset.y) if offset is not None else None
        row = self.look.by_letter.get(letter) if self.look and letter else None
        said = Text(f"{row_words(row)}. {CLICK}") if row is not None else None
        if self.tooltip != said:
            self.tooltip = said

    def on_leave(self) -> None:
        self.tooltip = None

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        self.turn_wheel(event, 1)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        self.turn_wheel(event, -1)

    def turn_wheel(self, event: events.MouseEvent, step: int) -> None:
        event.stop()
        self.post_message(TryOther(step))

    def paint(self, text: str, chip: Chip | None, bold: bool = False) -> Segment:
        """Text on a chip's colour or its grey; on the sign for unknown where there is none."""
        return chip_text(text, chip, self.in_grey, colours_of(self.app), bold)

    def centred(self, segments: list[Segment], used: int, left: int) -> Strip:
        """A line with `used` cells of segments, `left` blank cells before them and blanks up to the width."""
        blank = self.rich_style
        strip = Strip([Segment(" " * left, blank), *segments], left + used)
        return strip.adjust_cell_length(self.size.width, blank)


def row_words(row: RowLook) -> str:
    """A row in words: letter, fabric, value, strips and mark, `D: Copper Pan, value 41, strips 1 of 2, ✗ short 1`."""
    parts = [f"{row.letter}: {row.name}"]
    if row.value is not None:
        parts.append(f"value {value_text(row.value, row.relative)}")
    if row.needed is not None and row.on_hand is not None:
        parts.append(f"strips {row.on_hand} of {row.needed}")
    if row.mark is not None:
        about = "about " if row.about else ""
        missing = f" {row.missing}" if row.mark is Mark.SHORT else ""
        parts.append(f"{SIGNS[row.mark]} {about}{row.mark}{missing}")
    return ", ".join(parts)
