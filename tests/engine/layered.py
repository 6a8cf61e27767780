"""Random fabrics in layers, letter by letter, and what a run through them costs, by the definition."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from stash.match.layers import Colours, Layers, Links


def random_colours(seed: int, count: int, whole: bool = False) -> Colours:
    rng = np.random.default_rng(seed)
    L, a, b = rng.uniform(10, 98, count), rng.uniform(-60, 60, count), rng.uniform(-60, 60, count)
    return Colours(*(np.round(one) if whole else one for one in (L, a, b)))


def layers_of(colours: Colours, letters: int, seed: int, share: float) -> Layers:
    """For each letter a share of the fabrics and what each costs there."""
    rng = np.random.default_rng(seed)
    targets = np.linspace(90, 20, letters)
    nodes = [np.flatnonzero(rng.random(len(colours.L)) < share) for _ in range(letters)]
    dull = (60 - np.minimum(np.hypot(colours.a, colours.b), 60)) / 80
    costs = [(colours.L[here] - target) ** 2 / 100 + dull[here] for here, target in zip(nodes, targets, strict=True)]
    return Layers(tuple(nodes), tuple(costs))


def step_cost(colours: Colours, links: Links, above: int, below: int) -> float | None:
    """What following costs, by the definition; None where the step is too small."""
    step = links.fall * (colours.L[above] - colours.L[below])
    if step <= 0 or step < links.min_step - 1e-9:
        return None
    apart = float(np.hypot(colours.a[above] - colours.a[below], colours.b[above] - colours.b[below]))
    return links.weight * (apart / 20) ** 2


def run_cost(colours: Colours, layers: Layers, links: Links, run: tuple[int, ...]) -> float | None:
    total = 0.0
    for nodes, costs, fabric in zip(layers.nodes, layers.costs, run, strict=True):
        total += float(costs[list(nodes).index(fabric)])
    for above, below in pairwise(run):
        cost = step_cost(colours, links, above, below)
        if cost is None:
            return None
        total += cost
    return total
