"""Choose one fabric of the stash: filter by typing, arrows, Enter."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar, cast

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.widgets import Input

from stash.model import Fabric
from stash.shelf import Order
from tui.commands import bindings_for
from tui.dialogs.base import Dialog
from tui.widgets.fabric_lines import EMPTY, FabricLine, Lines, index_of, make_lines
from tui.widgets.fabric_list import FabricList
from tui.widgets.key_bar import KeyBar
from tui.widgets.line_list import LineList

if TYPE_CHECKING:
    from tui.app import StarcoverApp


class FabricChoice(Dialog[str | None]):
    """The answer is a fabric's name, "" for `none` where that is offered, None where the maker left."""

    DEFAULT_CSS = """
    FabricChoice { align: center middle; background: $background 60%; }
    FabricChoice > Vertical { width: 76; max-width: 100%; height: 90%; border: round $primary;
        background: $surface; padding: 0 1; border-title-color: $accent; }
    FabricChoice Input { background: $boost; }
    FabricChoice FabricList { height: 1fr; background: $surface; }
    """
    HERE = "choice"
    TITLE = "Choose a fabric"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for(HERE)

    def __init__(self, title: str, fabrics: Sequence[Fabric], here: str = "", none: str = "") -> None:
        super().__init__()
        self._title_text = title
        self._fabrics = tuple(fabrics)
        self._here = here
        self._none = none
        self._lines: Lines = EMPTY

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = Text(self._title_text).markup
            yield Input(placeholder="type to filter: name, place, hue, kind", compact=True)
            yield FabricList()
            yield KeyBar(self.HERE)

    def on_mount(self) -> None:
        fabrics = self._fabrics
        self.query_one(FabricList).can_focus = False
        self.query_one(Input).focus()
        jobs = cast("StarcoverApp", self.app).jobs
        jobs.search(lambda: make_lines(fabrics), self._take_lines, slot="choice", owner=self)

    def _take_lines(self, lines: Lines) -> None:
        self._lines = lines
        self._list()

    @on(Input.Changed)
    def _list(self) -> None:
        lines = self._lines.matching(Order.VALUE, self.query_one(Input).value)
        here = next((fabric.id for fabric in self._fabrics if fabric.name == self._here), None)
        listed = self.query_one(FabricList)
        listed.show(lines, index_of(lines, here) or 0, "No fabric holds these words.")
        self.call_after_refresh(listed.scroll_to_cursor)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        return bool(self._none) if action == "none" else True

    @on(Input.Submitted)
    @on(LineList.Chosen)
    def action_take(self) -> None:
        self._choose(self.query_one(FabricList).current)

    def _choose(self, line: FabricLine | None) -> None:
        fabric = next((one for one in self._fabrics if line is not None and one.id == line.id), None)
        if fabric is not None:
            self.dismiss(fabric.name)

    def action_move(self, by: int) -> None:
        self.query_one(FabricList).cursor += by

    def action_none(self) -> None:
        if self._none:
            self.dismiss("")

    def action_leave(self) -> None:
        self.dismiss(None)
