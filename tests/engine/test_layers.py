"""The least-cost run over layers, against networkx and against trying every run."""

from __future__ import annotations

from itertools import pairwise, product

import networkx as nx
import numpy as np
import pytest

from stash.match.layers import Colours, Demand, Layers, Links, reach
from stash.match.programme import Field, least_run
from tests.engine.layered import layers_of, random_colours, run_cost, step_cost


def by_networkx(colours: Colours, layers: Layers, links: Links) -> float:
    graph = nx.DiGraph()
    ends = [(-1, -1), (len(layers.nodes), -1)]
    for r, (nodes, costs) in enumerate(zip(layers.nodes, layers.costs, strict=True)):
        for fabric, cost in zip(nodes.tolist(), costs.tolist(), strict=True):
            if r == 0:
                graph.add_edge(ends[0], (0, fabric), weight=cost)
            else:
                for above in layers.nodes[r - 1].tolist():
                    link = step_cost(colours, links, above, fabric)
                    if link is not None:
                        graph.add_edge((r - 1, above), (r, fabric), weight=link + cost)
            if r == len(layers.nodes) - 1:
                graph.add_edge((r, fabric), ends[1], weight=0.0)
    return float(nx.dijkstra_path_length(graph, *ends))


@pytest.mark.parametrize(("seed", "share", "fall"), [(1, 1.0, 1), (2, 0.6, 1), (3, 0.6, -1)])
def test_least_run_is_the_shortest_path(seed: int, share: float, fall: int) -> None:
    """200 fabrics at 7 letters: networkx's Dijkstra is the reference."""
    colours = random_colours(seed, 200)
    layers = layers_of(colours, 7, seed, share)
    links = Links(fall, 5.0, 0.5)
    found = least_run(Field(layers), links, colours)
    assert found is not None
    assert found.cost == pytest.approx(by_networkx(colours, layers, links), abs=1e-9)
    assert found.cost == pytest.approx(run_cost(colours, layers, links, found.run), abs=1e-9)
    assert least_run(Field(layers), links, colours) == found


@pytest.mark.parametrize("seed", range(60))
def test_least_run_with_demands_and_ties_is_what_trying_all_runs_finds(seed: int) -> None:
    """Whole-number colours, some of them doubled, so that many runs cost alike: the first by number is taken."""
    rng = np.random.default_rng(seed)
    some = random_colours(seed, 5, whole=True)
    twice = rng.integers(0, 5, 3)
    colours = Colours(*(np.concatenate([one, one[twice]]) for one in (some.L, some.a, some.b)))
    letters = int(rng.integers(1, 5))
    layers = layers_of(colours, letters, seed, 0.9)
    links = Links(1, float(rng.choice([0.0, 3.0, 8.0])), 0.5)
    demands = [Demand(rng.random(8) < 0.5, int(rng.integers(0, letters + 1))) for _ in range(int(rng.integers(0, 3)))]
    all_runs = {}
    for run in product(*(nodes.tolist() for nodes in layers.nodes)):
        cost = run_cost(colours, layers, links, run)
        if cost is not None and all(sum(one.counts[i] for i in run) >= one.least for one in demands):
            all_runs[run] = cost
    found = least_run(Field(layers), links, colours, demands)
    if not all_runs:
        assert found is None
        return
    assert found is not None
    least = min(all_runs.values())
    assert found.cost == pytest.approx(least, abs=1e-9)
    assert found.run == min(run for run, cost in all_runs.items() if cost <= least + 1e-9)


def test_reach_counts_the_letters_a_run_gets_to() -> None:
    grey = np.zeros(3)
    colours = Colours(np.array([90.0, 80.0, 78.0]), grey, grey)
    layers = Layers((np.array([0, 1, 2]),) * 3, (grey,) * 3)
    assert reach(layers, Links(1, 1.0, 0.5), colours) == 3
    assert reach(layers, Links(1, 5.0, 0.5), colours) == 2
    assert reach(layers, Links(1, 20.0, 0.5), colours) == 1
    assert least_run(Field(layers), Links(1, 5.0, 0.5), colours) is None


def every_run(colours: Colours, layers: Layers, links: Links) -> tuple[np.ndarray, np.ndarray]:
    """All runs in the order of their fabrics, and what each costs by the definition; inf where it cannot be."""
    runs = np.stack(np.meshgrid(*layers.nodes, indexing="ij"), axis=-1).reshape(-1, len(layers.nodes))
    costs = np.zeros(len(runs))
    for r, (nodes, own) in enumerate(zip(layers.nodes, layers.costs, strict=True)):
        of = np.zeros(len(colours.L))
        of[nodes] = own
        costs += of[runs[:, r]]
    for above, below in pairwise(runs.T):
        step = links.fall * (colours.L[above] - colours.L[below])
        jump = (colours.a[above] - colours.a[below]) ** 2 + (colours.b[above] - colours.b[below]) ** 2
        costs += np.where((step <= 0) | (step < links.min_step - 1e-9), np.inf, links.weight * jump / 400)
    return runs, costs


@pytest.mark.parametrize("seed", range(40))
def test_demands_that_cost_when_unmet_are_weighed_as_trying_all_runs_does(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At 3 letters, with quick tries so narrow that fabrics and labels are left out on the way; the same field is asked
    again with one demand more each time, as a list of answers does."""
    if seed % 4:
        monkeypatch.setattr("stash.match.programme.BEAM", 6)
        monkeypatch.setattr("stash.match.programme.WIDTH", 8)
    rng = np.random.default_rng(seed)
    some = random_colours(seed, 40, whole=seed % 2 == 0)
    twice = rng.integers(0, 40, int(rng.integers(0, 20)))
    colours = Colours(*(np.concatenate([one, one[twice]]) for one in (some.L, some.a, some.b)))
    count = len(colours.L)
    layers = layers_of(colours, 3, seed, float(rng.choice([0.7, 1.0])))
    links = Links(int(rng.choice([1, -1])), float(rng.choice([0.0, 5.0])), 0.3)
    runs, costs = every_run(colours, layers, links)
    field = Field(layers)
    demands = [
        Demand(rng.random(count) < rng.choice([0.02, 0.1, 0.3]), 1, float(rng.choice([0.3, 1.5, 6.0])))
        for _ in range(int(rng.integers(1, 9)))
    ]
    for _ in range(5):
        whole = costs.copy()
        for one in demands:
            unmet = one.counts[runs].sum(axis=1) < one.least
            whole[unmet] += one.penalty
        found = least_run(field, links, colours, demands)
        if np.isinf(whole.min()):
            assert found is None
            return
        assert found is not None
        assert found.cost == pytest.approx(whole.min(), abs=1e-9)
        assert found.run == tuple(runs[np.flatnonzero(whole <= whole.min() + 1e-9)[0]].tolist())
        others = np.ones(count, dtype=bool)
        others[list(found.run)] = False
        demands.append(Demand(others, int(rng.integers(1, 4))))
