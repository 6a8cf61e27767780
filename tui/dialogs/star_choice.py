"""Choose a saved star, or lay out a new one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, ClassVar, cast
from uuid import uuid4

from rich.cells import cell_len
from rich.segment import Segment
from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.widgets import Static

from stash.model import SavedStar
from tui.commands import bindings_for
from tui.dialogs.base import Dialog
from tui.named_keys import with_keys
from tui.screens.star_words import plural, star_text
from tui.widgets.fabric_lines import one_line
from tui.widgets.key_bar import KeyBar
from tui.widgets.line_list import LineList

if TYPE_CHECKING:
    from tui.app import StarcoverApp

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
    StarChoice #sure { height: auto; color: $text-warning; }
    """
    HERE = "stars"
    TITLE = "Open a star"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for(HERE)

    def __init__(self, stars: Sequence[SavedStar], here: int | None, begun: Mapping[int, str]) -> None:
        super().__init__()
        self._begun = begun
        self._stars = newest_first(stars)
        self._sure: int | None = None  # the star that the next press removes
        self._here = here

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = Text("Open a star").markup
            yield StarList(self._stars, self._begun)
            yield Static("", id="sure", markup=False)
            yield KeyBar(self.HERE)

    def on_mount(self) -> None:
        at = next((place for place, star in enumerate(self._stars, 1) if star.id == self._here), 0)
        self._show(at)
        self.query_one(StarList).focus()
        self.watch(self.app, "loaded", self._changed, init=False)

    def _show(self, at: int) -> None:
        listed = self.query_one(StarList)
        listed.stars = tuple(self._stars)
        listed.set_count(len(self._stars) + 1, at)
        listed.styles.height = min(len(self._stars) + 1, 16)

    def _changed(self) -> None:
        """The stars as last read, with the cursor where it was."""
        self._stars = newest_first(self.main.loaded.stars)
        self._show(min(self.query_one(StarList).cursor, len(self._stars)))

    @property
    def main(self) -> StarcoverApp:
        return cast("StarcoverApp", self.app)

    @property
    def star(self) -> SavedStar | None:
        """The saved star under the cursor."""
        at = self.query_one(StarList).cursor
        return self._stars[at - 1] if at else None

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action in ("rename", "remove"):
            return None if (self.is_mounted and self.star is None) or self.main.loaded.read_only else True
        return True

    @on(LineList.Chosen)
    def action_take(self) -> None:
        at = self.query_one(StarList).cursor
        self.dismiss(NEW if at == 0 else self._stars[at - 1].id)

    def action_new(self) -> None:
        self.dismiss(NEW)

    def action_rename(self) -> None:
        from tui.dialogs.text_prompt import TextPrompt

        saved = self.star
        if saved is None:
            return

        def take(name: str | None) -> None:
            if name and name.strip() and name != saved.name:
                uid = uuid4().hex
                self.main.save(
                    lambda store: store.rename_star(saved.id, name, uid=uid),
                    lambda now: self.main.say_done(f"{saved.name} is called {now.name} now"),
                )

        self.main.push_screen(TextPrompt("Give this star another name", "name", saved.name), take)

    def action_remove(self) -> None:
        """Remove the star under the cursor at the second press."""
        saved = self.star
        if saved is None:
            return
        if self._sure != saved.id:
            self._ask(saved)
            return
        self._ask(None)
        uid = uuid4().hex
        self.main.save(
            lambda store: store.drop_star(saved.id, uid=uid),
            lambda _: self.main.say_done(f"The star {saved.name} is removed"),
        )

    def _ask(self, saved: SavedStar | None) -> None:
        """Ask whether a star is to be removed; None: no longer."""
        self._sure = saved.id if saved else None
        told = f"Remove {one_line(saved.name)} with its colourings and plans? " if saved else ""
        self.query_one("#sure", Static).update(told + with_keys("{stars.remove} again removes it") if saved else "")

    @on(LineList.Moved)
    def _moved(self) -> None:
        self._ask(None)
        self.refresh_bindings()

    def action_leave(self) -> None:
        self.dismiss(None)


def newest_first(stars: Sequence[SavedStar]) -> list[SavedStar]:
    return sorted(stars, key=lambda star: -star.id)
