"""Layers of fabrics, one for each letter, that runs are taken through.

Layer r holds the fabrics that may stand at letter r. A *link* joins fabrics of neighbouring layers when the value
falls (or rises) enough between them. A run takes one node of each layer along links; it costs its nodes and links.
Demands narrow the runs: "at least `least` of its fabrics are in `counts`". One with a finite `penalty` may be left
unmet at that cost.
Costs are rounded to multiples of 2**-40, so that sums are exact and equal runs are equal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

EQUAL = 1e-9
GRAIN = 2.0**40

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


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
        """The layers with those nodes only that the mask of each keeps."""
        return Layers(
            tuple(nodes[mask] for nodes, mask in zip(self.nodes, keep, strict=True)),
            tuple(costs[mask] for costs, mask in zip(self.costs, keep, strict=True)),
        )

    def empty(self) -> bool:
        """Whether some layer has no node, so that there is no run."""
        return any(len(nodes) == 0 for nodes in self.nodes)


@dataclass(frozen=True, slots=True, eq=False)
class Demand:
    """At least `least` fabrics of a run are among `counts` (a mask over all fabrics), or it costs `penalty` more."""

    counts: Bools
    least: int
    penalty: float = np.inf


@dataclass(frozen=True, slots=True)
class Found:
    """A run: the number of its fabric for each letter, and what it costs."""

    cost: float
    run: tuple[int, ...]


def grained(costs: Floats) -> Floats:
    """Costs to the nearest multiple of 2**-40: so small a difference tells no two runs apart."""
    return np.asarray(np.round(costs * GRAIN) / GRAIN)


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
