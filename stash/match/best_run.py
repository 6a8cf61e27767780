"""With which run of fabrics a star is begun that was picked for its size: the best that the stash has for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum

from stash.match.wishes import Wishes
from stash.model import Fabric, Mark, Star, Suggestions
from stash.model import Sequence as Run


class Standing(Enum):
    """What a run is to the stash."""

    FIRST = "the first suggestion, all of it measured"
    LISTED = "the first suggestion that is all measured"
    MEASURED = "the first of measured fabrics alone, which is not in the list"
    UNMEASURED = "the first suggestion: every one rests on fabrics not measured yet"
    SHORT = "short of cloth"
    CLOSE = "without the least step of value"
    NONE = "there is no run"


@dataclass(frozen=True, slots=True)
class BestRun:
    """The `run`, None where there is none: `answer` says why then. `number` is its place in the list of suggestions,
    from 1; `proven` is False where the time was up before a run that covers the star was found; `least_step` is that of
    value (L*) which a close run falls short of."""

    answer: Suggestions
    standing: Standing
    run: Run | None = None
    number: int = 1
    proven: bool = True
    least_step: float = 0.0


def best_run(star: Star, fabrics: Sequence[Fabric], wishes: Wishes, listed: int) -> BestRun:
    """The first suggestion, or the first of measured fabrics alone where there is such; where the stash covers none,
    a run that is short of cloth, and else one without the least step.

    listed -- how many suggestions the maker sees in the list of them.
    """
    from stash.match.sequence import suggest

    first = suggest(star, fabrics, replace(wishes, top=1))
    if first.sequences:
        return _covered(star, fabrics, wishes, first, listed)
    short = suggest(star, fabrics, replace(wishes, top=1, any=True))
    if short.sequences:
        return BestRun(short, Standing.SHORT, short.sequences[0], proven=first.proven)
    for ask in (replace(wishes, top=1, min_step=0.0), replace(wishes, top=1, min_step=0.0, any=True)):
        close = suggest(star, fabrics, ask)
        if close.sequences:
            return BestRun(close, Standing.CLOSE, close.sequences[0], least_step=short.min_step)
    return BestRun(close, Standing.NONE)


def _covered(star: Star, fabrics: Sequence[Fabric], wishes: Wishes, first: Suggestions, listed: int) -> BestRun:
    from stash.match.sequence import suggest

    if _is_measured(first.sequences[0]):
        return BestRun(first, Standing.FIRST, first.sequences[0])
    several = suggest(star, fabrics, replace(wishes, top=listed))
    for number, run in enumerate(several.sequences, start=1):
        if _is_measured(run):
            return BestRun(several, Standing.LISTED, run, number)
    measured = suggest(star, fabrics, replace(wishes, top=1, measured=True))
    if measured.sequences and _is_measured(measured.sequences[0]):
        return BestRun(measured, Standing.MEASURED, measured.sequences[0])
    return BestRun(first, Standing.UNMEASURED, first.sequences[0])


def _is_measured(run: Run) -> bool:
    return Mark.UNMEASURED not in run.marks
