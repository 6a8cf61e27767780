"""The details of one fabric on a screen of their own, where the terminal is too narrow for them beside the list."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical

from stash.model import Fabric
from tui.commands import BY_ID, bindings_for
from tui.dialogs.base import Dialog
from tui.widgets.fabric_details import FabricDetails
from tui.widgets.key_bar import KeyBar
from tui.widgets.swatch_view import SwatchView

CHANGES = ("bought", "used", "count", "edit")
COMMANDS = [BY_ID[f"stash.{name}"] for name in CHANGES]


class DetailsScreen(Dialog[str]):
    """One fabric, to read. Esc or Enter goes back to the list; the keys that change it go back and do so.

    Gives the name of the action that is wanted, "" for none.
    """

    DEFAULT_CSS = """
    DetailsScreen { align: center middle; background: $background 60%; }
    DetailsScreen > Vertical { width: 76; max-width: 100%; height: 100%; border: round $primary;
        background: $surface; }
    DetailsScreen KeyBar.-inside { padding: 0 1; }
    DetailsScreen FabricDetails { height: 1fr; }
    DetailsScreen FabricDetails #top { layout: horizontal; }
    DetailsScreen FabricDetails #facts { width: 1fr; }
    DetailsScreen FabricDetails SwatchView { width: 34; padding-left: 1; }
    """
    HERE = "details"
    TITLE = "Details"
    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings_for(HERE),
        *(one.binding(f"change('{one.action}')") for one in COMMANDS),
    ]

    def __init__(self, fabric: Fabric, mark: str, in_grey: bool = False) -> None:
        super().__init__()
        self._fabric = fabric
        self._mark = mark
        self._in_grey = in_grey

    def compose(self) -> ComposeResult:
        with Vertical():
            yield FabricDetails()
            yield KeyBar(self.HERE, COMMANDS)

    def on_mount(self) -> None:
        details = self.query_one(FabricDetails)
        details.query_one(SwatchView).in_grey = self._in_grey
        details.show(self._fabric, self._mark)
        details.focus()

    def action_leave(self) -> None:
        self.dismiss("")

    def action_change(self, name: str) -> None:
        self.dismiss(name)
