"""Cells of alike fabrics leave nothing out that a cheap run goes through, against looking at every pair."""

from __future__ import annotations

import networkx as nx
import numpy as np
import pytest

from stash.match.cells import narrowed
from stash.match.layers import Colours, Demand, Floats, Layers, Links
from stash.match.programme import Field, least_run
from tests.engine.layered import layers_of, random_colours, run_cost


def pair_costs(colours: Colours, links: Links, above: np.ndarray, below: np.ndarray) -> Floats:
    """By the definition; infinite where the step is too small."""
    step = links.fall * (colours.L[above][:, None] - colours.L[below][None, :])
    jump = (colours.a[above][:, None] - colours.a[below]) ** 2 + (colours.b[above][:, None] - colours.b[below]) ** 2
    return np.where((step <= 0) | (step < links.min_step - 1e-9), np.inf, links.weight * jump / 400)


def cheapest_through(colours: Colours, layers: Layers, links: Links) -> list[Floats]:
    """For each fabric of each letter what the cheapest run through it costs, every pair looked at."""
    matrices = [
        pair_costs(colours, links, above, below) for above, below in zip(layers.nodes, layers.nodes[1:], strict=False)
    ]
    before = [layers.costs[0]]
    for r, matrix in enumerate(matrices):
        before.append((before[r][:, None] + matrix).min(axis=0) + layers.costs[r + 1])
    after = [np.zeros(len(layers.nodes[-1]))]
    for r in reversed(range(len(matrices))):
        after.insert(0, (matrices[r] + layers.costs[r + 1] + after[0]).min(axis=1))
    return [b + a for b, a in zip(before, after, strict=True)]


@pytest.mark.parametrize("seed", range(24))
def test_no_fabric_of_a_cheap_run_is_left_out(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Prices make costs negative, whole colours make ties and sizes of cells that fabrics stand on the edge of."""
    monkeypatch.setattr("stash.match.cells.FEW", 0)
    rng = np.random.default_rng(seed)
    colours = random_colours(seed, 150, whole=seed % 2 == 0)
    layers = layers_of(colours, int(rng.integers(1, 6)), seed, 0.7)
    if seed % 3 == 0:
        layers = Layers(layers.nodes, tuple(costs - rng.uniform(0, 2, len(costs)) for costs in layers.costs))
    links = Links(int(rng.choice([1, -1])), float(rng.choice([0.0, 5.0, 11.0])), float(rng.choice([0.0, 0.3, 0.5])))
    through = cheapest_through(colours, layers, links)
    least = min(one.min() for one in through)
    for room in (least, least + 0.5, least + 3.0):
        kept = narrowed(layers, links, colours, room)
        for mask, cost in zip(kept, through, strict=True):
            assert mask[cost <= room].all()
    if np.isfinite(least) and len(layers.nodes) > 1:
        assert sum(mask.sum() for mask in narrowed(layers, links, colours, least)) < sum(map(len, layers.nodes))


def test_where_there_is_no_run_nothing_need_be_left() -> None:
    colours = Colours(np.full(500, 50.0), np.zeros(500), np.zeros(500))
    layers = Layers((np.arange(500),) * 2, (np.zeros(500),) * 2)
    assert not any(mask.any() for mask in narrowed(layers, Links(1, 5.0, 0.5), colours, 100.0))


@pytest.mark.parametrize("fall", [1, -1])
def test_the_least_run_of_many_fabrics_is_the_shortest_path(fall: int) -> None:
    """1,200 fabrics, so that cells are looked at: networkx's Dijkstra is the reference."""
    colours = random_colours(7, 1200)
    layers = layers_of(colours, 4, 7, 0.6)
    links = Links(fall, 5.0, 0.5)
    graph = nx.DiGraph()
    graph.add_weighted_edges_from((-1, (0, i), cost) for i, cost in enumerate(layers.costs[0].tolist()))
    for r in range(3):
        pairs = pair_costs(colours, links, layers.nodes[r], layers.nodes[r + 1]) + layers.costs[r + 1]
        above, below = np.nonzero(np.isfinite(pairs))
        graph.add_weighted_edges_from(
            ((r, i), (r + 1, j), cost)
            for i, j, cost in zip(above.tolist(), below.tolist(), pairs[above, below].tolist(), strict=True)
        )
    graph.add_weighted_edges_from(((3, i), -2, 0.0) for i in range(len(layers.nodes[3])))
    found = least_run(Field(layers), links, colours)
    assert found is not None
    assert found.cost == pytest.approx(nx.dijkstra_path_length(graph, -1, -2), abs=1e-9)
    assert found.cost == pytest.approx(run_cost(colours, layers, links, found.run) or 0.0, abs=1e-9)


def test_a_list_of_many_fabrics_keeps_its_order_whatever_is_narrowed(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same five runs, apart from each other, with cells and without them."""
    colours = random_colours(11, 1500)
    layers = layers_of(colours, 6, 11, 0.7)
    links = Links(1, 5.0, 0.5)

    def listed() -> list[tuple[float, tuple[int, ...]]]:
        field, demands, runs = Field(layers), [], []
        for _ in range(5):
            found = least_run(field, links, colours, demands)
            assert found is not None
            runs.append((found.cost, found.run))
            others = np.ones(len(colours.L), dtype=bool)
            others[list(found.run)] = False
            demands.append(Demand(others, 3))
        return runs

    with_cells = listed()
    monkeypatch.setattr("stash.match.cells.SIDES", ())
    assert listed() == with_cells
