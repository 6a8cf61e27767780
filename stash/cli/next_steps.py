"""What `check` says to do where the stash is short, and what it asks of fabrics not measured yet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from stash.cli.output import clean
from stash.lengths import mixed
from stash.model import Question, Star, WayOn


def way_json(star: Star, way: WayOn) -> dict[str, Any]:
    """One way on as JSON; a way that changes the star says to what, beside the letters that change."""
    from stash.match.buying import as_sold

    document: dict[str, Any] = {
        "step": str(way.step),
        "text": way.text,
        "use": {letter: "+".join(names) for letter, names in way.use.items()},
        "buy_yards": None if way.buy is None else as_sold(star, way.buy),
    }
    if way.star != star:
        document |= {"grid": way.star.grid, "strip_in": float(way.star.strip), "strip": mixed(way.star.strip)}
        document["order"] = way.star.order
    return document


def question_json(question: Question) -> dict[str, Any]:
    """One question as JSON: a "yes" records a piece of that length and width as estimated."""
    return {
        "fabric": question.fabric.name,
        "letters": question.letters,
        "strips": question.strips,
        "parts": list(question.parts),
        "length_in": float(question.length),
        "width_in": float(question.width),
    }


def next_lines(star: Star, ways: Sequence[WayOn], asked: Sequence[Question]) -> Iterator[str]:
    """Questions and ways on as text; nothing where there are none."""
    if asked:
        from stash.match.questions import question_text

        yield ""
        yield "Not measured yet, scarcest first:"
        yield from (clean(f"  {question_text(star, one)}") for one in asked)
    if ways:
        yield ""
        yield "Every way of cutting and sewing it was tried. What does cover it:"
        yield from (clean(f"  {number}  {way.text}") for number, way in enumerate(ways, start=1))
