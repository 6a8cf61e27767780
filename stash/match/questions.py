"""What is to be asked of fabrics that are not measured yet, scarcest first: only what the quilt needs."""

from __future__ import annotations

from collections.abc import Iterable

from stash.lengths import show_length
from stash.match.coverage import look_up
from stash.match.ground import lay_parts
from stash.match.to_get import measured, plenty, strips_to_get
from stash.model import Colouring, Fabric, Question, Star
from stash.star.yields import STRAIGHTEN
from stash.wording import counted, listed


def questions(star: Star, colouring: Colouring, fabrics: Iterable[Fabric]) -> tuple[Question, ...]:
    """One question for each fabric of the colouring with no piece recorded; the one that most is needed of first.

    It is asked for the strips that it must give beside the cloth there is (each of two look-alikes for its own half),
    and for the ground, binding and backing where it is these. Raises NotFound and UsageFault as `check` does.
    """
    stash = tuple(fabrics)
    colours = look_up(star, colouring, stash)
    asked_of = {fabric.id: fabric for fabric in (*colours.fabrics(), *colours.parts.values()) if not fabric.recorded}
    if not asked_of:
        return ()
    strips = strips_to_get(star, colouring, stash)
    asked = []
    for fabric in asked_of.values():
        letters = "".join(letter for letter, used in colours.letters.items() if fabric in used)
        asked.append(_question(star, fabric, letters, strips.get(fabric.id, 0), colours.parts_of(fabric)))
    return tuple(sorted(asked, key=lambda one: (-one.strips, -one.length, one.letters)))


def _question(star: Star, fabric: Fabric, letters: str, strips: int, parts: tuple[str, ...]) -> Question:
    widths = {"binding": star.binding_width, "backing": star.backing_width}
    width = star.width if letters else min(widths.get(part, star.width) for part in parts)
    length = strips * star.strip + STRAIGHTEN
    if parts:
        (there,) = measured([fabric], (plenty(width),))
        length += lay_parts(there, star, parts).length
    return Question(fabric, letters, strips, length, width, parts)


def question_text(star: Star, one: Question) -> str:
    """`Moss: row D needs 4 strips, 11 in by 40 in. Have it?`; `Moss: row D and the ground need 40 5/8 in by ...`."""
    size = f"{show_length(one.length, star.units)} by {show_length(one.width, star.units)}"
    rows = [f"row{'s' if len(one.letters) > 1 else ''} {', '.join(one.letters)}"] if one.letters else []
    users = [*rows, *(f"the {part}" for part in one.parts)]
    need = "needs" if len(users) == 1 and len(one.letters) < 2 else "need"
    strips = f" {counted(one.strips, 'strip')}," if one.letters and not one.parts else ""
    return f"{one.fabric.name}: {listed(users)} {need}{strips} {size}. Have it?"
