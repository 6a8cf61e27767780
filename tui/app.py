"""The app: it holds what was read, hands work to the threads, and knows the way from screen to screen."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import ClassVar, TypeVar
from uuid import uuid4

from textual.app import App
from textual.binding import BindingType
from textual.reactive import reactive

from stash.errors import Fault
from stash.inventory.store import Store
from stash.model import Entry, SavedStar
from tui.commands import WRITING, bindings_for
from tui.jobs import Failed, Jobs
from tui.messages import JobDone, JobFailed
from tui.palette import FindProvider
from tui.screens.modes import MODES
from tui.screens.star_desk import StarDesk
from tui.state import Loaded, OpenStar, first_star, opened, read_stash
from tui.themes import THEMES

T = TypeVar("T")
LOOK_AGAIN = 2.0  # seconds between looks whether another program changed the stash


class StarcoverApp(App[None]):
    """The interface on one stash."""

    TITLE = "starcover"
    CSS_PATH = "app.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for("app")
    COMMANDS: ClassVar = {FindProvider}
    MODES = MODES

    loaded: reactive[Loaded] = reactive(Loaded(), init=False)
    """The stash as last read; a new object after every change."""
    opened: reactive[OpenStar | None] = reactive(None, init=False)
    """The star on the table."""

    def __init__(self, store_path: Path, *, demo: bool = False, first_start: bool = False) -> None:
        super().__init__()
        self.store_path = store_path
        self.demo = demo
        self.first_start = first_start
        self.fault: Fault | None = None
        self.jobs = Jobs(self, store_path)
        self.desk = StarDesk()
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = THEMES[0].name

    @property
    def stash_note(self) -> str:
        """What the title line says about the stash that is open."""
        name = "demo: a throw-away copy" if self.demo else self.store_path.name
        return f"{name} (read only)" if self.loaded.read_only else name

    # -- reading and writing

    def on_mount(self) -> None:
        self.jobs.store(read_stash, self._started, self._cannot_start)

    def _started(self, loaded: Loaded) -> None:
        self.loaded = loaded
        self.opened = first_star(loaded.stars)
        self.switch_mode("star" if self.opened else "stash")
        if self.first_start:
            self.say(f"A stash was made at {self.store_path}")
        self.set_interval(LOOK_AGAIN, self._look_again)

    def _cannot_start(self, fault: Fault) -> None:
        self.fault = fault
        self.exit(return_code=fault.exit_code)

    def save(
        self,
        call: Callable[[Store], T],
        done: Callable[[T], None] | None = None,
        failed: Failed | None = None,
    ) -> None:
        """Write with `call` on the stash's thread, then read the stash again; `done` comes after both.

        Make the `uid` of the write before calling, where the form opens. Without `failed` a Fault is a toast.
        """

        def write(store: Store) -> tuple[T, Loaded]:
            return call(store), read_stash(store)

        def settle(answer: tuple[T, Loaded]) -> None:
            result, loaded = answer
            self._take(loaded)
            if done is not None:
                done(result)

        self.jobs.store(write, settle, failed)

    def _take(self, loaded: Loaded) -> None:
        """Show what was read; the open star stays open under its new record, or closes when it is gone."""
        self.loaded = loaded
        if self.opened is not None:
            now = next((star for star in loaded.stars if star.id == self.opened.saved.id), None)
            self.opened = opened(now, self.opened.number) if now else None

    def _look_again(self) -> None:
        seen = self.loaded.token

        def read_if_changed(store: Store) -> Loaded | None:
            return None if store.change_token() == seen else read_stash(store)

        def settle(loaded: Loaded | None) -> None:
            if loaded is not None:
                self._take(loaded)

        if self.jobs.idle:
            self.jobs.store(read_if_changed, settle, slot="look")

    def on_job_done(self, message: JobDone) -> None:
        self.jobs.deliver(message)

    def on_job_failed(self, message: JobFailed) -> None:
        fault = self.jobs.deliver(message)
        if fault is not None:
            self.show_fault(fault)

    # -- saying

    def say(self, text: str) -> None:
        """A toast. The text is shown as it is."""
        self.notify(text, markup=False)

    def show_fault(self, fault: Fault) -> None:
        self.notify(fault.line(), severity="error", timeout=8, markup=False)

    # -- ways

    def open_star(self, saved: SavedStar, number: int | None = None) -> None:
        """Put a saved star on the table and go to it."""
        self.opened = opened(saved, number)
        self.switch_mode("star")

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
            self.push_screen(HelpScreen(self.current_mode))

    def action_undo(self) -> None:
        uid = uuid4().hex

        def said(entry: Entry) -> None:
            self.say(entry.text)

        self.save(lambda store: store.undo(uid=uid), said)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if ("app", action) in WRITING and self.loaded.read_only:
            return None
        return True

    def on_unmount(self) -> None:
        self.jobs.close()


def run(store_path: Path, *, demo: bool = False, first_start: bool = False) -> None:
    """Open the interface on a stash. Raises Fault when the stash cannot be opened."""
    app = StarcoverApp(store_path, demo=demo, first_start=first_start)
    app.run()
    if app.fault is not None:
        raise app.fault
