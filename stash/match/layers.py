"""The least-cost run of fabrics, one for each letter, by dynamic programming over layers.

Layer r holds the fabrics that may stand at letter r. A *link* joins fabrics of neighbouring layers when the value
falls (or rises) enough between them. A run takes one node of each layer along links; it costs its nodes and links.
Demands narrow the runs: "at least `least` of its fabrics are in `counts`".

Exactness. Costs are rounded to multiples of 2**-40, so sums are exact and equal runs are equal. Nodes are left out
only when every run through them is dearer than a run already found. Of runs whose costs are within `EQUAL` the one
whose fabrics come first in the alphabet is taken (fabrics are numbered by name).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from time import monotonic

import numpy as np
from numpy.typing import NDArray

EQUAL = 1e-9
GRAIN = 2.0**40
BEAM = 48  # nodes a layer in the first, quick try for a bound

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Need = tuple[int, ...]  # what is still wanted of each demand


class TimeUp(Exception):
    """The time limit was reached before the answer was proven."""


@dataclass(frozen=True, slots=True, eq=False)
class Colours:
    """L*, a*, b* of all fabrics, numbered by name."""

    L: Floats
    a: Floats
    b: Floats


@dataclass(frozen=True, slots=True)
class Links:
    """When two fabrics may follow each other and what that costs.

    `fall` -- +1 for light to dark, -1 for dark to light; the step must be over 0 and at least `min_step`;
    `weight` times (distance in the a*b* plane / 20) squared is the cost.
    """

    fall: int
    min_step: float
    weight: float

    def matrix(self, colours: Colours, above: Ints, below: Ints) -> Floats:
        """Costs from each of `above` to each of `below`, shape (above, below); infinite where there is no link."""
        step = self.fall * (colours.L[above][:, None] - colours.L[below][None, :])
        apart = (colours.a[above][:, None] - colours.a[below][None, :]) ** 2
        apart += (colours.b[above][:, None] - colours.b[below][None, :]) ** 2
        cost = grained(apart * (self.weight / 400.0))
        cost[(step <= 0) | (step < self.min_step - EQUAL)] = np.inf
        return cost


@dataclass(frozen=True, slots=True, eq=False)
class Layers:
    """`nodes[r]` the fabrics of layer r in ascending order, `costs[r]` what each costs there."""

    nodes: tuple[Ints, ...]
    costs: tuple[Floats, ...]

    def only(self, keep: Sequence[Bools]) -> Layers:
        return Layers(
            tuple(nodes[mask] for nodes, mask in zip(self.nodes, keep, strict=True)),
            tuple(costs[mask] for costs, mask in zip(self.costs, keep, strict=True)),
        )

    def empty(self) -> bool:
        return any(len(nodes) == 0 for nodes in self.nodes)


@dataclass(frozen=True, slots=True, eq=False)
class Demand:
    """At least `least` fabrics of a run are among `counts` (a mask over all fabrics)."""

    counts: Bools
    least: int


@dataclass(frozen=True, slots=True)
class Found:
    cost: float
    run: tuple[int, ...]


def grained(costs: Floats) -> Floats:
    return np.asarray(np.round(costs * GRAIN) / GRAIN)


def least_run(
    layers: Layers, links: Links, colours: Colours, demands: Sequence[Demand] = (), deadline: float | None = None
) -> Found | None:
    """The least-cost run that meets all demands, or None. Raises TimeUp after `deadline` (monotonic seconds)."""
    beam = BEAM
    while not layers.empty():
        small = layers.only([_cheapest(costs, beam) for costs in layers.costs])
        whole = all(len(few) == len(all_) for few, all_ in zip(small.nodes, layers.nodes, strict=True))
        found = _Programme(small, links, colours, demands, deadline).best()
        if whole:
            return found
        if found is not None:
            pruned = _through(_affordable(layers, found.cost), links, colours, found.cost)
            return _Programme(pruned, links, colours, demands, deadline).best()
        beam *= 4
    return None


def reach(layers: Layers, links: Links, colours: Colours) -> int:
    """How many layers, from the first, a run can be carried through with no demand made (0: none)."""
    open_nodes: Bools = np.ones(len(layers.nodes[0]), dtype=np.bool_)
    for r in range(len(layers.nodes)):
        if r:
            costs = links.matrix(colours, layers.nodes[r - 1][open_nodes], layers.nodes[r])
            open_nodes = np.asarray(np.isfinite(costs).any(axis=0))
        if not open_nodes.any():
            return r
    return len(layers.nodes)


def _cheapest(costs: Floats, count: int) -> Bools:
    keep = np.zeros(len(costs), dtype=bool)
    keep[np.argsort(costs, kind="stable")[:count]] = True
    return keep


def _affordable(layers: Layers, bound: float) -> Layers:
    """Without the nodes that are dearer than `bound` even with the cheapest node at every other letter."""
    least = [float(costs.min()) for costs in layers.costs]
    others = [sum(least) - own for own in least]
    keep = [costs + other <= bound + EQUAL for costs, other in zip(layers.costs, others, strict=True)]
    return layers.only(keep)


def _through(layers: Layers, links: Links, colours: Colours, bound: float) -> Layers:
    """Without the nodes through which the cheapest run, no demand made, is dearer than `bound`."""
    if layers.empty():
        return layers
    last = len(layers.nodes) - 1
    matrices = [links.matrix(colours, layers.nodes[r], layers.nodes[r + 1]) for r in range(last)]
    ahead = [layers.costs[-1]]
    for r in reversed(range(last)):
        ahead.insert(0, layers.costs[r] + (matrices[r] + ahead[0]).min(axis=1))
    behind = [np.zeros(len(layers.nodes[0]))]
    for r in range(last):
        behind.append((matrices[r] + (behind[r] + layers.costs[r])[:, None]).min(axis=0))
    return layers.only([b + a <= bound + EQUAL for b, a in zip(behind, ahead, strict=True)])


class _Programme:
    """Exact least costs from each layer to the last, for what is still wanted of the demands."""

    def __init__(
        self, layers: Layers, links: Links, colours: Colours, demands: Sequence[Demand], deadline: float | None
    ) -> None:
        self.layers = layers
        self.deadline = deadline
        self.last = len(layers.nodes) - 1
        self.start: Need = tuple(demand.least for demand in demands)
        if layers.empty():
            return
        self.matrices = [links.matrix(colours, layers.nodes[r], layers.nodes[r + 1]) for r in range(self.last)]
        self.groups = [self._group(nodes, demands) for nodes in layers.nodes]
        self.known: dict[tuple[int, Need], Floats] = {}

    @staticmethod
    def _group(nodes: Ints, demands: Sequence[Demand]) -> list[tuple[Need, Ints]]:
        """The places of a layer's nodes, grouped by the demands they count for."""
        if not demands:
            return [((), np.arange(len(nodes)))]
        counts = np.stack([demand.counts[nodes] for demand in demands], axis=1)
        kinds, which = np.unique(counts, axis=0, return_inverse=True)
        return [
            (tuple(int(one) for one in kind), np.flatnonzero(which.ravel() == i)) for i, kind in enumerate(kinds)
        ]

    def best(self) -> Found | None:
        if self.layers.empty():
            return None
        ahead = self._ahead(0, self.start)
        least = float(ahead.min())
        return None if np.isinf(least) else self._first_by_name(least)

    def _ahead(self, r: int, need: Need) -> Floats:
        """Least cost of the nodes of layer r and all after it, for each node, when `need` is wanted of them."""
        key = (r, need)
        if key not in self.known:
            if self.deadline is not None and monotonic() > self.deadline:
                raise TimeUp
            result = np.full(len(self.layers.nodes[r]), np.inf)
            for kind, places in self.groups[r]:
                rest = _rest(need, kind)
                if all(wanted <= self.last - r for wanted in rest):
                    result[places] = self.layers.costs[r][places] + self._after(r, places, rest)
            self.known[key] = result
        return self.known[key]

    def _after(self, r: int, places: Ints, need: Need) -> Floats:
        if r == self.last:
            return np.zeros(len(places))
        ahead = self._ahead(r + 1, need)
        return np.asarray((self.matrices[r][places] + ahead).min(axis=1))

    def _first_by_name(self, least: float) -> Found:
        """Of the runs that cost `least`, or within `EQUAL` of it, the first by name."""
        run: list[int] = []
        spent, need, place = 0.0, self.start, -1
        for r in range(self.last + 1):
            ahead = self._ahead(r, need)
            links = self.matrices[r - 1][place] if r else np.zeros(len(ahead))
            place = int(np.flatnonzero(spent + links + ahead <= least + EQUAL)[0])
            spent += float(links[place] + self.layers.costs[r][place])
            run.append(int(self.layers.nodes[r][place]))
            need = _rest(need, next(kind for kind, places in self.groups[r] if place in places))
        return Found(spent, tuple(run))


def _rest(need: Need, kind: Need) -> Need:
    return tuple(max(0, wanted - counted) for wanted, counted in zip(need, kind, strict=True))
