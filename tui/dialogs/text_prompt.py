"""One line of text, checked as it is typed."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.widgets import Input

from tui.commands import bindings_for
from tui.dialogs.base import Dialog
from tui.dialogs.form import FieldLine
from tui.fields import Check, Field, any_text
from tui.widgets.key_bar import KeyBar


class TextPrompt(Dialog[str | None]):
    """Asks for one line; the answer is what was typed, None where the maker left."""

    DEFAULT_CSS = """
    TextPrompt { align: center middle; background: $background 60%; }
    TextPrompt > Vertical { width: 66; max-width: 100%; height: auto; border: round $primary;
        background: $surface; padding: 0 1; border-title-color: $accent; }
    """
    HERE = "prompt"
    TITLE = "A line to type"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for(HERE)

    def __init__(self, title: str, label: str, value: str = "", hint: str = "", check: Check = any_text) -> None:
        super().__init__()
        self._title_text = title
        self._field = Field("answer", label, check, value, hint)

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = Text(self._title_text).markup
            yield FieldLine(self._field)
            yield KeyBar(self.HERE)

    @on(Input.Changed)
    def _typed(self) -> None:
        self.query_one(FieldLine).check(quiet=True)

    @on(Input.Submitted)
    def action_keep(self) -> None:
        line = self.query_one(FieldLine)
        if line.check():
            self.dismiss(line.text)

    def action_leave(self) -> None:
        self.dismiss(None)
