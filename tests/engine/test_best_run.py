"""The run a star picked for its size is begun with: which of all there are, and what it is to the stash."""

from __future__ import annotations

import random
from collections import Counter
from fractions import Fraction

import pytest

from stash.errors import UsageFault
from stash.match.best_run import Standing, best_run
from stash.match.sequence import suggest
from stash.match.wishes import Wishes
from stash.model import Colour, Fabric, Kind, Mark, Piece, Star
from tests.engine.by_hand import inch
from tests.engine.random_sizes import asked_at_random, random_stash

STAR = Star(2, Fraction(5, 2), "ABA")


def fabric(number: int, value: float, length: float | None) -> Fabric:
    pieces = () if length is None else (Piece(number, Kind.YARDAGE, inch(length), inch(40)),)
    return Fabric(number, f"F{number}", pieces, Colour(value, 20, 0), recorded=length is not None)


@pytest.mark.parametrize(("cloth", "standing", "names"), [
    ([(90, 18), (30, 18)], Standing.FIRST, ["F1", "F2"]),
    ([(90, None), (85, 18), (30, 18)], Standing.LISTED, ["F2", "F3"]),
    ([(90, None), (30, 18)], Standing.UNMEASURED, ["F1", "F2"]),
    ([(90, 3), (30, 18)], Standing.SHORT, ["F1", "F2"]),  # 3 in less an inch give no strip of 2 1/2
    ([(50, 18), (48, 18)], Standing.CLOSE, ["F1", "F2"]),  # 2 of L* where the least step is wished as 5
    ([(50, 18)], Standing.NONE, None),
])  # fmt: skip
def test_what_a_run_is_to_the_stash(
    cloth: list[tuple[float, float | None]], standing: Standing, names: list[str] | None
) -> None:
    fabrics = [fabric(number, *one) for number, one in enumerate(cloth, 1)]
    best = best_run(STAR, fabrics, Wishes(min_step=5.0), 5)
    assert best.standing is standing
    assert (None if best.run is None else [one.name for one in best.run.fabrics]) == names
    assert best.least_step == (5.0 if standing is Standing.CLOSE else 0.0)


def test_on_random_stashes_it_is_covered_and_measured_where_suggest_finds_such() -> None:
    seen: Counter[Standing] = Counter()
    for seed in range(80):
        rng = random.Random(seed)
        fabrics = random_stash(rng, rng.choice([3, 5, 8]))
        wishes = asked_at_random(rng, fabrics)
        try:
            best = best_run(STAR, fabrics, wishes, 5)
            covered = bool(suggest(STAR, fabrics, wishes).sequences)
        except UsageFault:  # wishes that clash
            continue
        seen[best.standing] += 1
        marks = () if best.run is None else best.run.marks
        assert (best.standing not in (Standing.SHORT, Standing.CLOSE, Standing.NONE)) is covered
        assert (Mark.UNMEASURED not in marks) or best.standing not in (
            Standing.FIRST, Standing.LISTED, Standing.MEASURED,
        )  # fmt: skip
    assert seen[Standing.FIRST] > 5
    assert seen[Standing.SHORT] + seen[Standing.CLOSE] > 5
