"""The details of one fabric on a screen of their own, where the terminal is too narrow for them beside the list."""

from __future__ import annotations

from typing import ClassVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static

from stash.model import Entry, Fabric
from tui.widgets.fabric_details import FabricDetails

HISTORY_SHOWN = 20


class DetailsScreen(ModalScreen[None]):
    """One fabric, to read. Esc or Enter goes back to the list."""

    DEFAULT_CSS = """
    DetailsScreen { align: center middle; background: $background 60%; }
    DetailsScreen > Vertical { width: 76; max-width: 100%; height: 100%; border: round $primary;
        background: $surface; }
    DetailsScreen FabricDetails { height: 1fr; }
    DetailsScreen .help { height: 1; color: $text-muted; padding: 0 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,enter,q", "leave", "Back", show=False)]

    def __init__(self, fabric: Fabric, mark: str) -> None:
        super().__init__()
        self._fabric = fabric
        self._mark = mark

    def compose(self) -> ComposeResult:
        with Vertical():
            yield FabricDetails()
            yield Static("Esc back · ↑ ↓ scroll", classes="help", markup=False)

    def on_mount(self) -> None:
        from tui.app import StarcoverApp

        details = self.query_one(FabricDetails)
        details.show(self._fabric, self._mark)
        details.focus()
        fabric_id = self._fabric.id

        def show(entries: list[Entry]) -> None:
            details.show_history(fabric_id, entries)

        cast(StarcoverApp, self.app).jobs.store(
            lambda store: list(store.history(limit=HISTORY_SHOWN, fabric_id=fabric_id)), show, owner=self
        )

    def action_leave(self) -> None:
        self.dismiss(None)
