"""Which fabrics a run under a given cost can go through, told from cells of alike fabrics.

Looking at every pair of neighbours takes ten thousand fabrics a hundred million looks a letter. So the fabrics of a
letter are first put into cells of L*a*b*, and a cell stands for all in it: it costs what its cheapest costs, two cells
are as near in the a*b* plane as their bounding boxes, and they are linked where their values allow it for any two of
their fabrics. Each of these is no more than what it stands for, so the cheapest run through a cell costs no more than
the cheapest run through any fabric in it (an admissible bound of coarse-to-fine dynamic programming: C. Raphael,
Coarse-to-fine dynamic programming, 2001, from memory). A fabric is dropped only when its own cost with the cheapest
that can come before and after its cell is over what a run may cost. What is left goes into smaller cells, and in the
end into the exact test of `stash.match.bounds`.

The number of cells is bounded by the room of colours, so the work grows with the fabrics and no longer with their
square, as long as what is left does: the more fabrics, the cheaper the runs, and the narrower what is left.
Rounding keeps the order: differences, squares, sums and `grained` never turn a smaller number into a larger one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from stash.match.layers import EQUAL, Bools, Colours, Floats, Ints, Layers, Links, grained

SIDES = (16.0, 8.0, 4.0)  # of a cell, in L*, a* and b*
FEW = 400  # fabrics a letter that need no cells
APART = 1 << 12  # more cells a side than there can be


@dataclass(frozen=True, slots=True, eq=False)
class _Cells:
    """The cells of one letter: `of` the cell of each fabric, `low` and `high` the bounds of L*, a*, b*, shape
    (3, cells), and the cost of the cheapest fabric."""

    of: Ints
    low: Floats
    high: Floats
    cost: Floats

    @classmethod
    def made(cls, nodes: Ints, costs: Floats, colours: Colours, side: float) -> _Cells:
        """The fabrics of a letter put into cells of `side` in each of L*, a*, b*."""
        lab = np.stack([colours.L[nodes], colours.a[nodes], colours.b[nodes]])
        place = np.floor(lab / side).astype(np.int64) + APART // 2
        numbers, of = np.unique((place[0] * APART + place[1]) * APART + place[2], return_inverse=True)
        low, high = np.full((3, len(numbers)), np.inf), np.full((3, len(numbers)), -np.inf)
        for axis in range(3):
            np.minimum.at(low[axis], of, lab[axis])
            np.maximum.at(high[axis], of, lab[axis])
        cost = np.full(len(numbers), np.inf)
        np.minimum.at(cost, of, costs)
        return cls(of, low, high, cost)

    def to(self, below: _Cells, links: Links) -> Floats:
        """The least that a link from each of these to each of `below` costs, shape (these, below)."""
        if links.fall > 0:
            step = self.high[0][:, None] - below.low[0][None, :]
        else:
            step = below.high[0][None, :] - self.low[0][:, None]
        apart = np.zeros_like(step)
        for axis in (1, 2):
            over = self.low[axis][:, None] - below.high[axis][None, :]
            under = below.low[axis][None, :] - self.high[axis][:, None]
            apart += np.maximum(np.maximum(over, under), 0.0) ** 2
        cost = grained(apart * (links.weight / 400.0))
        cost[(step <= 0) | (step < links.min_step - EQUAL)] = np.inf
        return cost


def narrowed(layers: Layers, links: Links, colours: Colours, room: float) -> list[Bools]:
    """For each letter which fabrics are left: all that a run of at most `room` goes through, and others."""
    kept = [np.arange(len(nodes)) for nodes in layers.nodes]
    for side in SIDES:
        if max(len(one) for one in kept) <= FEW or any(len(one) == 0 for one in kept):
            break
        left = Layers(
            tuple(nodes[one] for nodes, one in zip(layers.nodes, kept, strict=True)),
            tuple(costs[one] for costs, one in zip(layers.costs, kept, strict=True)),
        )
        bounds = _bounds(left, links, colours, side)
        kept = [one[bound <= room + EQUAL] for one, bound in zip(kept, bounds, strict=True)]
    return [_mask(one, len(nodes)) for one, nodes in zip(kept, layers.nodes, strict=True)]


def _mask(places: Ints, count: int) -> Bools:
    mask = np.zeros(count, dtype=bool)
    mask[places] = True
    return mask


def _bounds(layers: Layers, links: Links, colours: Colours, side: float) -> list[Floats]:
    """For each fabric of each letter a cost that no run through it is under."""
    cells = [
        _Cells.made(nodes, costs, colours, side) for nodes, costs in zip(layers.nodes, layers.costs, strict=True)
    ]
    matrices = [above.to(below, links) for above, below in pairwise(cells)]
    before, after = _before(cells, matrices), _after(cells, matrices)
    return [
        costs + (b + a)[one.of] for costs, one, b, a in zip(layers.costs, cells, before, after, strict=True)
    ]


def _before(cells: Sequence[_Cells], matrices: Sequence[Floats]) -> list[Floats]:
    """The least cost of all letters before each cell."""
    found = [np.zeros(len(cells[0].cost))]
    for one, matrix in zip(cells, matrices, strict=False):
        found.append((matrix + (found[-1] + one.cost)[:, None]).min(axis=0))
    return found


def _after(cells: Sequence[_Cells], matrices: Sequence[Floats]) -> list[Floats]:
    """The least cost of all letters after each cell."""
    found = [np.zeros(len(cells[-1].cost))]
    for one, matrix in zip(reversed(cells), reversed(matrices), strict=False):
        found.insert(0, (matrix + (found[0] + one.cost)).min(axis=1))
    return found
