"""The details of one fabric on a screen of their own, where the terminal is too narrow for them beside the list."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static

from stash.model import Fabric
from tui.widgets.fabric_details import FabricDetails
from tui.widgets.swatch_view import SwatchView


class DetailsScreen(ModalScreen[None]):
    """One fabric, to read. Esc or Enter goes back to the list."""

    DEFAULT_CSS = """
    DetailsScreen { align: center middle; background: $background 60%; }
    DetailsScreen > Vertical { width: 76; max-width: 100%; height: 100%; border: round $primary;
        background: $surface; }
    DetailsScreen FabricDetails { height: 1fr; }
    DetailsScreen FabricDetails #top { layout: horizontal; }
    DetailsScreen FabricDetails #facts { width: 1fr; }
    DetailsScreen FabricDetails SwatchView { width: 34; padding-left: 1; }
    DetailsScreen .help { height: 1; color: $text-muted; padding: 0 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,enter,q", "leave", "Back", show=False)]

    def __init__(self, fabric: Fabric, mark: str, in_grey: bool = False) -> None:
        super().__init__()
        self._fabric = fabric
        self._mark = mark
        self._in_grey = in_grey

    def compose(self) -> ComposeResult:
        with Vertical():
            yield FabricDetails()
            yield Static("Esc back · ↑ ↓ scroll", classes="help", markup=False)

    def on_mount(self) -> None:
        details = self.query_one(FabricDetails)
        details.query_one(SwatchView).in_grey = self._in_grey
        details.show(self._fabric, self._mark)
        details.focus()

    def action_leave(self) -> None:
        self.dismiss(None)
