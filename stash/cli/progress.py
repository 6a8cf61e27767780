"""A long job at the command line: how far it is, and how it ends in good order when it is stopped."""

from __future__ import annotations

import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from types import FrameType

from stash.cli.output import clean, columns, write

EVERY = 10  # where lines stay, only so many of them


class Counter:
    """ "23 of 60" on standard error: one line that is written over on a terminal, else every tenth on its own."""

    def __init__(self) -> None:
        self.one_line = sys.stderr.isatty()
        self.wide = 0

    def __call__(self, done: int, of: int, what: str) -> None:
        if self.one_line:
            self._over(f"{done} of {of}  {clean(what[:40])}")
        elif of >= EVERY and (done % EVERY == 0 or done == of):
            write(sys.stderr, f"{done} of {of}")

    def end(self) -> None:
        """Leave no half line behind."""
        if self.wide:
            self._over("")

    def _over(self, text: str) -> None:
        blank = " " * max(0, self.wide - columns(text))
        self.wide = columns(text)
        encoding = sys.stderr.encoding or "utf-8"
        safe = text.encode(encoding, "backslashreplace").decode(encoding)
        sys.stderr.write(f"\r{safe}{blank}" + ("" if text else "\r"))
        sys.stderr.flush()


@contextmanager
def until_interrupted() -> Iterator[Callable[[], bool]]:
    """Inside, the first Ctrl-C only makes the given function say yes; a second one ends the program as usual."""
    seen = threading.Event()

    def interrupted(number: int, frame: FrameType | None) -> None:
        if seen.is_set():
            raise KeyboardInterrupt
        seen.set()

    try:
        before = signal.signal(signal.SIGINT, interrupted)
    except ValueError:  # not in the main thread: nobody can press Ctrl-C here
        yield seen.is_set
        return
    try:
        yield seen.is_set
    finally:
        signal.signal(signal.SIGINT, before)


@contextmanager
def ended_in_order() -> Iterator[None]:
    """Inside, SIGTERM and the closing of the terminal end the program as a Ctrl-C does: what was half made is cleared
    away first. The exit code is the one that shells give them."""

    def end(number: int, frame: FrameType | None) -> None:
        raise SystemExit(128 + number)

    before = {}
    for name in ("SIGTERM", "SIGHUP"):
        if (number := getattr(signal, name, None)) is not None and signal.getsignal(number) is signal.SIG_DFL:
            with suppress(ValueError):  # not in the main thread
                before[number] = signal.signal(number, end)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
