"""The main colours of a cloth and how busy it is.

A weighted table of 6-bit colours, k-means in L*a*b* seeded without chance (the heaviest cell, then each time the one
with the largest weight x distance squared), close colours merged, small ones dropped. Variety is Rao's quadratic
entropy of the palette with CIEDE2000 as the distance.
"""

from __future__ import annotations

import numpy as np

from stash.colour.lab import XYZ_TO_RGB, delta_e_2000
from stash.colour.space import Floats, coded
from stash.colour.white import lab_from_xyz
from stash.model import Colour, PaletteColour

MOST = 8
MERGE = 5.0  # CIEDE2000 under which two colours are one
SMALL = 0.02  # share under which a colour is dropped
ROUNDS = 30
BITS = 6
_STEPS = 1 << 14
_LEVELS = np.minimum(coded(np.arange(_STEPS + 1) / _STEPS) * (1 << BITS), (1 << BITS) - 1).astype(np.int64)


def palette_of(xyz: Floats, source: str) -> tuple[PaletteColour, ...]:
    """The palette of XYZ values for D65, shape (n, 3), n at least 1; heaviest first, shares adding up to 1."""
    cells, weights = _table(xyz)
    centres, shares = _merged(*_means(cells, weights), source)
    kept = [i for i in range(len(shares)) if shares[i] >= SMALL] or [int(np.argmax(shares))]
    total = sum(shares[i] for i in kept)
    order = sorted(kept, key=lambda i: (-shares[i], tuple(centres[i])))
    return tuple(PaletteColour(_colour(centres[i], source), float(shares[i] / total)) for i in order)


def variety_of(palette: tuple[PaletteColour, ...]) -> float:
    """The expected CIEDE2000 of two random points: sum of share x share x difference over all pairs."""
    colours = [one.colour for one in palette]
    return sum(
        one.share * other.share * apart
        for one in palette
        for other, apart in zip(palette, delta_e_2000(one.colour, colours), strict=True)
    )


def _colour(lab: Floats, source: str) -> Colour:
    L, a, b = (float(v) for v in lab)
    return Colour(min(100.0, max(0.0, L)), a, b, source)


def _table(xyz: Floats) -> tuple[Floats, Floats]:
    """L*a*b* (n, 3) and weights (n,) of the cells of 6-bit sRGB that are not empty; a cell's colour is the mean
    light in it."""
    rgb = np.clip(xyz @ np.array(XYZ_TO_RGB).T, 0.0, 1.0)
    level = _LEVELS[(rgb * (len(_LEVELS) - 1)).astype(np.int64)]
    key = (level[:, 0] << 2 * BITS) | (level[:, 1] << BITS) | level[:, 2]
    counts = np.bincount(key, minlength=1 << 3 * BITS)
    used = np.flatnonzero(counts)
    number = np.zeros(len(counts), dtype=np.int32)
    number[used] = np.arange(len(used), dtype=np.int32)
    cell = number[key]  # in few cells sums are made faster than in all there may be
    means = np.stack([np.bincount(cell, xyz[:, c], len(used)) for c in range(3)], axis=1)
    weights = counts[used].astype(np.float64)
    return lab_from_xyz(means / weights[:, None]), weights


def _seeds(cells: Floats, weights: Floats) -> Floats:
    seeds = [cells[int(np.argmax(weights))]]
    nearest = ((cells - seeds[0]) ** 2).sum(axis=1)
    while len(seeds) < min(MOST, len(cells)):
        seeds.append(cells[int(np.argmax(weights * nearest))])
        nearest = np.minimum(nearest, ((cells - seeds[-1]) ** 2).sum(axis=1))
    return np.array(seeds)


def _means(cells: Floats, weights: Floats) -> tuple[list[Floats], list[float]]:
    """Weighted k-means: centres and their shares, empty ones left out."""
    centres = _seeds(cells, weights)
    belongs = np.full(len(cells), -1)
    for _ in range(ROUNDS):
        squares = (centres**2).sum(axis=1) - 2 * cells @ centres.T
        now = np.argmin(squares, axis=1)
        if (now == belongs).all():
            break
        belongs = now
        total = np.bincount(belongs, weights, len(centres))
        sums = np.stack([np.bincount(belongs, weights * cells[:, c], len(centres)) for c in range(3)], axis=1)
        centres = np.where(total[:, None] > 0, sums / np.maximum(total, 1e-12)[:, None], centres)
    total = np.bincount(belongs, weights, len(centres))
    used = np.flatnonzero(total)
    return [centres[i] for i in used], [float(total[i] / weights.sum()) for i in used]


def _merged(centres: list[Floats], shares: list[float], source: str) -> tuple[list[Floats], list[float]]:
    """The closest pair becomes one, again and again, until all are at least `MERGE` apart."""
    while len(centres) > 1:
        colours = [_colour(one, source) for one in centres]
        pairs = [
            (apart, i, j)
            for i in range(len(colours) - 1)
            for j, apart in enumerate(delta_e_2000(colours[i], colours[i + 1 :]), start=i + 1)
        ]
        apart, i, j = min(pairs)
        if apart >= MERGE:
            break
        both = shares[i] + shares[j]
        centres[i] = (centres[i] * shares[i] + centres[j] * shares[j]) / both
        shares[i] = both
        del centres[j], shares[j]
    return centres, shares
