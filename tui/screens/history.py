"""The history: every change, newest first, and any of them taken back where nothing later builds on it."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import replace
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
from tui.when import local_time
from tui.widgets.fabric_lines import one_line
from tui.widgets.history_list import HistoryList
from tui.widgets.line_list import LineList

NOTHING = "Nothing was changed yet: each change will stand here, and can be taken back"
PAGE = 500
NEAR_END = 100  # entries below the cursor when the next page is read


def joined(page: Sequence[Entry], known: Sequence[Entry]) -> tuple[Entry, ...]:
    """The newest page before the `known` entries that are older than it, newest first.

    An entry never changes but for being undone, and each entry that did so names it. Where the newest known entry is
    not in the page too (much was done elsewhere, or a backup was put back), what is known is dropped.
    """
    if not known or not page or (known[0].op, known[0].uid) not in {(entry.op, entry.uid) for entry in page}:
        return tuple(page)
    older = list(known[bisect_left(known, -page[-1].op + 1, key=_downwards) :])
    for undo in page:
        at = place_of(older, undo.undo_of)
        if at is not None:
            older[at] = replace(older[at], undone=True)
    return (*page, *older)


def place_of(entries: Sequence[Entry], op: int | None) -> int | None:
    """Where an entry stands among `entries`, newest first; None where it does not."""
    if op is None:
        return None
    at = bisect_left(entries, -op, key=_downwards)
    return at if at < len(entries) and entries[at].op == op else None


def entry_words(entry: Entry) -> str:
    """An entry as a sentence: `Entry 12, 2026-03-04 18:05: Cut 2 strips of Fern for Evening, colouring 1 (undone)`."""
    undone = " (undone)" if entry.undone else ""
    return f"Entry {entry.op}, {local_time(entry.at)}: {one_line(entry.text)}{undone}"


def _downwards(entry: Entry) -> int:
    return -entry.op


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
        yield Static("", id="entry", markup=False)
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
        """Read the newest page anew and join it to what is shown, however much that is."""
        self._behind = False
        listed = self.query_one(HistoryList)

        def take(page: list[Entry]) -> None:
            kept = listed.current.op if listed.current is not None and listed.cursor else None
            entries = joined(page, listed.entries)
            self._whole = len(page) < PAGE or (self._whole and len(entries) > len(page))
            listed.show(entries, place_of(entries, kept) or 0)
            self._head()

        self.main.jobs.store(lambda store: list(store.history(limit=PAGE)), take, slot="history", owner=self)

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
        self.query_one("#head", Static).update(f"{words}, newest first" if number else NOTHING)
        self._show_entry()
        self.refresh_bindings()

    def _show_entry(self) -> None:
        """The entry in hand in full: its line in the list may be cut short."""
        entry = self.query_one(HistoryList).current
        said = entry_words(entry) if entry is not None else ""
        self.query_one("#entry", Static).update(said)

    @on(LineList.Moved, "#entries")
    def _moved(self) -> None:
        listed = self.query_one(HistoryList)
        self._say("")
        self._show_entry()
        if listed.cursor >= len(listed.entries) - NEAR_END:
            self._more()

    # -- undoing

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action == "undo_this":
            entry = self.query_one(HistoryList).current
            if entry is None or entry.undone:
                return None
        if action == "newest" and not self.query_one(HistoryList).entries:
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
