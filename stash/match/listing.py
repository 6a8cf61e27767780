"""The least-cost runs, one after the other, that the stash covers as a whole.

Best first over narrowed choices of sewing. The first node leaves every set open; its least run, each fabric
covering its own letter, is a lower bound. When some choice covers that run as a whole it is listed; else the node
is divided by the way one set is sewn, and each part has the least run of the fabrics that serve it. With every set
fixed, fabrics that serve their letters serve the whole, so the search ends, and nothing cheaper is passed over.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from itertools import count

import numpy as np

from stash.match.joint import Domains, Joint
from stash.match.layers import EQUAL, Colours, Demand, Found, Layers, Links
from stash.match.programme import Field, least_run

UNSOLVED = -1


@dataclass(slots=True)
class _Node:
    domains: Domains | None
    field: Field
    bound: float
    solved_for: int = UNSOLVED  # how many runs were listed when `found` was worked out
    found: Found | None = None


class Listing:
    """Lists runs in the order of their cost.

    joint -- None when coverage does not matter. must -- demands every run has to meet. apart -- by how many fabrics
    a run differs from each one listed before it.
    """

    def __init__(
        self,
        layers: Layers,
        links: Links,
        colours: Colours,
        joint: Joint | None,
        must: Sequence[Demand],
        apart: int,
        deadline: float | None,
    ) -> None:
        self.links = links
        self.colours = colours
        self.joint = joint
        self.must = tuple(must)
        self.apart = apart
        self.deadline = deadline
        self.listed: list[Found] = []
        self._kept_apart: list[Demand] = []  # those of the listed runs that the search had to be told of
        self._told: set[int] = set()
        self._ticket = count()
        self._heap: list[tuple[float, int, _Node]] = []
        self._push(_Node(joint.open if joint else None, Field(layers), 0.0))

    def next(self) -> Found | None:
        """List one more run, or None when there is none. Raises TimeUp."""
        best: Found | None = None
        done: list[_Node] = []
        while self._heap and (best is None or self._heap[0][0] <= best.cost + EQUAL):
            node = heapq.heappop(self._heap)[2]
            if node.solved_for != len(self.listed):
                self._solve(node)
            elif node.found is not None:
                if self.joint is None or self.joint.covered(node.found.run):
                    best = node.found if best is None else _first(best, node.found)
                    done.append(node)
                else:
                    self._divide(node, node.found)
        for node in done:
            self._push(node)
        if best is not None:
            self.listed.append(best)
        return best

    def _push(self, node: _Node) -> None:
        heapq.heappush(self._heap, (node.bound, next(self._ticket), node))

    def _solve(self, node: _Node) -> None:
        """Find the node's least run again, now that more runs are listed: it may be the one it was."""
        found = node.found
        if found is None or self._near(found):
            found = self._least(node.field)
        if found is not None:
            node.found, node.bound, node.solved_for = found, max(found.cost, node.bound), len(self.listed)
            self._push(node)

    def _least(self, field: Field) -> Found | None:
        """The least run that keeps apart from all listed ones. The search is told of a listed run only once it
        came too near to it: each demand makes it longer."""
        while True:
            found = least_run(field, self.links, self.colours, [*self.must, *self._kept_apart], self.deadline)
            if found is None or not self._near(found):
                return found

    def _near(self, found: Found) -> bool:
        """Whether a run is too near to listed ones. The search is told of those."""
        near = [i for i, one in enumerate(self.listed) if len(set(found.run) - set(one.run)) < self.apart]
        for i in near:
            self._tell(i)
        return bool(near)

    def _tell(self, i: int) -> None:
        if i in self._told:
            return
        self._told.add(i)
        others = np.ones(len(self.colours.L), dtype=bool)
        others[list(self.listed[i].run)] = False
        self._kept_apart.append(Demand(others, self.apart))

    def _divide(self, node: _Node, found: Found) -> None:
        assert self.joint is not None
        assert node.domains is not None
        for domains in self.joint.split(found.run, node.domains):
            field = node.field.where(partial(self.joint.serving, domains=domains))
            if not field.layers.empty():
                self._push(_Node(domains, field, node.bound))


def _first(one: Found, other: Found) -> Found:
    """The cheaper of two runs; of equals the first by name."""
    if abs(one.cost - other.cost) <= EQUAL:
        return min(one, other, key=lambda found: found.run)
    return min(one, other, key=lambda found: found.cost)
