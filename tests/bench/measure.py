"""How a figure is got: ours and a reference turn about, so that whatever else the machine does slows both."""

from __future__ import annotations

import gc
import time
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from statistics import median


@dataclass(frozen=True, slots=True)
class Figure:
    """One line of the table.

    `ours` and `reference` are medians, in `unit`. `ratio` is the median of ours over the reference, round by round:
    under 1 is less than the reference. `goal` says what is wanted and `met` whether it is so; None: nothing is wanted.
    """

    what: str
    ours: float
    against: str
    reference: float
    ratio: float
    goal: str = ""
    met: bool | None = None
    unit: str = "s"


@dataclass(frozen=True, slots=True)
class Goal:
    """The most that a figure may be: its ratio, its own seconds, or its seconds over the reference's."""

    ratio: float | None = None
    seconds: float | None = None
    over: float | None = None

    def said(self) -> str:
        parts = []
        if self.ratio is not None:
            parts.append(f"1/{1 / self.ratio:.0f}" if self.ratio < 0.1 else f"{self.ratio:g} x")
        if self.seconds is not None:
            parts.append(f"{self.seconds:g} s")
        if self.over is not None:
            parts.append(f"+{1000 * self.over:.0f} ms")
        return ", ".join(parts)

    def met_by(self, ours: float, reference: float, ratio: float) -> bool:
        asked = ((self.ratio, ratio), (self.seconds, ours), (self.over, ours - reference))
        return all(most is None or value <= most for most, value in asked)


def timed(action: Callable[[], object], clock: Callable[[], float] = time.perf_counter) -> float:
    """Seconds that one call takes: on the wall's clock, or of all cores together with `time.process_time`."""
    start = clock()
    action()
    return clock() - start


def compared(
    what: str,
    ours: Callable[[], object],
    against: str,
    reference: Callable[[], object],
    goal: Goal | None = None,
    rounds: int = 9,
    clock: Callable[[], float] = time.perf_counter,
) -> Figure:
    """Time both turn about, after one try of each that does not count."""
    ours()
    reference()
    own: list[float] = []
    other: list[float] = []
    for number in range(rounds):
        gc.collect()
        if number % 2:  # what comes first finds the machine as the round before left it
            own.append(timed(ours, clock))
        other.append(timed(reference, clock))
        if not number % 2:
            own.append(timed(ours, clock))
    return figure(what, own, against, other, goal)


async def compared_async(
    what: str,
    ours: Callable[[], Awaitable[float]],
    against: str,
    reference: Callable[[], Awaitable[float]],
    goal: Goal | None = None,
    rounds: int = 5,
) -> Figure:
    """The same for what runs in an event loop and measures itself."""
    pairs = [(await ours(), await reference()) for _ in range(rounds + 1)][1:]
    return figure(what, [one for one, _ in pairs], against, [one for _, one in pairs], goal)


def figure(
    what: str, ours: list[float], against: str, reference: list[float], goal: Goal | None = None, unit: str = "s"
) -> Figure:
    """A figure from what was measured. Rounds are taken together where there are as many of both."""
    own, other = median(ours), median(reference)
    same = len(ours) == len(reference)
    ratio = median(a / b for a, b in zip(ours, reference, strict=True)) if same else own / other
    met = None if goal is None else goal.met_by(own, other, ratio)
    return Figure(what, own, against, other, ratio, "" if goal is None else goal.said(), met, unit)
