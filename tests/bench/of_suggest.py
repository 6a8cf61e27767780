"""`suggest` at 200, 1,000 and 10,000 fabrics against others that find the least cost, with proof that costs agree.

Up to 1,000 fabrics the reference is networkx on the same layered graph, building it included: Dijkstra's algorithm for
the least cost, Yen's for the five least where that ends soon enough; else both are held against the least alone. Ours
lists five that are apart as by default, which is more work than the five least, and includes looking the stash through
for who covers what, which the references get for nothing. networkx cannot hold the hundreds of millions of links of
10,000 fabrics; there the reference looks at every pair of neighbours by numpy.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from itertools import islice

from stash.match.coverage import covers
from stash.match.sequence import suggest
from stash.match.wishes import Wishes
from stash.model import Colouring, Fabric, Star
from stash.star.chart import make_order
from tests.bench.invented import fabrics
from tests.bench.layered import Layered, cheapest_first, least
from tests.bench.measure import Figure, Goal, compared, figure, timed

GRIDS, ORDERS, TOPS = (4, 6, 8), ("none", "mirror"), (1, 5)
GOALS = {(1000, 6, "none"): Goal(seconds=0.3, ratio=1 / 50)}  # of five
MANY = Goal(seconds=2)  # at 10,000
GROWTH = Goal(ratio=13)  # of time, from 1,000 to 10,000


def figures() -> list[Figure]:
    found = []
    stashes = {count: fabrics(count) for count in (200, 1000, 10_000)}
    for count, stash in stashes.items():
        for grid in GRIDS:
            for order in ORDERS:
                found += _one_star(stash, star_of(grid, order), order, count)
    for top in TOPS:
        few, many = (_Ours(stashes[count], star_of(6, "none"), top) for count in (1000, 10_000))
        found.append(compared(f"10,000 fabrics, 6 x 6 none, top {top}", many, "1,000", few, GROWTH, rounds=7))
    return found


def star_of(grid: int, order: str) -> Star:
    return Star(grid, Fraction(5, 2), make_order(order, grid))


class _Ours:
    """A search that can be called again and again; it remembers nothing."""

    def __init__(self, stash: Sequence[Fabric], star: Star, top: int, apart: int | None = None) -> None:
        self.stash, self.star, self.wishes = stash, star, Wishes(top=top, apart=apart)

    def __call__(self) -> list[float]:
        answer = suggest(self.star, self.stash, self.wishes, marked=False)
        assert answer.proven
        assert len(answer.sequences) == self.wishes.top
        return [one.cost for one in answer.sequences]


def _one_star(stash: Sequence[Fabric], star: Star, order: str, count: int) -> list[Figure]:
    layered = Layered.of(star, stash)
    key = (count, star.grid, order)
    rounds, tries = (5, 3) if count <= 200 else (1, 9) if count <= 1000 else (1, 5)
    own: dict[int, list[float]] = {top: [] for top in TOPS}
    other: dict[int, list[float]] = {top: [] for top in TOPS}
    names: dict[int, str] = {}
    for _ in range(rounds):
        five = count <= 200 or key in GOALS
        by_others = _every_pair(layered) if count > 1000 else _by_networkx(layered, star, stash, five)
        for top in TOPS:
            names[top], costs, seconds = by_others[-1] if top > 1 else by_others[0]
            _agree(f"{key}, top {top}", _Ours(stash, star, len(costs), apart=1)(), costs)
            other[top].append(seconds)
            own[top] += [timed(_Ours(stash, star, top)) for _ in range(tries)]
    return [
        figure(
            f"{count:,} fabrics, {star.grid} x {star.grid} {order}, top {top}", own[top], names[top], other[top],
            MANY if count > 1000 else GOALS.get(key) if top > 1 else None,
        )
        for top in TOPS
    ]  # fmt: skip


_Reference = tuple[str, list[float], float]  # its name, the costs it found, the seconds it took


def _every_pair(layered: Layered) -> list[_Reference]:
    costs: list[float] = []
    seconds = timed(lambda: costs.append(layered.every_pair()))
    return [("every pair, least", costs, seconds)]


def _by_networkx(layered: Layered, star: Star, stash: Sequence[Fabric], also_five: bool) -> list[_Reference]:
    """The least path, and the five least ones where that does not take too long."""
    graphs, one, five = [], [], []
    building = timed(lambda: graphs.append(layered.graph()))
    found = [("networkx, least", one, building + timed(lambda: one.append(least(graphs[0]))))]
    if also_five:
        able = (cost for cost, run in cheapest_first(graphs[0]) if _covered(layered, star, stash, run))
        found.append(("networkx, 5 least", five, building + timed(lambda: five.extend(islice(able, 5)))))
    return found


def _covered(layered: Layered, star: Star, stash: Sequence[Fabric], run: Sequence[int]) -> bool:
    """Whether the stash covers these fabrics as a whole."""
    uses = {letter: (layered.fabrics[one].name,) for letter, one in zip(star.letters, run, strict=True)}
    return covers(star, Colouring(uses), stash)


def _agree(what: str, ours: Sequence[float], reference: Sequence[float]) -> None:
    for one, other in zip(ours, reference, strict=True):
        if not math.isclose(one, other, abs_tol=1e-8):
            raise AssertionError(f"{what}: {one} here, {other} by the reference")
