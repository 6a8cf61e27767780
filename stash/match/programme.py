"""The least-cost run of fabrics, one for each letter, by dynamic programming over layers.

A *label* is a node of a layer and what is still wanted of each demand once a run has come through it. Labels go from
the first layer to the last; of two runs that come to one label the cheaper is kept, and a label is dropped only when
every run through it is dearer than a run already found. A first try among the cheapest nodes and labels finds that run.

Of runs whose costs are within `EQUAL` the one whose fabrics come first in the alphabet is taken (fabrics are numbered
by name), so labels are dropped only when they are dearer by more than that.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from time import monotonic

import numpy as np

from stash.match.bounds import Prices, ahead_of, fitted, matrices_of, worthwhile
from stash.match.layers import EQUAL, Bools, Colours, Demand, Floats, Found, Ints, Layers, Links

BEAM = 48  # nodes a layer in the first, quick try for a bound
WIDTH = 600  # labels a layer in a quick try
FURTHER = 1.3  # how far over the bound of the first run others are looked for
BLOCK = 1 << 20  # label and node pairs looked at in one go
FINITE = float(np.finfo(np.float64).max)


class TimeUp(Exception):
    """The time limit was reached before the answer was proven."""


class Field:
    """Layers to look for runs in again and again, with more demands each time.

    `close` holds every run that costs no more than `limit`, so that most of the layers are looked at only once.
    """

    def __init__(self, layers: Layers, close: Layers | None = None, limit: float = np.inf) -> None:
        self.layers = layers
        self.close = layers if close is None else close
        self.limit = limit

    def where(self, serves: Callable[[Ints, int], Bools]) -> Field:
        """Only the fabrics that serve their letter: `serves(fabrics, letter)`."""
        return Field(_where(self.layers, serves), _where(self.close, serves), self.limit)


def _where(layers: Layers, serves: Callable[[Ints, int], Bools]) -> Layers:
    return layers.only([serves(nodes, letter) for letter, nodes in enumerate(layers.nodes)])


def least_run(
    field: Field, links: Links, colours: Colours, demands: Sequence[Demand] = (), deadline: float | None = None
) -> Found | None:
    """The least-cost run that meets all demands, or None. Raises TimeUp after `deadline` (monotonic seconds).

    The same field may be asked again with the same demands and more.
    """
    found, among = _some_run(field.close, links, colours, demands, deadline)
    if field.limit < np.inf and (found is None or found.cost > field.limit):
        field.close, field.limit = field.layers, np.inf
        found, among = _some_run(field.close, links, colours, demands, deadline)
    if found is None or among is None:
        return found
    prices, bound = fitted(among, links, colours, demands, found)
    if np.isinf(field.limit):
        field.limit = max(found.cost, FURTHER * bound)
        field.close = worthwhile(field.layers, links, colours, prices, field.limit)
    layers = worthwhile(field.close, links, colours, prices, found.cost)
    if demands:
        prices, _ = fitted(layers, links, colours, demands, found)
    quick = _Programme(layers, links, colours, prices, found.cost, WIDTH, deadline)
    better = quick.best()
    if not quick.left_out:
        return better
    cost = found.cost if better is None else better.cost
    layers = worthwhile(layers, links, colours, prices, cost)
    return _Programme(layers, links, colours, prices, cost, None, deadline).best()


def _some_run(
    layers: Layers, links: Links, colours: Colours, demands: Sequence[Demand], deadline: float | None
) -> tuple[Found | None, Layers | None]:
    """A run that meets all demands, likely a cheap one, and the few nodes it was looked for among; no nodes when it
    is known to be the least. No run when there is none."""
    beam, width, guess = BEAM, WIDTH, Prices.half(demands)
    while not layers.empty():
        small = _small(layers, guess, beam)
        whole = all(len(few) == len(all_) for few, all_ in zip(small.nodes, layers.nodes, strict=True))
        quick = _Programme(small, links, colours, guess, np.inf, width, deadline)
        found = quick.best()
        if whole and not quick.left_out:
            return found, None
        if found is not None:
            return found, small
        beam, width = 4 * beam, 4 * width
    return None, None


def _small(layers: Layers, prices: Prices, beam: int) -> Layers:
    """The `beam` cheapest nodes of each layer."""
    return layers.only([_cheapest(costs, beam) for costs in prices.on(layers).costs])


def _cheapest(costs: Floats, count: int) -> Bools:
    keep = np.zeros(len(costs), dtype=bool)
    keep[np.argsort(costs, kind="stable")[:count]] = True
    return keep


@dataclass(frozen=True, slots=True, eq=False)
class _Labels:
    """The labels of a layer: the places of their nodes, what is wanted after them, shape (labels, demands), the least
    cost of a run up to them, and the least that a run through them can cost."""

    places: Ints
    wanted: Ints
    cost: Floats
    bound: Floats

    def only(self, keep: Ints) -> _Labels:
        """The labels at these places."""
        return _Labels(self.places[keep], self.wanted[keep], self.cost[keep], self.bound[keep])

    def joined(self) -> tuple[_Labels, Ints]:
        """Equal labels made one, at the least cost, and for each of these labels the number it then has."""
        _, first, which = np.unique(self._keys(), return_index=True, return_inverse=True)
        cost, bound = np.full((2, len(first)), np.inf)
        np.minimum.at(cost, which.ravel(), self.cost)
        np.minimum.at(bound, which.ravel(), self.bound)
        return _Labels(self.places[first], self.wanted[first], cost, bound), which.ravel()

    def _keys(self) -> Ints:
        """A whole number for each label, the same only for equal ones."""
        keys, size = self.places, int(self.places.max(initial=0)) + 1
        for wanted in self.wanted.T:
            base = int(wanted.max(initial=0)) + 1
            if size * base >= 2**62:
                known, keys = np.unique(keys, return_inverse=True)
                size = len(known)
            keys, size = keys.ravel() * base + wanted, size * base
        return keys


@dataclass(frozen=True, slots=True, eq=False)
class _Steps:
    """From a label of one layer to a label of the next, and what that costs."""

    start: Ints
    end: Ints
    cost: Floats


class _Programme:
    """Labels layer by layer, none through which every run is dearer than `room`; with a `width`, no more than that in
    a layer (`left_out` says whether there were more)."""

    def __init__(
        self,
        layers: Layers,
        links: Links,
        colours: Colours,
        prices: Prices,
        room: float,
        width: int | None,
        deadline: float | None,
    ) -> None:
        self.layers = layers
        self.room = room
        self.width = width
        self.deadline = deadline
        self.left_out = False
        self.last = len(layers.nodes) - 1
        if layers.empty():
            return
        self.prices = prices.each
        self.penalties = np.array([one.penalty for one in prices.demands])
        self.least = np.array([one.least for one in prices.demands], dtype=np.int64)
        self.counts = [
            np.array([one.counts[nodes] for one in prices.demands], dtype=np.int64).reshape(-1, len(nodes)).T
            for nodes in layers.nodes
        ]
        self.back = [counts @ self.prices for counts in self.counts]
        self.matrices = matrices_of(layers, links, colours)
        priced = prices.on(layers)
        self.after = [ahead - costs for ahead, costs in zip(ahead_of(priced, self.matrices), priced.costs, strict=True)]

    def best(self) -> Found | None:
        """The least-cost run, demands unmet paid for; None where there is none within `room`."""
        if self.layers.empty():
            return None
        labels, steps = [self._first()], []
        for r in range(self.last):
            following, taken = self._next(r, labels[r])
            labels.append(following)
            steps.append(taken)
        ahead = [self._unmet(labels[-1].wanted)]
        for r in reversed(range(self.last)):
            here = np.full(len(labels[r].places), np.inf)
            np.minimum.at(here, steps[r].start, steps[r].cost + ahead[0][steps[r].end])
            ahead.insert(0, here)
        whole = labels[0].cost + ahead[0]
        if not len(whole) or np.isinf(whole.min()):
            return None
        return self._first_by_name(labels, steps, ahead, float(whole.min()))

    def _first(self) -> _Labels:
        wanted = np.maximum(self.least - self.counts[0], 0)
        cost = self.layers.costs[0]
        places = np.arange(len(cost))
        labels = _Labels(places, wanted, cost, self._bound(0, cost, wanted, places))
        labels = labels.only(np.flatnonzero(self._worth(labels.bound)))
        return labels.only(self._few(labels))

    def _bound(self, r: int, cost: Floats, wanted: Ints, places: Ints) -> Floats:
        """The least a run can cost that comes at `cost` through nodes of layer r and then lacks `wanted`."""
        bound = cost + self.after[r][places] + wanted @ self.prices
        letters = self.last - r
        bound[((wanted > letters) & np.isinf(self.penalties)).any(axis=1)] = np.inf
        return np.asarray(bound)

    def _next(self, r: int, labels: _Labels) -> tuple[_Labels, _Steps]:
        """The labels of layer r + 1 that those of layer r lead to."""
        start, end = self._pairs(r, labels)
        step = self.matrices[r][labels.places[start], end] + self.layers.costs[r + 1][end]
        cost = labels.cost[start] + step
        wanted = np.maximum(labels.wanted[start] - self.counts[r + 1][end], 0)
        bound = self._bound(r + 1, cost, wanted, end)
        passed = _Labels(end, wanted, cost, bound)
        keep = np.flatnonzero(self._worth(passed.bound))
        new, which = passed.only(keep).joined()
        few = self._few(new)
        place = np.full(len(new.places), -1)
        place[few] = np.arange(len(few))
        kept = place[which] >= 0
        taken = keep[kept]
        return new.only(few), _Steps(start[taken], place[which[kept]], step[taken])

    def _pairs(self, r: int, labels: _Labels) -> tuple[Ints, Ints]:
        """Pairs of a label and a node of the next layer that may be worth it, by a bound that is quick to work out."""
        here = labels.cost + labels.wanted @ self.prices
        there = self.layers.costs[r + 1] + self.after[r + 1] - self.back[r + 1]
        block = max(1, BLOCK // len(there))
        starts, ends = [np.zeros(0, dtype=np.int64)], [np.zeros(0, dtype=np.int64)]
        for i in range(0, len(here), block):
            if self.deadline is not None and monotonic() > self.deadline:
                raise TimeUp
            bound = self.matrices[r][labels.places[i : i + block]] + there
            bound += here[i : i + block, None]
            start, end = np.nonzero(self._worth(bound))
            starts.append(start + i)
            ends.append(end)
        return np.concatenate(starts), np.concatenate(ends)

    def _worth(self, bound: Floats) -> Bools:
        return np.asarray(bound <= min(self.room + EQUAL, FINITE))

    def _few(self, labels: _Labels) -> Ints:
        """The numbers of all labels, or of the `width` cheapest."""
        if self.width is None or len(labels.places) <= self.width:
            return np.arange(len(labels.places))
        self.left_out = True
        return np.argsort(labels.bound, kind="stable")[: self.width]

    def _unmet(self, wanted: Ints) -> Floats:
        """What runs cost more that end with `wanted` unmet."""
        return np.asarray(np.where(wanted > 0, self.penalties, 0.0).sum(axis=1))

    def _first_by_name(
        self, labels: Sequence[_Labels], steps: Sequence[_Steps], ahead: Sequence[Floats], least: float
    ) -> Found:
        """Of the runs that cost `least`, or within `EQUAL` of it, the first by name."""
        label = int(labels[0].places[labels[0].cost + ahead[0] <= least + EQUAL].min())
        label = int(np.flatnonzero(labels[0].places == label)[0])
        spent = float(labels[0].cost[label])
        run = [int(self.layers.nodes[0][labels[0].places[label]])]
        for r, step in enumerate(steps):
            whole = spent + step.cost + ahead[r + 1][step.end]
            cheap = np.flatnonzero((step.start == label) & (whole <= least + EQUAL))
            taken = cheap[labels[r + 1].places[step.end[cheap]].argmin()]
            label = int(step.end[taken])
            spent += float(step.cost[taken])
            run.append(int(self.layers.nodes[r + 1][labels[r + 1].places[label]]))
        return Found(spent + float(ahead[-1][label]), tuple(run))
