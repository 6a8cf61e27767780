"""The app: which stash it opens, what it shows first, and the ways from screen to screen."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import ClassVar
from uuid import uuid4

from textual.binding import BindingType

from stash.errors import Fault
from stash.model import Colouring, Entry, SavedStar
from stash.paths import keys_file
from tui.backing_up import BackingApp
from tui.commands import WRITING, bindings_for
from tui.jobs import as_fault
from tui.logfile import log_to_file
from tui.named_keys import name_keys
from tui.palette import Finding, FindProvider
from tui.preferences import keep_theme, offer_themes
from tui.remapping import read_keys
from tui.screens.modes import MODES
from tui.screens.star_desk import StarDesk
from tui.state import Loaded, first_star, opened
from tui.themes import THEMES
from tui.widgets.chip import colours_note
from tui.widgets.sharp_picture import ask_terminal


class StarcoverApp(Finding, BackingApp):
    """The interface on one stash."""

    TITLE = "starcover"
    CSS_PATH = "app.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for("app")
    COMMANDS: ClassVar = {FindProvider}
    ALLOW_SELECT = False  # terminals select text; the library's own way breaks down over widgets that just went
    MODES = MODES

    def __init__(
        self,
        store_path: Path,
        *,
        demo: bool = False,
        first_start: bool = False,
        make_demo: Callable[[], Path] | None = None,
        prepare: Callable[[Path], object] | None = None,
    ) -> None:
        """`make_demo` makes a throw-away copy of the demo stash and gives its path; without it none is offered.
        `prepare` makes the stash at `store_path`, where it is not there yet."""
        super().__init__(store_path, demo=demo, prepare=prepare)
        self.first_start = first_start
        self.make_demo = make_demo
        self.fault: Fault | None = None
        self.desk = StarDesk()
        self.remapped = read_keys(keys_file())
        self._theme_kept = offer_themes(self, THEMES)
        self.theme = self._theme_kept

    # -- the start

    def on_mount(self) -> None:
        self.set_keymap(self.remapped.keys)
        name_keys(self.remapped.keys)
        self.call_after_refresh(self.read, self._started, self._cannot_start)

    def _started(self, loaded: Loaded) -> None:
        self.show_first(loaded)
        made = f"A stash was made at {self.store_path}. " if self.first_start else ""
        note = made + colours_note(self)
        if note:
            self.say(note.strip())
        self._warn(self.remapped.said(keys_file()))
        self.place_warnings(self._warn)
        self.keep_looking()

    def _warn(self, text: str) -> None:
        if text:
            self.notify(text, severity="warning", timeout=12, markup=False)

    def show_first(self, loaded: Loaded) -> None:
        """A stash with a star shows it; the others show their fabrics."""
        self.loaded = loaded
        self.opened = first_star(loaded)
        self.switch_mode("star" if self.opened else "stash")

    def watch_theme(self, name: str) -> None:
        """The theme that is chosen is the one to begin with next time."""
        if name != self._theme_kept:
            self._theme_kept = name
            keep_theme(name)

    def watch_loaded(self, loaded: Loaded) -> None:
        self.desk.stash_read(loaded.fabrics)

    def _cannot_start(self, fault: Fault) -> None:
        self.fault = fault
        self.exit(return_code=fault.exit_code)

    def _handle_exception(self, error: Exception) -> None:
        """A fault of our own ends the app with one line; its traceback goes to the log, not onto the screen."""
        self.fault = self.fault or as_fault(error)
        super()._handle_exception(error)
        if not self.is_headless:
            self._exit_renderables.clear()

    def open_demo(self) -> None:
        """Leave this stash for a throw-away copy of the demo stash."""

        def go(path: Path) -> None:
            self.change_stash(path)
            self.demo = True
            self.read(self.show_first)

        if self.make_demo is not None:
            self.jobs.search(self.make_demo, go, slot="demo")

    # -- ways

    def open_star(self, saved: SavedStar, number: int | None = None) -> None:
        """Put a saved star on the table and go to it."""
        self.opened = opened(saved, number)
        self.switch_mode("star")

    def print_star(self, saved: SavedStar, number: int, colouring: Colouring) -> None:
        """Show a colouring's pages as they will be, and write them to a file."""
        from tui.dialogs.paper import PaperDialog
        from tui.screens.printing import Printed

        counts = self.desk.wishes_for(saved.id).counts
        cloth, as_it_is = (
            tuple(one for one in self.loaded.cloth_for(saved.id, each) if not one.archived)
            for each in (counts, replace(counts, after_wash=False))
        )
        dialog = PaperDialog(Printed(saved, number, colouring, cloth, as_it_is, self.desk.paper))
        self.push_screen(dialog, lambda said: self.say(said) if said else None)

    async def find_fabric(self, fabric_id: int) -> None:
        """Go to the stash with the cursor on a fabric."""
        from tui.screens.stash import StashScreen

        await self.switch_mode("stash")
        if isinstance(self.screen, StashScreen):
            self.screen.find(fabric_id)

    def action_go(self, mode: str) -> None:
        self.switch_mode(mode)

    def action_help(self) -> None:
        from tui.screens.help import HelpScreen

        if not isinstance(self.screen, HelpScreen):
            self.push_screen(HelpScreen(self.screen, self.current_mode))

    def action_backups(self) -> None:
        from tui.dialogs.backups import BackupsDialog

        if self.demo:
            self.say(self.DEMO_NOTE)
        elif not isinstance(self.screen, BackupsDialog):
            self.push_screen(BackupsDialog())

    def action_undo(self) -> None:
        uid = uuid4().hex

        def said(entry: Entry) -> None:
            self.say(entry.text)

        self.save(lambda store: store.undo(uid=uid), said)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if ("app", action) in WRITING and self.loaded.read_only:
            return None
        return True


def run(
    store_path: Path,
    *,
    demo: bool = False,
    first_start: bool = False,
    make_demo: Callable[[], Path] | None = None,
    prepare: Callable[[Path], object] | None = None,
) -> None:
    """Open the interface on a stash (see `StarcoverApp`).

    Raises Fault when the stash cannot be opened, and for a fault of our own, whose traceback is in the log file.
    """
    log_to_file()
    ask_terminal()
    app = StarcoverApp(store_path, demo=demo, first_start=first_start, make_demo=make_demo, prepare=prepare)
    app.run()
    if app.no_backup is not None:
        sys.stderr.write(f"starcover: all is saved, but without today's backup: {app.no_backup.line()}\n")
    if app.fault is not None:
        raise app.fault
