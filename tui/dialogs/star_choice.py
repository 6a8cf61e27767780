"""Choose a saved star, or lay out a new one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import ClassVar

from rich.cells import cell_len
from rich.segment import Segment
from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical

from stash.model import SavedStar
from tui.commands import bindings_for
from tui.dialogs.base import Dialog
from tui.screens.star_words import plural, star_text
from tui.widgets.fabric_lines import one_line
from tui.widgets.key_bar import KeyBar
from tui.widgets.line_list import LineList

NEW = -1


class StarList(LineList):
    """A new star first, then the saved ones, newest first; `begun` says by id how far one is cut."""

    def __init__(self, stars: Sequence[SavedStar], begun: Mapping[int, str]) -> None:
        super().__init__()
        self.stars = tuple(stars)
        self.begun = begun

    def line(self, index: int, width: int) -> list[Segment]:
        if index == 0:
            return [Segment(" a new star …", self.style_of("strong"))]
        saved = self.stars[index - 1]
        count = plural(len(saved.colourings), "colouring") if saved.colourings else "no colouring yet"
        begun = f"  {self.begun[saved.id]}" if saved.id in self.begun else ""
        facts = f"  {star_text(saved.star)}, {count}"
        name = f" {one_line(saved.name)}"
        name = _cut(name, max(width // 4, width - cell_len(begun + facts)))
        return [
            Segment(name, self.style_of("strong")),
            Segment(begun, self.style_of("strong")),
            Segment(_cut(facts, width - cell_len(name + begun)), self.style_of("quiet")),
        ]


def _cut(words: str, cells: int) -> str:
    """The words, or what of them has room and an ellipsis."""
    text = Text(words)
    text.truncate(max(cells, 1), overflow="ellipsis")
    return text.plain


class StarChoice(Dialog[int | None]):
    """The answer is a star's id, `NEW` for a new one, None where the maker left."""

    DEFAULT_CSS = """
    StarChoice { align: center middle; background: $background 60%; }
    StarChoice > Vertical { width: 76; max-width: 100%; height: auto; max-height: 90%; border: round $primary;
        background: $surface; padding: 0 1; border-title-color: $accent; }
    StarChoice StarList { height: auto; max-height: 16; background: $surface; }
    """
    HERE = "stars"
    TITLE = "Open a star"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for(HERE)

    def __init__(self, stars: Sequence[SavedStar], here: int | None, begun: Mapping[int, str]) -> None:
        super().__init__()
        self._begun = begun
        self._stars = sorted(stars, key=lambda star: -star.id)
        self._here = here

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = Text("Open a star").markup
            yield StarList(self._stars, self._begun)
            yield KeyBar(self.HERE)

    def on_mount(self) -> None:
        listed = self.query_one(StarList)
        at = next((place for place, star in enumerate(self._stars, 1) if star.id == self._here), 0)
        listed.set_count(len(self._stars) + 1, at)
        listed.styles.height = min(len(self._stars) + 1, 16)
        listed.focus()

    @on(LineList.Chosen)
    def action_take(self) -> None:
        at = self.query_one(StarList).cursor
        self.dismiss(NEW if at == 0 else self._stars[at - 1].id)

    def action_new(self) -> None:
        self.dismiss(NEW)

    def action_leave(self) -> None:
        self.dismiss(None)
