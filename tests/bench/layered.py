"""The same search as others would do it: the layered graph in networkx, and every pair of neighbours by numpy.

Costs and links are worked out here from their definition. Each letter has the fabrics that cover it by themselves.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import networkx as nx
import numpy as np

from stash.match.candidates import find_candidates
from stash.match.sequence import least_step, spread
from stash.match.wishes import Wishes
from stash.model import Fabric, Star

SOURCE, SINK = (-1, -1), (10**6, -1)


@dataclass(frozen=True, slots=True)
class Layered:
    """For each letter the fabrics that may stand there; what a fabric costs there, and the least step."""

    fabrics: Sequence[Fabric]
    letters: Sequence[Sequence[int]]
    targets: Sequence[float]
    step: float

    @classmethod
    def of(cls, star: Star, stash: Sequence[Fabric]) -> Layered:
        found = find_candidates(star, stash, Wishes())
        ends = found.ends()
        assert ends is not None
        letters = len(star.letters)
        return cls(found.fabrics, found.letters, spread(*ends, letters), least_step(Wishes(), *ends, letters))

    def own(self, letter: int, fabric: int) -> float:
        colour = self.fabrics[fabric].colour
        assert colour is not None
        dull = (60 - min(math.hypot(colour.a, colour.b), 60)) / 20
        return (colour.L - self.targets[letter]) ** 2 / 100 + 0.25 * dull

    def graph(self) -> Any:
        """The layered graph as networkx has it. A node is (letter, fabric); the last edge of all costs nothing."""
        graph = nx.DiGraph()
        L, a, b = self.columns()
        for letter, here in enumerate(self.letters):
            nodes = np.array(here)
            own = [self.own(letter, fabric) for fabric in here]
            if letter == 0:
                graph.add_weighted_edges_from(
                    (SOURCE, (0, fabric), cost) for fabric, cost in zip(here, own, strict=True)
                )
            else:
                before = np.array(self.letters[letter - 1])
                for fabric, cost in zip(here, own, strict=True):
                    fall = L[before] - L[fabric]
                    above = before[(fall > 0) & (fall >= self.step - 1e-9)]
                    jump = ((a[above] - a[fabric]) ** 2 + (b[above] - b[fabric]) ** 2) / 400
                    graph.add_weighted_edges_from(
                        ((letter - 1, one), (letter, fabric), 0.5 * apart + cost)
                        for one, apart in zip(above.tolist(), jump.tolist(), strict=True)
                    )
            if letter == len(self.letters) - 1:
                graph.add_weighted_edges_from(((letter, fabric), SINK, 0.0) for fabric in nodes.tolist())
        return graph

    def columns(self) -> tuple[Any, Any, Any]:
        colours = [fabric.colour for fabric in self.fabrics]
        return tuple(np.array([getattr(one, axis) for one in colours]) for axis in ("L", "a", "b"))  # type: ignore[return-value]

    def every_pair(self) -> float:
        """The least cost with no graph at all: letter by letter, the best of every pair (a few rows at once)."""
        L, a, b = self.columns()
        best = np.array([self.own(0, fabric) for fabric in self.letters[0]])
        for letter in range(1, len(self.letters)):
            above, here = np.array(self.letters[letter - 1]), np.array(self.letters[letter])
            following = np.empty(len(here))
            for start in range(0, len(here), 256):
                some = here[start : start + 256, None]
                fall = L[above] - L[some]
                jump = ((a[above] - a[some]) ** 2 + (b[above] - b[some]) ** 2) / 400
                costs = np.where((fall > 0) & (fall >= self.step - 1e-9), 0.5 * jump + best, np.inf)
                following[start : start + 256] = costs.min(axis=1)
            best = following + np.array([self.own(letter, fabric) for fabric in here.tolist()])
        return float(best.min())


def least(graph: Any) -> float:
    return float(nx.dijkstra_path_length(graph, SOURCE, SINK))


def cheapest_first(graph: Any) -> Iterator[tuple[float, tuple[int, ...]]]:
    """Runs in the order of their cost (J. Y. Yen's algorithm, 1971, as networkx has it)."""
    for path in nx.shortest_simple_paths(graph, SOURCE, SINK, weight="weight"):
        cost = sum(graph[one][other]["weight"] for one, other in pairwise(path))
        yield cost, tuple(fabric for _, fabric in path[1:-1])
