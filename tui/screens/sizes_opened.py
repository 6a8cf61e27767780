"""What is said of the run that a star of the Sizes screen is opened with. Pure functions."""

from __future__ import annotations

from stash.match.best_run import BestRun, Standing
from tui.named_keys import key_of
from tui.screens.star_words import steps_text

CLOSE = "No run has steps of value (L*) of {least:.1f} or more: here are {steps}, and rows may blur"


def opened_text(best: BestRun) -> str:
    """The end of a sentence that begins with the star's name, to be said once."""
    undo = f". {key_of('app.undo')} takes it back"
    match best.standing:
        case Standing.FIRST:
            return f"is saved with its first suggestion{undo}"
        case Standing.LISTED:
            return f"is saved with suggestion {best.number}, the first that is all measured{undo}"
        case Standing.MEASURED:
            return f"is saved with a run of measured fabrics alone{undo}"
        case Standing.UNMEASURED:
            asks = f"; {key_of('star.have')} asks about what is not measured"
            return f"is saved with its first suggestion{asks}{undo}"
        case Standing.SHORT if not best.proven:
            return "is saved; the time was up before a run that covers it was found"
        case Standing.SHORT:
            return "is saved, not covered: the list says what does cover it"
        case _:
            return "is saved, though its values lie too close together"


def staying_note(best: BestRun) -> str:
    """What stays beside the star, "" for nothing."""
    if best.standing is not Standing.CLOSE or best.run is None:
        return ""
    steps = steps_text([fabric.colour.L for fabric in best.run.fabrics if fabric.colour])
    return CLOSE.format(least=best.least_step, steps=steps)
