"""What is to be asked of fabrics that are not measured yet, scarcest first: only what the star needs."""

from __future__ import annotations

from collections.abc import Iterable

from stash.lengths import show_length
from stash.match.coverage import look_up
from stash.model import Colouring, Fabric, Question, Star
from stash.star.yields import STRAIGHTEN, strips_of_letter


def questions(star: Star, colouring: Colouring, fabrics: Iterable[Fabric]) -> tuple[Question, ...]:
    """One question for each fabric of the colouring with no piece recorded; the one that most is needed of first.

    Two look-alikes share their row: each needs half of its small diamonds, and is asked for the full strips of that.
    Raises NotFound and UsageFault as `check` does.
    """
    colours = look_up(star, colouring, fabrics)
    asked = []
    for fabric in colours.fabrics():
        if not fabric.recorded:
            letters = "".join(letter for letter, used in colours.letters.items() if fabric in used)
            strips = sum(strips_of_letter(star, letter) for letter in letters)
            asked.append(Question(fabric, letters, strips, strips * star.strip + STRAIGHTEN, star.width))
    return tuple(sorted(asked, key=lambda one: (-one.strips, one.letters)))


def question_text(star: Star, one: Question) -> str:
    """`Moss: row D needs 4 strips, 11 in by 40 in. Have it?`"""
    rows = f"row {one.letters} needs" if len(one.letters) == 1 else f"rows {', '.join(one.letters)} need"
    strips = "1 strip" if one.strips == 1 else f"{one.strips} strips"
    size = f"{show_length(one.length, star.units)} by {show_length(one.width, star.units)}"
    return f"{one.fabric.name}: {rows} {strips}, {size}. Have it?"
