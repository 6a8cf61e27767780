"""The app's part that keeps the stash: it holds what was read, and hands reading and writing to the threads."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from textual import events
from textual.reactive import reactive

from stash.errors import Fault
from tui.jobs import Failed, Jobs
from tui.messages import JobDone, JobFailed
from tui.saying import SayingApp
from tui.state import Loaded, OpenStar, opened, read_stash
from tui.tidying import Tidying

if TYPE_CHECKING:
    from stash.inventory.store import Store
    from stash.inventory.troubles import StashGone

T = TypeVar("T")
LOOK_AGAIN = 2.0  # seconds between looks whether another program changed the stash


class KeepingApp(SayingApp):
    """An app on one stash."""

    loaded: reactive[Loaded] = reactive(Loaded(), init=False)
    """The stash as last read; a new object after every change."""
    opened: reactive[OpenStar | None] = reactive(None, init=False)
    """The star on the table."""

    def __init__(self, store_path: Path, prepare: Callable[[Path], object] | None = None) -> None:
        """`prepare` makes the stash at that path before it is opened, where it is not there yet."""
        super().__init__()
        self.store_path = store_path
        self.jobs = Jobs(self, store_path, prepare)
        self.tidying = Tidying()

    def on_load(self) -> None:
        self.tidying.start()

    async def on_event(self, event: events.Event) -> None:
        if isinstance(event, events.InputEvent):
            self.tidying.used()
        await super().on_event(event)

    def read(self, done: Callable[[Loaded], None], failed: Failed | None = None) -> None:
        """Read the whole stash."""
        self.jobs.store(read_stash, done, failed)

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

        def refused(fault: Fault) -> None:
            from stash.inventory.troubles import StashGone

            if isinstance(fault, StashGone):
                fault = StashGone(fault.what, fault.where, "say where to save a copy of what is open")
                self.file_is_gone(fault)
            (failed or self.show_fault)(fault)

        self.jobs.store(write, settle, refused)

    def file_is_gone(self, fault: StashGone) -> None:
        """The file is not under its name any more."""

    def close_stash(self) -> None:
        """Finish what is being saved and close the stash."""
        self.jobs.close()

    def change_stash(self, path: Path) -> None:
        """Close this stash; what is asked from now on goes to the one at `path`."""
        self.close_stash()
        self.store_path = path
        self.jobs = Jobs(self, path)

    def keep_looking(self) -> None:
        """Look every now and then whether another program changed the stash, and whether to tidy up."""
        self.set_interval(LOOK_AGAIN, self._look_again)
        self.set_interval(LOOK_AGAIN, self.tidying.rested)

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

    def on_unmount(self) -> None:
        self.close_stash()
        self.tidying.stop()
