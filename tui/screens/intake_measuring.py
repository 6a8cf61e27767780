"""Measuring many photographs behind the screen: a thread that starts the processes and posts what becomes of each."""

from __future__ import annotations

import itertools
import os
import sys
import threading
from collections.abc import Callable, Mapping, Sequence
from contextlib import redirect_stderr
from pathlib import Path
from typing import TYPE_CHECKING

from textual.message import Message

from tui.jobs import as_fault

if TYPE_CHECKING:
    from stash.errors import Fault
    from stash.intake import How, Looked

MOST_AHEAD = 60  # photographs measured and not yet looked at; each holds some hundred kB of pictures
GLANCE = 0.1  # seconds between looks whether the maker caught up
_NUMBERS = itertools.count(1)


class LookedAt(Message):
    """One photograph is done. `run` is the number of its `Measuring`."""

    def __init__(self, run: int, looked: Looked) -> None:
        self.run = run
        self.looked = looked
        super().__init__()


class MeasuringEnded(Message):
    """Nothing more comes of a run: all is done, it was stopped, or `fault` ended it."""

    def __init__(self, run: int, fault: Fault | None = None) -> None:
        self.run = run
        self.fault = fault
        super().__init__()


class Measuring:
    """One run over photographs, on a daemon thread: a maker who quits waits for no measuring."""

    def __init__(
        self,
        post: Callable[[Message], object],
        paths: Sequence[Path],
        how: How,
        known: Mapping[str, str],
    ) -> None:
        """`known` as in `look_at_all`."""
        self.number = next(_NUMBERS)
        self.paths = tuple(paths)
        self.how = how
        self._post = post
        self._known = dict(known)
        self._stop = threading.Event()
        self._room = threading.Semaphore(MOST_AHEAD)
        threading.Thread(target=self._run, name="starcover-intake", daemon=True).start()

    def stop(self) -> None:
        """Begin nothing new; what is being measured is finished, and `MeasuringEnded` comes."""
        self._stop.set()

    def taken(self) -> None:
        """The maker is done with one photograph: there is room for another."""
        self._room.release()

    def _run(self) -> None:
        from stash.intake import look_at_all

        try:
            ready_for_processes()
            look_at_all(
                self.paths, self.how, self._known, progress=self._done, stopped=self._stop.is_set, preview=True
            )
        except Exception as error:
            self._post(MeasuringEnded(self.number, as_fault(error)))
        else:
            self._post(MeasuringEnded(self.number))

    def _done(self, done: int, of: int, looked: Looked) -> None:
        self._post(LookedAt(self.number, looked))
        if looked.swatches:
            while not self._room.acquire(timeout=GLANCE) and not self._stop.is_set():
                pass


def ready_for_processes() -> None:
    """Textual's stand-in for standard error has no file behind it, and multiprocessing's tracker wants one when it
    is first started; so it is started here with the real one."""
    if os.name != "posix" or sys.__stderr__ is None:
        return
    from multiprocessing import resource_tracker

    with redirect_stderr(sys.__stderr__):
        resource_tracker.ensure_running()
