"""Python's full search for garbage, put off until the maker rests.

The collector stops the whole program while it looks at every object: 0.2 s with ten thousand fabrics in memory, in
the middle of whatever is typed. What a list makes and drops is freed without it; only things that hold each other, as
closed dialogs do, wait for it.
"""

from __future__ import annotations

import gc
import time
from collections.abc import Callable

REST = 2.0  # seconds without a key or a mouse event
YOUNG = 20  # small collections since the last full one that make another worth while
MOST_PUT_OFF = 1000  # a full one comes after so many small ones, rest or not: some seven million objects


class Tidying:
    """While it is on, full collections come at `rested`, which is called every now and then."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._last = clock()
        self._before: tuple[int, int, int] | None = None

    def start(self) -> None:
        if self._before is None:
            self._before = gc.get_threshold()
            gc.set_threshold(self._before[0], self._before[1], MOST_PUT_OFF)

    def stop(self) -> None:
        if self._before is not None:
            gc.set_threshold(*self._before)
            self._before = None

    def used(self) -> None:
        """The maker pressed a key or moved the mouse."""
        self._last = self._clock()

    def rests_for(self, seconds: float) -> bool:
        """Whether no key and no mouse event came for so long."""
        return self._clock() - self._last >= seconds

    def rested(self) -> bool:
        """Collect where the maker rests and it is worth while; whether it was."""
        if not self.rests_for(REST) or gc.get_count()[2] < YOUNG:
            return False
        gc.collect()
        return True
