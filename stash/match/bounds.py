"""Which fabrics a run cheaper than a known one can go through.

A demand couples all letters. To bound a run from below letter by letter, each demand gets a price: a fabric that counts
for it is so much cheaper, and every run pays the price once for each fabric wanted. A run that meets the demand pays
nothing for it then, or gets something back; one that does not pays at most the penalty, as long as the price for all
that is wanted is not over it. So the cheapest run at these prices costs no more than the cheapest run there is
(Lagrangian relaxation; the prices are fitted by Polyak's step: B. T. Polyak, Minimization of unsmooth functionals,
1969, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from stash.match.cells import narrowed
from stash.match.layers import EQUAL, Bools, Colours, Demand, Floats, Found, Layers, Links, grained

ROUNDS = 12  # of fitting prices
CLOSE = 0.02  # a bound as near as this to a run's cost is good enough


@dataclass(frozen=True, slots=True, eq=False)
class Prices:
    """A price for each of `demands`, a multiple of 2**-40 like all costs. No demands: no prices."""

    demands: tuple[Demand, ...]
    each: Floats

    def on(self, layers: Layers) -> Layers:
        """The layers at these prices."""
        if not self.demands:
            return layers
        back = sum(price * one.counts for price, one in zip(self.each, self.demands, strict=True))
        return Layers(
            layers.nodes,
            tuple(costs - back[nodes] for nodes, costs in zip(layers.nodes, layers.costs, strict=True)),
        )

    def paid(self) -> float:
        """What every run pays."""
        return float(sum(price * one.least for price, one in zip(self.each, self.demands, strict=True)))

    def owed(self, run: Sequence[int]) -> Floats:
        """How far a run falls short of each demand; below 0 where it does more than is wanted."""
        return np.array([one.least - int(one.counts[list(run)].sum()) for one in self.demands], dtype=np.float64)

    def most(self) -> Floats:
        """The highest price of each demand that is right."""
        return np.array([one.penalty / max(one.least, 1) for one in self.demands])

    @classmethod
    def half(cls, demands: Sequence[Demand]) -> Prices:
        """A guess: half of what is right at most; nothing for what must be met."""
        return cls(tuple(demands), np.array([
            one.penalty / max(one.least, 1) / 2 if np.isfinite(one.penalty) else 0.0 for one in demands
        ]))  # fmt: skip


def fitted(
    layers: Layers, links: Links, colours: Colours, demands: Sequence[Demand], known: Found
) -> tuple[Prices, float]:
    """Prices that bring the bound near to the cost of a `known` run, and that bound.

    Prices fitted on a part of the layers are right on all of them, too, though the bound there is another.
    """
    prices = best = Prices.half(demands)
    most, highest = prices.most(), -np.inf
    matrices = matrices_of(layers, links, colours)
    for _ in range(ROUNDS):
        least = _least(prices.on(layers), matrices)
        bound = least.cost + prices.paid()
        if bound > highest:
            highest, best = bound, prices
        owed = prices.owed(least.run)
        if known.cost - bound <= CLOSE or not owed.any():
            break
        step = (known.cost - bound) / float(owed @ owed)
        prices = Prices(prices.demands, grained(np.clip(prices.each + step * owed, 0.0, most)))
    return best, highest


def worthwhile(layers: Layers, links: Links, colours: Colours, prices: Prices, cost: float) -> Layers:
    """Without the nodes through which every run is dearer than `cost`."""
    priced, room = prices.on(layers), cost - prices.paid()
    keep = _affordable(priced, room)
    layers, priced = layers.only(keep), priced.only(keep)
    if not layers.empty():
        keep = narrowed(priced, links, colours, room)
        layers, priced = layers.only(keep), priced.only(keep)
    return layers if layers.empty() else layers.only(_through(priced, links, colours, room))


def _affordable(layers: Layers, room: float) -> list[Bools]:
    """The nodes that are not dearer than `room` with the cheapest node at every other letter."""
    least = [float(costs.min()) for costs in layers.costs]
    others = [sum(least) - own for own in least]
    return [costs + other <= room + EQUAL for costs, other in zip(layers.costs, others, strict=True)]


def _through(layers: Layers, links: Links, colours: Colours, room: float) -> list[Bools]:
    """The nodes through which the cheapest run is not dearer than `room`."""
    matrices = matrices_of(layers, links, colours)
    ahead = ahead_of(layers, matrices)
    behind = [np.zeros(len(layers.nodes[0]))]
    for r, matrix in enumerate(matrices):
        behind.append((matrix + (behind[r] + layers.costs[r])[:, None]).min(axis=0))
    return [b + a <= room + EQUAL for b, a in zip(behind, ahead, strict=True)]


def matrices_of(layers: Layers, links: Links, colours: Colours) -> list[Floats]:
    """The costs of the links from each layer to the next, shape (its nodes, the next one's)."""
    return [links.matrix(colours, above, below) for above, below in zip(layers.nodes, layers.nodes[1:], strict=False)]


def ahead_of(layers: Layers, matrices: Sequence[Floats]) -> list[Floats]:
    """For each node the least cost of it and all letters after it."""
    ahead = [layers.costs[-1]]
    for r in reversed(range(len(matrices))):
        ahead.insert(0, layers.costs[r] + (matrices[r] + ahead[0]).min(axis=1))
    return ahead


def _least(layers: Layers, matrices: Sequence[Floats]) -> Found:
    """A cheapest run, no demand made. There must be one."""
    ahead = ahead_of(layers, matrices)
    place = int(ahead[0].argmin())
    run = [int(layers.nodes[0][place])]
    for r, matrix in enumerate(matrices):
        place = int((matrix[place] + ahead[r + 1]).argmin())
        run.append(int(layers.nodes[r + 1][place]))
    return Found(float(ahead[0].min()), tuple(run))
