"""The history: every change, newest first, and any of them taken back where nothing later builds on it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar
from uuid import uuid4

from textual import on
from textual.binding import BindingType
from textual.widget import Widget
from textual.widgets import Static

from stash.errors import Fault
from stash.model import Entry
from tui.commands import bindings_for
from tui.screens.base import MainScreen
from tui.widgets.history_list import HistoryList
from tui.widgets.line_list import LineList

PAGE = 500
NEAR_END = 100  # entries below the cursor when the next page is read


class HistoryScreen(MainScreen):
    """Entries are read in pages as the cursor nears the end: a history of any length opens at once."""

    HERE = "history"
    CSS_PATH = "history.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for("history")

    def __init__(self) -> None:
        super().__init__()
        self._whole = False
        self._reading = False
        self._behind = False

    def compose_body(self) -> Iterable[Widget]:
        yield Static("", id="head", markup=False)
        yield HistoryList(id="entries")
        yield Static("", id="why", markup=False)

    def on_mount(self) -> None:
        self.query_one(HistoryList).focus()

    # -- reading

    def stash_changed(self) -> None:
        """The history is read when it is looked at, not at every change made elsewhere."""
        self._behind = True
        if self.is_current:
            self._read()

    def on_screen_resume(self) -> None:
        if self._behind:
            self._read()

    def _read(self) -> None:
        """Read anew as many entries as are shown, so that what was undone shows as undone."""
        self._behind = False
        listed = self.query_one(HistoryList)
        number = max(PAGE, len(listed.entries))
        kept = listed.current.op if listed.current is not None and listed.cursor else None

        def take(entries: list[Entry]) -> None:
            self._whole = len(entries) < number
            at = next((place for place, entry in enumerate(entries) if entry.op == kept), 0)
            listed.show(entries, at)
            self._head()

        self.main.jobs.store(lambda store: list(store.history(limit=number)), take, slot="history", owner=self)

    def _more(self) -> None:
        listed = self.query_one(HistoryList)
        if self._whole or self._reading or not listed.entries:
            return
        self._reading = True
        last = listed.entries[-1].op

        def take(entries: list[Entry]) -> None:
            self._reading = False
            if listed.entries and listed.entries[-1].op == last:
                self._whole = len(entries) < PAGE
                listed.show((*listed.entries, *entries), listed.cursor)
                self._head()

        def failed(fault: Fault) -> None:
            self._reading = False
            self.main.show_fault(fault)

        self.main.jobs.store(lambda store: list(store.history(limit=PAGE, before=last)), take, failed, owner=self)

    def _head(self) -> None:
        listed = self.query_one(HistoryList)
        number = len(listed.entries)
        words = f"{number} changes" if self._whole else f"the newest {number} changes, older ones below"
        self.query_one("#head", Static).update(f"{words}, newest first" if number else "Nothing was changed yet")
        self.refresh_bindings()

    @on(LineList.Moved, "#entries")
    def _moved(self) -> None:
        listed = self.query_one(HistoryList)
        self._say("")
        if listed.cursor >= len(listed.entries) - NEAR_END:
            self._more()

    # -- undoing

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action == "undo_this":
            entry = self.query_one(HistoryList).current
            if entry is None or entry.undone:
                return None
        return super().check_action(action, parameters)

    @on(LineList.Chosen, "#entries")
    def action_undo_this(self) -> None:
        """Take the entry under the cursor back; where that cannot be, say why and leave it."""
        entry = self.query_one(HistoryList).current
        if entry is None:
            return
        uid = uuid4().hex

        def done(undone: Entry) -> None:
            self._say("")
            self.main.say(undone.text)

        def refused(fault: Fault) -> None:
            self._say(f"✗ {fault.line()}")

        self.main.save(lambda store: store.undo(entry.op, uid=uid), done, refused)

    def action_newest(self) -> None:
        self.query_one(HistoryList).cursor = 0

    def _say(self, text: str) -> None:
        self.query_one("#why", Static).update(text)
