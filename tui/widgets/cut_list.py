"""The lines of the Cutting screen: pieces, strips with a box to tick, strip sets, cautions."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.message import Message
from textual.reactive import reactive

from stash.lengths import show_typed
from stash.model import Star, Way
from stash.sheets.steps import runs_text
from tui.screens.cutting_rows import CutRow, HeadRow, NoteRow, PieceRow, SetRow, StripRow, size_words
from tui.terminal_colours import colours_of
from tui.widgets.chip import chip_text
from tui.widgets.fabric_lines import one_line
from tui.widgets.line_list import LineList
from tui.widgets.look import chip_of

NAME = 46  # cells of a name and its place at most
REST = 48  # cells of what stands behind them: size, strips cut, offcut
SHORTEST_PLACE = 4
BOX = range(4)  # cells after the cursor's in which a click ticks
BOLD = Style(bold=True)


class BoxClicked(Message):
    """The box of a line was clicked."""

    def __init__(self, row: CutRow) -> None:
        super().__init__()
        self.row = row


class CutList(LineList):
    """Draws the rows; decides nothing."""

    in_grey: reactive[bool] = reactive(False, init=False)

    class Sized(Message):
        """The list has another size."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.star: Star | None = None
        self.rows: list[CutRow] = []

    @property
    def current(self) -> CutRow | None:
        return self.rows[self.cursor] if self.rows else None

    def show(self, star: Star | None, rows: Sequence[CutRow], cursor: int) -> None:
        self.star, self.rows = star, list(rows)
        self.set_count(len(self.rows), cursor)

    def on_resize(self) -> None:
        self.post_message(self.Sized())

    def watch_in_grey(self) -> None:
        self.redraw()

    def on_click(self, event: events.Click) -> None:
        index = event.y + self.scroll_offset.y
        if 0 <= index < self.count and event.chain == 1 and event.x - 1 in BOX:
            row = self.rows[index]
            if isinstance(row, StripRow | PieceRow | SetRow):
                self.post_message(BoxClicked(row))

    def line(self, index: int, width: int) -> list[Segment]:
        row = self.rows[index]
        assert self.star is not None
        if isinstance(row, HeadRow):
            return [Segment(row.text, self.style_of("strong"))]
        if isinstance(row, NoteRow):
            return [Segment(f"  {row.text}", self.style_of("quiet"))]
        if isinstance(row, PieceRow):
            return self._piece(row, self.star, width)
        if isinstance(row, StripRow):
            return self._strip_line(row, self.star)
        return self._set(row)

    def _piece(self, row: PieceRow, star: Star, width: int) -> list[Segment]:
        steps = row.steps
        done = sum(strip.booked is not None for strip in steps.strips)
        cut = steps.cut
        letters = steps.letters if len(steps.letters) <= 3 else f"{steps.letters[:2]}…"
        size = size_words(star, cut.piece_length, cut.piece_width)
        way = "along " if cut.way is Way.ALONG else ""
        size = f"~{size}" if row.about else size
        tail = f" {way}{size:>15} {f'{done} of {len(steps.strips)}':>7}"
        tail += "  ✗ changed" if row.changed else f"  {row.offcut}"
        room = max(8, min(NAME, width - 8 - REST) - len(way))
        name, place = name_and_place(cut.fabric, row.place, room)
        return [
            Segment(box(done, len(steps.strips))),
            chip_text(f"{letters:^3}", chip_of(row.colour), self.in_grey, colours_of(self.app)),
            Segment(f" {name}", BOLD),
            Segment(place),
            Segment(tail, self.style_of("strong") if row.changed else None),
        ]

    def _strip_line(self, row: StripRow, star: Star) -> list[Segment]:
        strip = row.strip
        booked = strip.booked is not None
        at = "cut" if booked else f"at {show_typed(strip.end, star.units)}"
        text = f"{row.number:>5}  {at:<12} {strip.letters:<2} {runs_text(strip.runs)}"
        return [Segment(box(int(booked), 1)), Segment(text, self.style_of("quiet") if booked else None)]

    def _set(self, row: SetRow) -> list[Segment]:
        one = row.steps
        spoiled = f", {one.spoiled} spoiled" if one.spoiled else ""
        text = (
            f"set {one.number:<2} {one.letters}  {row.cut} of {row.strips} cut  "
            f"sewn {one.sewn}{spoiled}, {one.left} to spare"
        )
        return [Segment(box(row.cut, row.strips)), Segment(text)]


def box(done: int, wanted: int) -> str:
    """A box to tick: empty, begun, or done."""
    return "[x] " if done == wanted else "[-] " if done else "[ ] "


def name_and_place(fabric: str, place: str, cells: int) -> tuple[str, str]:
    """A fabric's name and where it lies in just so many cells; the name goes first where both are too long."""
    name, where = one_line(fabric), f", {one_line(place)}" if place else ""
    left = cells - cell_len(name)
    if left < SHORTEST_PLACE:
        return fitted(name, cells), ""
    return name, fitted(where, left)


def fitted(name: str, cells: int) -> str:
    """A name in just so many cells."""
    text = one_line(name)
    return set_cell_size(text, cells) if cell_len(text) <= cells else set_cell_size(text, cells - 1) + "…"
