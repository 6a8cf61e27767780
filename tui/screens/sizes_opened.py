"""With which run of fabrics a star of the Sizes screen is opened: the best there is. It takes its time: call it on a
thread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stash.match.wishes import Wishes
from stash.model import Fabric, Mark, Star, Suggestions
from stash.model import Sequence as Run
from tui.named_keys import key_of
from tui.screens.star_words import steps_text

CLOSE = "No run has steps of value (L*) of {least:.1f} or more: here are {steps}, and rows may blur"


@dataclass(frozen=True)
class Opening:
    """The `run` to open a star with, None where there is none: then `answer` says why. `said` is a sentence's end, to
    say once; `note` is to stay beside the star."""

    answer: Suggestions
    run: Run | None = None
    said: str = ""
    note: str = ""


def opening(star: Star, fabrics: Sequence[Fabric], wishes: Wishes, listed: int) -> Opening:
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
        said = "is saved, not covered: the list says what does cover it"
        if not first.proven:
            said = "is saved; the time was up before a run that covers it was found"
        return Opening(short, short.sequences[0], said)
    for ask in (replace(wishes, top=1, min_step=0.0), replace(wishes, top=1, min_step=0.0, any=True)):
        close = suggest(star, fabrics, ask)
        if close.sequences:
            run = close.sequences[0]
            steps = steps_text([fabric.colour.L for fabric in run.fabrics if fabric.colour])
            note = CLOSE.format(least=short.min_step, steps=steps)
            return Opening(close, run, "is saved, though its values lie too close together", note)
    return Opening(close)


def _covered(star: Star, fabrics: Sequence[Fabric], wishes: Wishes, first: Suggestions, listed: int) -> Opening:
    """The first suggestion of measured fabrics alone, by its number in the list where it is there."""
    from stash.match.sequence import suggest

    undo = f". {key_of('app.undo')} takes it back"
    if _is_measured(first.sequences[0]):
        return Opening(first, first.sequences[0], f"is saved with its first suggestion{undo}")
    several = suggest(star, fabrics, replace(wishes, top=listed))
    for number, run in enumerate(several.sequences, start=1):
        if _is_measured(run):
            said = f"is saved with suggestion {number}, the first that is all measured{undo}"
            return Opening(several, run, said)
    measured = suggest(star, fabrics, replace(wishes, top=1, measured=True))
    if measured.sequences and _is_measured(measured.sequences[0]):
        return Opening(measured, measured.sequences[0], f"is saved with a run of measured fabrics alone{undo}")
    asks = f"; {key_of('star.have')} asks about what is not measured"
    return Opening(first, first.sequences[0], f"is saved with its first suggestion{asks}{undo}")


def _is_measured(run: Run) -> bool:
    return Mark.UNMEASURED not in run.marks
