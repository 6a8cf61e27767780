"""Fabrics that go with a given one: how far each is from its colours, and which of its main colours a run meets.

All differences here are CIEDE2000 with kL = 2: a run from light to dark has to leave the given fabric's values, so
value weighs half. (The limits and weights are the project's own.)
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from stash.colour.lab import delta_e_2000
from stash.errors import UsageFault
from stash.match.coverage import find_fabric
from stash.match.layers import Bools, Demand, Floats
from stash.model import Colour, Fabric, Met, PaletteColour
from stash.names import name_key

COUNTS = 0.03  # the least share of a palette colour that others can be near to
MAIN = 0.10  # the least share of a main colour
MEETS = 12.0  # how near a fabric comes to a main colour that it meets
PENALTY = 1.5  # for each main colour that no fabric of a run meets
COLOUR_WEIGHT = 0.3  # of jumps between neighbours: the given fabric's colours may lie far apart
SCALE = 20.0


def value_shift(fabric: Fabric) -> float:
    """What setting the value by eye added to L*: searches take it, so it goes for all that the photograph said."""
    if fabric.value_by_eye is None or fabric.swatch is None:
        return 0.0
    return fabric.value_by_eye - fabric.swatch.colour.L


def palette_of(fabric: Fabric) -> tuple[PaletteColour, ...]:
    """The palette of the fabric's swatch, heaviest first; without one its colour alone. Empty for no colour yet."""
    if fabric.swatch is None or not fabric.swatch.palette:
        return () if fabric.colour is None else (PaletteColour(fabric.colour, 1.0),)
    shift = value_shift(fabric)
    return tuple(
        replace(one, colour=replace(one.colour, L=min(100.0, max(0.0, one.colour.L + shift))))
        for one in fabric.swatch.palette
    )


@dataclass(frozen=True, slots=True, eq=False)
class Near:
    """A given fabric against the fabrics of a search, which are known by number.

    `cost` (one for each fabric) is (distance / 20) squared. `distances` has shape (fabrics, main colours): how near
    each fabric comes to each of `main`, the given fabric's main colours.
    """

    fabric: Fabric
    main: tuple[PaletteColour, ...]
    cost: Floats
    distances: Floats

    def demands(self) -> list[Demand]:
        """Each main colour wants to be met, at a penalty."""
        met: Bools = self.distances <= MEETS
        return [Demand(met[:, i], 1, PENALTY) for i in range(len(self.main))]

    def met_by(self, run: Sequence[int], letters: str) -> tuple[Met, ...]:
        """The main colours that a run meets, heaviest first, each with the letter of the nearest fabric."""
        here = self.distances[list(run)]
        nearest = here.argmin(axis=0)
        return tuple(
            Met(one.colour, one.share, letters[nearest[i]])
            for i, one in enumerate(self.main)
            if here[nearest[i], i] <= MEETS
        )


def near_to(name: str, fabrics: Iterable[Fabric]) -> Fabric:
    """The fabric that a run is to be near to. Raises NotFound, and UsageFault for one with no colour yet."""
    fabric = find_fabric(name, {name_key(one.name): one for one in fabrics})
    if not palette_of(fabric):
        raise UsageFault(f'"{fabric.name}" has no colour yet', do="give it a colour first")
    return fabric


def near(fabric: Fabric, others: Sequence[Fabric]) -> Near:
    """Measure all of `others`, which have a colour each, against `fabric`, which has one too.

    The distance of a plain fabric is the least difference between the colour all searches take and the given
    fabric's colours of share >= 3 %. That of a print, whose own palette has several colours, is the mean of their
    least differences, weighted by share. A fabric meets a main colour (share >= 10 %) when the colour all searches
    take, or a main colour of its own palette, is within 12 of it: a print takes a colour up by having it.
    """
    palette = palette_of(fabric)
    colours = _Colours(others)
    differences = {one: colours.differences(one.colour) for one in palette if one.share >= COUNTS}
    least = np.min(list(differences.values()), axis=0)
    main = tuple(one for one in palette if one.share >= MAIN)
    distances = np.stack([colours.nearest(differences[one]) for one in main], axis=1) if main else _none(len(others))
    return Near(fabric, main, (colours.mean(least) / SCALE) ** 2, distances)


def _none(count: int) -> Floats:
    return np.zeros((count, 0))


class _Colours:
    """The colours of many fabrics in one row: first the colour of each that searches take, then the palettes of
    the prints among them."""

    def __init__(self, fabrics: Sequence[Fabric]) -> None:
        self.count = len(fabrics)
        self.all: list[Colour] = []
        owners, shares = [], []
        for fabric in fabrics:
            assert fabric.colour is not None
            self.all.append(fabric.colour)
        for number, fabric in enumerate(fabrics):
            palette = palette_of(fabric)
            if len(palette) > 1:
                self.all += [one.colour for one in palette]
                owners += [number] * len(palette)
                shares += [one.share for one in palette]
        self.owners = np.array(owners, dtype=np.int64)
        self.shares = np.array(shares, dtype=np.float64)

    def differences(self, colour: Colour) -> Floats:
        """From `colour` to each of the row."""
        return np.array(delta_e_2000(colour, self.all, kL=2.0))

    def mean(self, differences: Floats) -> Floats:
        """For each fabric its own colour's, or for a print the mean of its palette's, weighted by share."""
        result = differences[: self.count].copy()
        total = np.bincount(self.owners, self.shares, self.count)
        summed = np.bincount(self.owners, self.shares * differences[self.count :], self.count)
        prints = total > 0
        result[prints] = summed[prints] / total[prints]
        return result

    def nearest(self, differences: Floats) -> Floats:
        """For each fabric the least of its own colour's and, for a print, its main colours'."""
        result = differences[: self.count].copy()
        main = self.shares >= MAIN
        np.minimum.at(result, self.owners[main], differences[self.count :][main])
        return result
