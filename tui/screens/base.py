"""What all main screens share: title line, footer, and being told when the stash or the open star changed.

A screen sets `HERE` (its name in the commands table), `BINDINGS = bindings_for(HERE)`, `CSS_PATH`, yields its
middle from `compose_body` and overrides `stash_changed` and `star_changed`.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.screen import Screen
from textual.widget import Widget

from tui.commands import WRITING
from tui.widgets.key_bar import KeyBar
from tui.widgets.title_bar import TitleBar

if TYPE_CHECKING:
    from tui.app import StarcoverApp


WITH_ROOM_BESIDE = [(0, "-narrow"), (118, "-wide")]
"""For screens of a list: words stand beside it only where none of its columns is lost for them."""


class MainScreen(Screen[None]):
    """One of the screens that a single key reaches from anywhere."""

    HERE: ClassVar[str] = ""
    AUTO_FOCUS = ""
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]  # noqa: RUF012

    @property
    def main(self) -> StarcoverApp:
        """The app, with its own type."""
        return cast("StarcoverApp", self.app)

    def compose(self) -> ComposeResult:
        yield TitleBar(self.HERE)
        yield from self.compose_body()
        yield KeyBar(self.HERE)

    def compose_body(self) -> Iterable[Widget]:
        """The widgets between title and footer."""
        return ()

    def on_mount(self) -> None:
        self.watch(self.app, "loaded", self._loaded)
        self.watch(self.app, "opened", self._opened)

    def _loaded(self) -> None:
        self.query_one(TitleBar).note = self.main.stash_note
        self.refresh_bindings()
        self.stash_changed()

    def _opened(self) -> None:
        self.star_changed()

    def stash_changed(self) -> None:
        """The fabrics or saved stars in `self.main.loaded` are new (also called once at the start)."""

    def star_changed(self) -> None:
        """The open star `self.main.opened` is another one, or none (also called once at the start)."""

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Commands that write are dimmed while the stash cannot be written."""
        if (self.HERE, action) in WRITING and self.main.loaded.read_only:
            return None
        return True
