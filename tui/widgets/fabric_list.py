"""The stash as a list: chip, value, name, what is on hand, where it lies, and what the open star says to it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar, NamedTuple

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from rich.text import Text
from textual import events
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget

from stash.model import Mark
from stash.shelf import Order
from tui.terminal_colours import NONE, TRUE, colours_of
from tui.widgets.chip import chip_segment
from tui.widgets.fabric_lines import FabricLine, Marks
from tui.widgets.line_list import LineList
from tui.widgets.look import SIGNS
from tui.widgets.value_bar import bar, value_figure

CHIP = 4
ROOMY = 110  # cells beside chip and figure from which the columns after the name are wider, and the bar longer


class Columns(NamedTuple):
    """Widths in cells; 0 leaves the column out."""

    bar: int
    name: int
    hand: int
    place: int
    mark: int


def wants_cloth(mark: str) -> bool:
    """A mark that asks for something stands out; its sign and word say what."""
    return any(SIGNS[one] in mark for one in (Mark.SHORT, Mark.UNMEASURED, Mark.TIGHT))


def columns_for(width: int) -> Columns:
    """Share out a line of `width` cells. Chip, figure and name always stand; the rest goes as it gets narrow."""
    left = width - CHIP - 1 - 4 - 1
    roomy = left >= ROOMY
    hand = 0 if left < 40 else 22 if roomy else 14
    mark = 0 if left < 52 else 16 if roomy else 11
    place = 0 if left < 64 else 22 if roomy else 11
    bar_width = 0 if left < 30 else 20 if roomy else 8
    taken = sum(column + 1 for column in (hand, mark, place, bar_width) if column)
    return Columns(bar_width, max(left - taken, 4), hand, place, mark)


class FabricList(LineList):
    """The fabrics, one a line, over plain tuples."""

    DEFAULT_CSS = (
        "FabricList { scrollbar-gutter: stable; }"  # the heads stand over their columns, with a bar or without
    )

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.lines: tuple[FabricLine, ...] = ()
        self._marks: Marks = {}
        self._grey = False
        self._colours = TRUE

    def on_mount(self) -> None:
        self._colours = colours_of(self.app)

    @property
    def current(self) -> FabricLine | None:
        return self.lines[self.cursor] if self.lines else None

    def show(self, lines: Sequence[FabricLine], cursor: int, nothing: str = "") -> None:
        """Show these lines in this order, or say `nothing` where there is none."""
        self.lines = tuple(lines)
        self.set_count(len(self.lines), cursor, nothing)

    def set_marks(self, marks: Marks) -> None:
        self._marks = marks
        self.redraw()

    def set_grey(self, grey: bool) -> None:
        self._grey = grey
        self.redraw()

    def line(self, index: int, width: int) -> list[Segment]:
        line = self.lines[index]
        wide = columns_for(width)
        quiet = self.style_of("quiet")
        mark = self._marks.get(line.id)
        segments = [
            self._chip(line),
            Segment(" " + value_figure(line.value, line.by_eye, line.relative)),
        ]
        if wide.bar:
            segments.append(Segment(bar(line.value or 0.0, wide.bar) + " ", quiet))
        segments.append(Segment(_fit(line.name, wide.name) + " "))
        if wide.hand:
            segments.append(Segment(_fit(line.hand, wide.hand) + " "))
        if wide.place:
            segments.append(Segment(_fit(line.place, wide.place) + " ", quiet))
        if wide.mark:
            style = quiet if mark is None else self._mark_style(mark)
            segments.append(Segment(_fit(mark or line.note, wide.mark), style))
        return segments

    def _mark_style(self, mark: str) -> Style | None:
        """As the star's rows show it: what lacks cloth stands out."""
        if not wants_cloth(mark):
            return None
        return self.style_of("short" if SIGNS[Mark.SHORT] in mark else "care")

    def _chip(self, line: FabricLine) -> Segment:
        if self._colours == NONE:
            return Segment(" " * CHIP)
        return chip_segment(line.chip, CHIP, self._colours, grey=self._grey)


class FabricHeader(Widget, can_focus=False):
    """The column heads. Hue, value, name and on hand order the list when clicked."""

    DEFAULT_CSS = """
    FabricHeader { height: 1; background: $surface; color: $text-muted; }
    FabricHeader > .fabric-header--here { color: $accent; text-style: bold; }
    """
    COMPONENT_CLASSES: ClassVar = {"fabric-header--here"}
    ALLOW_SELECT = False

    order: reactive[Order] = reactive(Order.VALUE)

    class Clicked(Message):
        """A column head was clicked."""

        def __init__(self, order: Order) -> None:
            self.order = order
            super().__init__()

    def __init__(self) -> None:
        super().__init__()
        self._spans: list[tuple[int, int, Order]] = []

    def render(self) -> Text:
        wide = columns_for(self.size.width - 2)
        here = self.get_component_rich_style("fabric-header--here", partial=True)
        text = Text(" ", no_wrap=True, overflow="crop")
        self._spans = []

        def head(word: str, width: int, order: Order | None = None) -> None:
            start = text.cell_len
            shown = f"{word} ▾" if order is self.order else word
            text.append(_fit(shown, width) + " ", here if order is self.order else "")
            if order is not None:
                self._spans.append((start, text.cell_len, order))

        head("hue", CHIP + 1, Order.HUE)
        head("value", wide.bar + 3 if wide.bar else 2, Order.VALUE)
        head("name", wide.name, Order.NAME)
        if wide.hand:
            head("on hand", wide.hand, Order.LENGTH)
        if wide.place:
            head("place", wide.place)
        if wide.mark:
            head("mark", wide.mark)
        return text

    def on_click(self, event: events.Click) -> None:
        for start, end, order in self._spans:
            if start <= event.x < end:
                self.post_message(self.Clicked(order))


def _fit(text: str, width: int) -> str:
    """Exactly `width` cells, an ellipsis where something was cut off."""
    if len(text) * 2 > width and cell_len(text) > width:
        return set_cell_size(text, width - 1) + "…"
    return set_cell_size(text, width)
