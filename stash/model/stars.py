"""Stars on paper and their colourings. Standard library only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

QUILT_PARTS = ("ground", "binding", "backing")
"""The parts of the quilt round the star: fields of `Colouring`, in the order in which they are laid on a fabric's
pieces."""


class Sewn(StrEnum):
    """How the eight segments of one strip set are sewn: the runs they are cut from."""

    WHOLE = "whole"
    SEVEN_ONE = "7+1"
    HALVED = "halved"
    QUARTERED = "quartered"


@dataclass(frozen=True, slots=True)
class Star:
    """A star on paper: eight large diamonds of grid x grid small ones. Lengths are exact inches.

    `order` has 2 * grid - 1 letters from the centre (row 1) to the tip. `stagger` None is the exact one (the
    finished strip width). `borders` are finished widths from the star outwards.
    """

    grid: int
    strip: Fraction
    order: str
    width: Fraction = Fraction(40)
    stagger: Fraction | None = None
    seam: Fraction = Fraction(1, 4)
    small_runs: bool = False
    borders: tuple[Fraction, ...] = ()
    bed: str | None = None
    drop: Fraction | None = None
    units: str = "in"
    binding_width: Fraction = Fraction(42)
    backing_width: Fraction = Fraction(42)

    @property
    def letters(self) -> str:
        """The letters in use, A first, each once."""
        return "".join(sorted(set(self.order)))

    @property
    def finished_strip(self) -> Fraction:
        """f = w - 2s, inches."""
        return self.strip - 2 * self.seam

    @property
    def slant(self) -> Fraction:
        """e = (n - 1) * |stagger - f|, inches: length lost when the stagger is not the exact one."""
        if self.stagger is None:
            return Fraction(0)
        return (self.grid - 1) * abs(self.stagger - self.finished_strip)


_ON_STRIPS = ("grid", "strip", "order", "stagger", "seam", "small_runs")


def same_strips(one: Star, other: Star) -> bool:
    """Whether two stars are cut of the same strips, whatever the quilt round them, the cloth to buy and the units."""
    return all(getattr(one, field) == getattr(other, field) for field in _ON_STRIPS)


@dataclass(frozen=True, slots=True)
class Colouring:
    """Which fabric stands at which letter. Two names at a letter are look-alikes: four points each.

    `uses` maps a letter to fabric names as they are in the stash. `ground` also makes the borders; `binding` and
    `backing` are asked of the stash where they are named.
    """

    uses: Mapping[str, tuple[str, ...]]
    ground: str | None = None
    binding: str | None = None
    backing: str | None = None

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the fabrics at the letters, each once."""
        return tuple(dict.fromkeys(name for used in self.uses.values() for name in used))

    @property
    def parts(self) -> dict[str, str]:
        """The name of the fabric of each of `QUILT_PARTS` that has one."""
        named = {"ground": self.ground, "binding": self.binding, "backing": self.backing}
        return {part: name for part, name in named.items() if name}


def with_part(colouring: Colouring, part: str, name: str | None) -> Colouring:
    """The colouring with another fabric for the ground, the binding or the backing."""
    match part:
        case "ground":
            return replace(colouring, ground=name)
        case "binding":
            return replace(colouring, binding=name)
        case _:
            return replace(colouring, backing=name)


@dataclass(frozen=True, slots=True)
class SavedColouring:
    """The `number`-th colouring (from 1) of a saved star."""

    number: int
    colouring: Colouring


@dataclass(frozen=True, slots=True)
class SavedStar:
    """A star kept in the stash under a name, with its colourings in the order of their numbers."""

    id: int
    name: str
    star: Star
    colourings: tuple[SavedColouring, ...] = ()
