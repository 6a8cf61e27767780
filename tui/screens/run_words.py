"""What is said of runs of fabrics: what was asked for, which colours of a given fabric one takes up, what its
neighbours do.
"""

from __future__ import annotations

from collections.abc import Sequence as Several
from typing import TYPE_CHECKING

from rich.text import Text

from stash.colour.words import colour_words
from stash.model import SavedStar, Sequence, Star, Suggestions
from tui.screens.star_words import star_text
from tui.widgets.fabric_lines import one_line

if TYPE_CHECKING:
    from stash.match.neighbours import Neighbour
    from stash.match.wishes import Wishes

SIDES = {"blend": "blend", "same value": "same value, another colour", "overlap": "busy prints that overlap"}


def asked_text(saved: SavedStar, wishes: Wishes, answer: Suggestions | None) -> Text:
    """The star, a line with what is wished for it, and what the answer has to say of the whole."""
    text = Text(one_line(saved.name), "bold").append(f"  {star_text(saved.star)}", "not bold")
    wished = [
        *(f"{letter} {name} locked" for letter, name in wishes.fixed.items()),
        *(f"with {name}" for name in wishes.must),
        *(f"without {name}" for name in wishes.without),
    ]
    wished += [f"near {wishes.near}"] if wishes.near else []
    wished += [wishes.hue] if wishes.hue else []
    wished += [f"least step {wishes.min_step:g}"] if wishes.min_step is not None else []
    wished += ["also not covered"] if wishes.any else []
    wished += ["measured only"] if wishes.measured else []
    wished += [f"ground {wishes.ground}"] if wishes.ground else []
    if wished:
        text.append(f"\nWishes: {one_line(', '.join(wished))}", "not bold")
    for note in answer.notes if answer else ():
        text.append(f"\n{note}", "not bold")
    if answer is not None and not answer.proven:
        text.append("\nThe time was up: there may be runs with smaller steps off target.", "not bold")
    return text


def run_lines(star: Star, answer: Suggestions, run: Sequence) -> list[str]:
    """The sentences on a run, none where there is nothing to tell. Call it with an answer of the search for `star`."""
    from stash.match.neighbours import neighbours

    lines = [meets_text(answer, run)] if answer.near else []
    beside = neighbours_text(neighbours(star, dict(zip(star.letters, run.fabrics, strict=True))))
    lines += [beside] if beside else []
    if any(fabric.relative for fabric in run.fabrics):
        lines.append("~ relative values: good for order within one photograph only")
    return lines


def meets_text(answer: Suggestions, run: Sequence) -> str:
    """`meets 2 of 3 main colours of Meadow: dusty pink (C), dark green (F)`."""
    count = len(answer.main_colours)
    met = ", ".join(f"{colour_words(one.colour)} ({one.letter})" for one in run.meets)
    colours = "main colour" if count == 1 else "main colours"
    return f"meets {len(run.meets)} of {count} {colours} of {answer.near}" + (f": {met}" if met else "")


def neighbours_text(found: Several[Neighbour]) -> str:
    """`D and E, G and H: same value, another colour; F and G: blend`, \"\" where all stand apart."""
    pairs: dict[str, list[str]] = {}
    for one in found:
        pairs.setdefault(SIDES[one.kind], []).append(" and ".join(one.letters))
    return "; ".join(f"{', '.join(letters)}: {kind}" for kind, letters in pairs.items())
