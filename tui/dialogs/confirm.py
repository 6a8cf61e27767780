"""A yes or no before something that wants a second thought."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import ModalScreen
from textual.widgets import Button, Static


class ConfirmDialog(ModalScreen[bool]):
    """Asks; the answer is True for yes. `yes` names what will happen, so that the button says it."""

    DEFAULT_CSS = """
    ConfirmDialog { align: center middle; background: $background 60%; }
    ConfirmDialog > Vertical { width: 60; max-width: 100%; height: auto; border: round $primary;
        background: $surface; padding: 0 1; border-title-color: $accent; }
    ConfirmDialog Horizontal { height: 1; margin-top: 1; }
    ConfirmDialog Button { margin-right: 2; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y", "answer(True)", "Yes", show=False),
        Binding("n,escape", "answer(False)", "No", show=False),
        Binding("left", "app.focus_previous", "", show=False),
        Binding("right", "app.focus_next", "", show=False),
    ]

    def __init__(self, title: str, question: str, yes: str = "Yes", no: str = "No") -> None:
        super().__init__()
        self._words = (title, question, yes, no)

    def compose(self) -> ComposeResult:
        title, question, yes, no = self._words
        with Vertical() as box:
            box.border_title = Text(title).markup
            yield Static(question, markup=False)
            with Horizontal():
                yield Button(Text(f"y {yes}"), id="yes", compact=True)
                yield Button(Text(f"n {no}"), id="no", variant="primary", compact=True)

    def on_mount(self) -> None:
        self.query_one("#no", Button).focus()

    @on(Button.Pressed)
    def _pressed(self, event: Button.Pressed) -> None:
        self.dismiss(event.button.id == "yes")

    def action_answer(self, answer: bool) -> None:
        self.dismiss(answer)
