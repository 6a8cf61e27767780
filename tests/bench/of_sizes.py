"""The grid of sizes at 1,000 fabrics, grid 2 to 10 by strip 1 1/2 to 3 in, against a search for each star.

"Covered" means that `suggest` finds a sequence, so the reference asks it for one, star by star; both must agree.
"""

from __future__ import annotations

from stash.match.sequence import suggest
from stash.match.sizes import GRIDS, STRIPS, sizes
from stash.match.wishes import Wishes
from stash.model import Fabric, Star
from stash.star.chart import make_order
from tests.bench.invented import fabrics
from tests.bench.measure import Figure, Goal, figure, timed

GOAL = Goal(seconds=1)


def figures() -> list[Figure]:
    return [_figure(fabrics(count), order) for count in (60, 1000) for order in ("none", "mirror")]


def _figure(stash: list[Fabric], order: str) -> Figure:
    stars = [Star(grid, strip, make_order(order, grid)) for grid in GRIDS for strip in STRIPS]
    what = f"{len(stash):,} fabrics, {len(stars)} stars, {order}"
    answers: list[bool] = []
    seconds = timed(lambda: answers.extend(_by_search(star, stash) for star in stars))
    fits = list(sizes(stars, stash))
    for fit, searched in zip(fits, answers, strict=True):
        if fit.covered != searched:
            raise AssertionError(f"{what}: {fit.star} is covered here: {fit.covered}, by a search: {searched}")
    own = [timed(lambda: list(sizes(stars, stash))) for _ in range(9)]
    return figure(what, own, "a search each", [seconds], GOAL)


def _by_search(star: Star, stash: list[Fabric]) -> bool:
    return bool(suggest(star, stash, Wishes(top=1), marked=False).sequences)
