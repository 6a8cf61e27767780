"""One line of text, checked as it is typed."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from tui.dialogs.form import FieldLine
from tui.fields import Check, Field, any_text


class TextPrompt(ModalScreen[str | None]):
    """Asks for one line; the answer is what was typed, None where the maker left."""

    DEFAULT_CSS = """
    TextPrompt { align: center middle; background: $background 60%; }
    TextPrompt > Vertical { width: 66; max-width: 100%; height: auto; border: round $primary;
        background: $surface; padding: 0 1; border-title-color: $accent; }
    TextPrompt .help { color: $text-muted; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "Leave", show=False)]

    def __init__(self, title: str, label: str, value: str = "", hint: str = "", check: Check = any_text) -> None:
        super().__init__()
        self._title_text = title
        self._field = Field("answer", label, check, value, hint)

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = Text(self._title_text).markup
            yield FieldLine(self._field)
            yield Static("Enter keeps · Esc leaves", classes="help", markup=False)

    @on(Input.Changed)
    def _typed(self) -> None:
        self.query_one(FieldLine).check(quiet=True)

    @on(Input.Submitted)
    def _submitted(self) -> None:
        line = self.query_one(FieldLine)
        if line.check():
            self.dismiss(line.text)

    def action_leave(self) -> None:
        self.dismiss(None)
