"""The backups of the stash: when the last was made, making one, and putting one back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar, cast

from rich.segment import Segment
from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.widgets import Static

from stash.errors import Fault
from stash.inventory.backup_files import Backup
from tui.commands import bindings_for
from tui.dialogs.base import Dialog
from tui.named_keys import with_keys
from tui.widgets.key_bar import KeyBar
from tui.widgets.line_list import LineList

if TYPE_CHECKING:
    from tui.app import StarcoverApp

SURE = "Restore this one? What is there now is backed up first. {backups.restore} restores, {backups.leave} leaves."
NONE = "There is no backup yet: the day's own is made when you rest after a save, {backups.make} makes one now."
MOST_LINES = 14


class BackupList(LineList):
    """Backups, newest first: when, why, how large."""

    def __init__(self) -> None:
        super().__init__()
        self.backups: tuple[Backup, ...] = ()

    def show(self, backups: Sequence[Backup]) -> None:
        self.backups = tuple(backups)
        self.set_count(len(self.backups), 0)
        self.styles.height = max(1, min(len(self.backups), MOST_LINES))

    def line(self, index: int, width: int) -> list[Segment]:
        one = self.backups[index]
        size = f"{one.size / 1_000_000:.1f} MB"
        return [
            Segment(f" {one.when()}", self.style_of("strong")),
            Segment(f"  {one.reason}, {size}", self.style_of("quiet")),
        ]


class BackupsDialog(Dialog[None]):
    """The backups there are. A restore asks once more, and backs up what is there first."""

    DEFAULT_CSS = """
    BackupsDialog { align: center middle; background: $background 60%; }
    BackupsDialog > Vertical { width: 76; max-width: 100%; height: auto; max-height: 90%; border: round $primary;
        background: $surface; padding: 0 1; border-title-color: $accent; }
    BackupsDialog BackupList { background: $surface; }
    BackupsDialog #where { color: $text-muted; height: auto; }
    BackupsDialog #said { height: auto; min-height: 1; max-height: 4; }
    """
    HERE = "backups"
    TITLE = "Backups"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for(HERE)

    def __init__(self) -> None:
        super().__init__()
        self._asked: Backup | None = None
        self._busy = False

    @property
    def _main(self) -> StarcoverApp:
        return cast("StarcoverApp", self.app)

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = Text("Backups").markup
            yield Static("", id="where", markup=False)
            yield BackupList()
            yield Static("", id="said", markup=False)
            yield KeyBar(self.HERE)

    def on_mount(self) -> None:
        self.query_one(BackupList).focus()
        self._read()

    def _read(self) -> None:
        self._main.read_backups(self._show, self._refused)

    def _show(self, backups: list[Backup]) -> None:
        if not self.is_attached:  # left before the answer came
            return
        last = f"The last one is of {backups[0].when()}." if backups else with_keys(NONE)
        self.query_one("#where", Static).update(last)
        self.query_one(BackupList).show(backups)

    def _say(self, text: str) -> None:
        """Here, or as a message where this was left meanwhile."""
        if self.is_attached:
            self.query_one("#said", Static).update(text)
        elif text:
            self._main.say(text)

    def _refused(self, fault: Fault) -> None:
        self._busy = False
        self._say(fault.line())

    def _begin(self, text: str) -> None:
        """Something is under way: keys wait until it is done."""
        self._busy = True
        self._asked = None
        self._say(text)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        return not self._busy

    def action_make(self) -> None:
        self._begin("Backing up ...")

        def made(one: Backup) -> None:
            self._busy = False
            self._say(f"Backed up, verified: {one.path.name}")
            if self.is_attached:
                self._read()

        self._main.back_up(made, self._refused)

    def action_restore(self) -> None:
        backups = self.query_one(BackupList)
        if not backups.backups or self._main.loaded.read_only:
            self._say(with_keys(NONE) if not backups.backups else "This stash can be read but not written.")
            return
        one = backups.backups[backups.cursor]
        if self._asked is not one:
            self._asked = one
            self._say(with_keys(SURE))
            return
        self._begin(f"Restoring the one of {one.when()} ...")
        self._main.restore_backup(one, self.action_leave, self._refused)

    @on(LineList.Moved)
    def _another(self) -> None:
        if self._asked is not None:
            self._asked = None
            self._say("")

    def action_leave(self) -> None:
        if self.is_attached:
            self.dismiss(None)
