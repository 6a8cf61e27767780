"""What the star on the table says to each of its fabrics, in a few cells."""

from __future__ import annotations

from collections.abc import Mapping

from stash.model import Coverage
from tui.widgets.look import SIGNS


def marks_of(coverage: Coverage, ids: Mapping[str, int]) -> dict[int, str]:
    """By fabric id its letters with their mark (`D ✗ short 1`), or that it is the ground."""
    letters: dict[int, list[str]] = {}
    words: dict[int, str] = {}
    for cover in coverage.letters:
        for name in cover.fabrics:
            if name in ids:
                letters.setdefault(ids[name], []).append(cover.letter)
                about = "about " if cover.about else ""
                missing = f" {cover.missing}" if cover.missing else ""
                words[ids[name]] = f"{SIGNS[cover.mark]} {about}{cover.mark}{missing}"
    marks = {key: f"{''.join(letters[key])} {words[key]}" for key in letters}
    ground = coverage.ground
    if ground is not None and ground.fabric in ids:
        key = ids[ground.fabric]
        said = f"ground {SIGNS[ground.mark]}"
        marks[key] = f"{marks[key]}, {said}" if key in marks else said
    return marks
