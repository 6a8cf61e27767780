"""The app's part that keeps the stash safe: backups, putting one back, and a copy where the file is gone."""

from __future__ import annotations

import logging
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from stash.errors import Fault
from tui.jobs import Failed
from tui.keeping import LOOK_AGAIN, KeepingApp
from tui.state import Loaded
from tui.widgets.title_bar import TitleBar

if TYPE_CHECKING:
    from stash.inventory.backup_files import Backup
    from stash.inventory.restore import Restored
    from stash.inventory.store import Store
    from stash.inventory.troubles import StashGone

log = logging.getLogger(__name__)
REST = 20.0  # seconds without a key after a save: then the day's backup is made, where it is due


class BackingApp(KeepingApp):
    """An app that backs its stash up. A throw-away copy of the demo is not worth a backup."""

    DEMO_NOTE: ClassVar[str] = "The demo is a throw-away copy: it has no backups."

    def __init__(
        self, store_path: Path, *, demo: bool = False, prepare: Callable[[Path], object] | None = None
    ) -> None:
        super().__init__(store_path, prepare)
        self.demo = demo
        self.no_backup: Fault | None = None
        self._works_on_copy = False
        self._made_before = False  # the day's backup, while this stash was open
        self._asked_for: object = None  # the state of the stash that a daily backup was last asked for

    @property
    def stash_note(self) -> str:
        """What the title line says about the stash that is open."""
        name = "demo: a throw-away copy" if self.demo else self.store_path.name
        return f"read only: {name}" if self.loaded.read_only else name

    def compose(self) -> ComposeResult:
        """What stands there while the stash is read."""
        title = TitleBar("")
        title.note = self.stash_note
        yield title
        yield Static("Opening the stash ...", classes="quiet")

    def read_backups(self, done: Callable[[list[Backup]], None], failed: Failed) -> None:
        from stash.inventory.backup_files import backups_of

        self.jobs.store(lambda store: backups_of(store.path), done, failed)

    def back_up(self, done: Callable[[Backup], None], failed: Failed) -> None:
        """Make a backup now."""
        from stash.inventory import backup

        self.jobs.store(lambda store: backup.make(store.path), done, failed)

    def keep_looking(self) -> None:
        super().keep_looking()
        self.set_interval(LOOK_AGAIN, self.back_up_at_rest)

    def back_up_at_rest(self) -> None:
        """The day's backup, where it is due and the maker rests after a save, whatever then ends the program."""
        resting = self.jobs.idle and self.tidying.rests_for(REST)
        if self.demo or not resting or not self.jobs.has_saved or self._asked_for is self.loaded.token:
            return
        self._asked_for = self.loaded.token
        from stash.inventory import backup

        def made(one: Backup | None) -> None:
            self._made_before = self._made_before or one is not None

        def failed(trouble: Fault) -> None:  # it is tried once more when the stash is closed, and then said
            log.warning("no backup: %s", trouble.line())

        self.jobs.store(lambda store: backup.daily(store.path), made, failed, slot="daily")

    def restore_backup(self, one: Backup, done: Callable[[], None], failed: Failed) -> None:
        """Make the stash what a backup is, and show it."""
        from stash.inventory.restore import restore

        def put_back(store: Store) -> Restored:
            return restore(one.path, store.path)

        def settle(restored: Restored) -> None:
            self.change_stash(restored.path)
            done()
            self.read(self.show_first)
            self.say(f"The stash is now as it was on {one.when()}. What was there before is backed up.")

        self.jobs.store(put_back, settle, failed)

    def show_first(self, loaded: Loaded) -> None:
        """Show what was read as at a start."""
        raise NotImplementedError

    def place_warnings(self, done: Callable[[str], None]) -> None:
        """What its maker should know of where the stash and its backups lie ("" for nothing)."""

        def look(store: Store) -> str:
            from stash.inventory import backup, places

            said = places.warnings(store.transactions.found)
            trouble = None if self.demo or store.read_only else backup.trouble(store.path)
            return " ".join([*said, *([trouble.line()] if trouble else [])])

        self.jobs.store(look, done)

    async def action_quit(self) -> None:
        """Leave, after the day's backup where it is due: a large stash takes seconds, so a word is said meanwhile."""
        if self.demo or not self.jobs.has_saved:
            self.exit()
            return

        def leave(_: object) -> None:
            self.exit()

        from stash.inventory import backup

        def back_up(due: bool) -> None:
            if due:
                self.say("Making today's backup; then starcover ends.")
                self.jobs.store(lambda store: backup.make(store.path, backup.DAILY), leave, leave)
            else:
                self.exit()

        made = self._made_before
        self.jobs.store(lambda store: backup.is_wanted_at_the_end(store.path, made), back_up, leave, slot="leaving")

    def close_stash(self) -> None:
        """Close it, with the day's backup where something was saved and it was not made before."""
        super().close_stash()
        if self.jobs.saved and not self.demo and not self._works_on_copy:
            from stash.inventory import backup

            try:
                if backup.is_wanted_at_the_end(self.store_path, self._made_before):
                    backup.make(self.store_path, backup.DAILY)
            except Fault as trouble:
                self.no_backup = trouble
                log.warning("no backup: %s", trouble.line())

    def file_is_gone(self, fault: StashGone) -> None:
        """The file is not under its name any more: ask where to save what is still open."""
        from tui.dialogs.text_prompt import TextPrompt

        if isinstance(self.screen, TextPrompt):
            return
        name = self.store_path.with_name(f"{self.store_path.stem}-saved{self.store_path.suffix}")
        title = "The stash file is gone. Save a copy as"

        def save(answer: str | None) -> None:
            if answer:
                self.jobs.store(lambda store: store.save_copy(answer.strip()), self._go_on_with)

        self.push_screen(TextPrompt(title, "File", str(name), fault.what), save)

    def _go_on_with(self, copy: Path) -> None:
        self._works_on_copy = True  # of a stash that is gone nothing can be backed up
        self.change_stash(copy)
        self._works_on_copy = False
        self.read(self._take)
        self.say(f"You work on {copy} now. What was not saved can be saved there.")
