"""The history line by line: number, time, what was done; undone entries are struck out and say so."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style

from stash.model import Entry
from tui.when import local_time
from tui.widgets.fabric_lines import one_line
from tui.widgets.line_list import LineList

UNDONE = "undone"
STRUCK = Style(strike=True)


class HistoryList(LineList):
    """Entries, newest first; more are added below as they are read."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.entries: tuple[Entry, ...] = ()

    @property
    def current(self) -> Entry | None:
        return self.entries[self.cursor] if self.entries else None

    def show(self, entries: Sequence[Entry], cursor: int) -> None:
        self.entries = tuple(entries)
        self.set_count(len(self.entries), cursor)

    def line(self, index: int, width: int) -> list[Segment]:
        entry = self.entries[index]
        quiet = self.style_of("quiet")
        room = max(width - 7 - 17 - len(UNDONE) - 1, 8)
        text = one_line(entry.text)
        shown = text if cell_len(text) <= room else set_cell_size(text, room - 1) + "…"
        return [
            Segment(f"{entry.op:>6} ", quiet),
            Segment(f"{local_time(entry.at)} ", quiet),
            Segment(UNDONE if entry.undone else " " * len(UNDONE)),
            Segment(" "),
            Segment(shown, STRUCK + quiet if entry.undone else None),
        ]
