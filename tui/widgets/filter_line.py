"""The line above the list: words to filter by, and how many fabrics are shown in which order."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.message import Message
from textual.widgets import Input, Static

from tui.commands import BY_ID, bindings_for


class FilterInput(Input):
    """The words; down or Esc goes to the list (Esc clears first)."""

    HERE = "filter"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_for(HERE), BY_ID["stash.clear"].binding("give_up")]

    def action_leave(self) -> None:
        self.post_message(FilterLine.Left())

    def action_give_up(self) -> None:
        if self.value:
            self.value = ""
        else:
            self.action_leave()


class FilterLine(Horizontal):
    """Filter words on the left, what is shown on the right."""

    DEFAULT_CSS = """
    FilterLine { height: 1; padding: 0 1; background: $background; }
    FilterLine .sign { width: 2; color: $accent; text-style: bold; }
    FilterLine Input { width: 1fr; background: $boost; }
    FilterLine Input:focus { background: $primary 30%; }
    FilterLine #shown { width: 46; text-align: right; color: $text-muted; }
    """

    class Left(Message):
        """The maker is done with the filter."""

    def compose(self) -> ComposeResult:
        yield Static("/", classes="sign", markup=False)
        yield FilterInput(id="filter", compact=True, placeholder="name, place, note, hue, kind")
        yield Static("", id="shown", markup=False)

    def clear(self) -> None:
        self.query_one(Input).value = ""

    def say(self, text: str) -> None:
        self.query_one("#shown", Static).update(text, layout=False)
