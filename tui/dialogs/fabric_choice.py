"""Choose one fabric of the stash: filter by typing, arrows, Enter."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, ClassVar, cast

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.widgets import Input, Static

from stash.model import Fabric, Mark
from stash.shelf import Order
from tui.commands import bindings_for
from tui.dialogs.base import Dialog
from tui.screens.sizes_asked import some_of
from tui.widgets.fabric_lines import EMPTY, FabricLine, Lines, index_of, make_lines
from tui.widgets.fabric_list import FabricList
from tui.widgets.key_bar import KeyBar
from tui.widgets.line_list import LineList
from tui.widgets.look import SIGNS

if TYPE_CHECKING:
    from tui.app import StarcoverApp


ENOUGH = {Mark.COVERED: "enough", Mark.UNMEASURED: "no size"}  # what a mark is called here; the others as they are


class FabricChoice(Dialog[str | None]):
    """The answer is a fabric's name, "" for `none` where that is offered, None where the maker left."""

    DEFAULT_CSS = """
    FabricChoice { align: center middle; background: $background 60%; }
    FabricChoice > Vertical { width: 76; max-width: 100%; height: 90%; border: round $primary;
        background: $surface; padding: 0 1; border-title-color: $accent; }
    FabricChoice Input { background: $boost; }
    FabricChoice #about { color: $text-muted; height: auto; max-height: 2; }
    FabricChoice FabricList { height: 1fr; background: $surface; }
    """
    HERE = "choice"
    TITLE = "Choose a fabric"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for(HERE)

    def __init__(
        self,
        title: str,
        fabrics: Sequence[Fabric],
        here: str = "",
        none: str = "",
        about: str = "",
        marks: Iterator[tuple[int, Mark]] | None = None,
    ) -> None:
        """`about` stands above the list. `marks` say of fabrics, by id, whether there is enough; each takes its time:
        they are asked for on a thread."""
        super().__init__()
        self._about = about
        self._coming = marks
        self._marks: dict[int, str] = {}
        self._title_text = title
        self._fabrics = tuple(fabrics)
        self._here = here
        self._none = none
        self._lines: Lines = EMPTY

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = Text(self._title_text).markup
            yield Input(placeholder="type to filter: name, place, hue, kind", compact=True)
            if self._about:
                yield Static(self._about, id="about", markup=False)
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
        self._ask_marks()

    def _ask_marks(self) -> None:
        """Some in one go, and then the next, as long as this is looked at."""
        coming = self._coming
        if coming is None:
            return

        def take(found: list[tuple[int, Mark]]) -> None:
            self._marks |= {key: f"{SIGNS[mark]} {ENOUGH.get(mark, mark)}" for key, mark in found}
            self.query_one(FabricList).set_marks(dict(self._marks))
            if found:
                self._ask_marks()

        jobs = cast("StarcoverApp", self.app).jobs
        jobs.search(
            lambda: some_of(coming), take, lambda _: None, slot="choice.marks", owner=self, long=True
        )

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
