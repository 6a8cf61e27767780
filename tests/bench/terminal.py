"""A program in a terminal of its own, timed until something stands on its screen. (Systems with pseudo-terminals.)"""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import termios
import time
from collections.abc import Mapping, Sequence

ROWS, COLUMNS = 40, 120
PATIENCE = 60.0  # seconds
ANSWERS = {  # what terminals of today say when asked what they are, and for the size of a cell in pixels
    b"\x1b[c": b"\x1b[?62;22c",
    b"\x1b[14t": b"\x1b[4;800;1200t",
    b"\x1b[16t": b"\x1b[6;20;10t",
}


def seconds_until(command: Sequence[str], shown: str, environment: Mapping[str, str]) -> float:
    """From the start of `command` to the first time that `shown` is written to its terminal."""
    start = time.perf_counter()
    child, terminal = pty.fork()
    if child == 0:  # the program itself
        os.execvpe(command[0], list(command), dict(environment))
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
    try:
        return _until(terminal, shown.encode(), start)
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(terminal)


def _until(terminal: int, shown: bytes, start: float) -> float:
    seen = b""
    answered = 0
    while (left := start + PATIENCE - time.perf_counter()) > 0:
        if select.select([terminal], [], [], left)[0]:
            try:
                seen += os.read(terminal, 65536)
            except OSError:  # the program ended
                break
            if shown in seen:
                return time.perf_counter() - start
            for asked, answer in ANSWERS.items():
                if asked in seen[answered:]:
                    os.write(terminal, answer)
                    answered = len(seen)
    raise AssertionError(f"{shown!r} was never shown; the end was {seen[-2000:]!r}")
