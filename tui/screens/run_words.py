"""What is said of one run of fabrics: which colours of a given fabric it takes up, and what its neighbours do."""

from __future__ import annotations

from collections.abc import Sequence as Several
from typing import TYPE_CHECKING

from stash.colour.words import colour_words
from stash.model import Sequence, Star, Suggestions

if TYPE_CHECKING:
    from stash.match.neighbours import Neighbour

SIDES = {"blend": "blend", "same value": "same value, another colour", "overlap": "busy prints that overlap"}


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
    """`D and E: same value, another colour; F and G: blend`, \"\" where all stand apart."""
    return "; ".join(f"{one.letters[0]} and {one.letters[1]}: {SIDES[one.kind]}" for one in found)
