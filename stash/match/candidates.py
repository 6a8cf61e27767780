"""Which fabrics may stand at which letter, and where the run's targets lie."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from stash.colour.lab import is_hue
from stash.errors import UsageFault
from stash.match.coverage import find_fabric, ways_of_sewing
from stash.match.ground import OnPieces, lay_ground, supplies
from stash.match.joint import Joint
from stash.match.near import Near, near, near_to
from stash.match.service import Servant
from stash.match.supply import Supply
from stash.match.wishes import Wishes
from stash.model import Colour, Fabric, Star
from stash.names import name_key


@dataclass(frozen=True, slots=True)
class Candidates:
    """The fabrics that take part, sorted by name, and for each letter the numbers of those that may stand there.

    `must`, `fixed` (letter number to fabric number), `ground` and `near` are the wishes looked up. `uncoloured` counts
    fabrics left out for having no colour yet. `joint` is None when coverage does not matter.
    """

    fabrics: tuple[Fabric, ...]
    letters: tuple[tuple[int, ...], ...]
    must: tuple[int, ...]
    fixed: Mapping[int, int]
    ground: Fabric | None
    uncoloured: int
    joint: Joint | None
    near: Near | None = None

    def colour(self, number: int) -> Colour:
        """The colour of fabric `number`: all that take part have one."""
        colour = self.fabrics[number].colour
        assert colour is not None
        return colour

    def ends(self) -> tuple[float, float] | None:
        """L* of the lightest and the darkest candidate of any letter; None where there is none."""
        values = [self.colour(number).L for number in {number for each in self.letters for number in each}]
        return (max(values), min(values)) if values else None


def find_candidates(star: Star, fabrics: Iterable[Fabric], wishes: Wishes) -> Candidates:
    """Look the wishes up and sift the stash. Raises NotFound for a name, UsageFault for wishes that clash."""
    everything = list(fabrics)
    stash = [fabric for fabric in everything if not fabric.archived]
    coloured = sorted((f for f in stash if f.colour is not None), key=lambda f: (name_key(f.name), f.id))
    named = _look_up(star, everything, coloured, wishes)
    given = near_to(wishes.near, everything) if wishes.near else None
    ground, fixed, must, without = named.ground, named.fixed, named.must, named.without
    joint = Joint(star, Servant(star), _supplies(star, coloured, ground), frozenset(fixed), ways_of_sewing(star))
    taken = set(fixed.values())
    pool = np.array([
        i for i, f in enumerate(coloured)
        if f.id not in without and i not in taken and _wanted(f, wishes, i in must)
    ], dtype=np.int64)  # fmt: skip
    letters: list[tuple[int, ...]] = []
    for letter in range(len(star.letters)):
        if letter in fixed:
            letters.append((fixed[letter],))
        else:
            able = pool if wishes.any else pool[joint.serving(pool, letter, joint.open)]
            letters.append(tuple(able.tolist()))
    return Candidates(
        tuple(coloured), tuple(letters), must, fixed, ground, len(stash) - len(coloured),
        None if wishes.any else joint, None if given is None else near(given, coloured),
    )  # fmt: skip


def check_names(star: Star, fabrics: Iterable[Fabric], wishes: Wishes) -> None:
    """Raises NotFound for a fabric of the wishes that is not there, UsageFault for wishes that clash."""
    everything = list(fabrics)
    _look_up(star, everything, [one for one in everything if one.colour is not None and not one.archived], wishes)


@dataclass(frozen=True, slots=True)
class _Named:
    """Fabrics of the wishes: `fixed` and `must` by their numbers among the coloured ones, `without` by id."""

    ground: Fabric | None
    fixed: Mapping[int, int]
    must: tuple[int, ...]
    without: frozenset[int]


def _look_up(star: Star, everything: Sequence[Fabric], coloured: Sequence[Fabric], wishes: Wishes) -> _Named:
    names = _Names(everything, coloured)
    ground = names.fabric(wishes.ground) if wishes.ground else None
    fixed = _fixed(star, names, wishes.fixed)
    must = tuple(dict.fromkeys(names.number(name) for name in wishes.must))
    without = frozenset(names.fabric(name).id for name in wishes.without)
    for name in (*wishes.must, *wishes.fixed.values()):
        if names.fabric(name).id in without:
            raise UsageFault(f'"{name}" is asked for and left out at once', do="drop one of the two wishes")
    return _Named(ground, fixed, must, without)


def _wanted(fabric: Fabric, wishes: Wishes, is_must: bool) -> bool:
    if wishes.measured and not fabric.recorded:
        return False
    assert fabric.colour is not None
    return is_must or wishes.hue is None or is_hue(fabric.colour, wishes.hue)


def _supplies(star: Star, fabrics: Sequence[Fabric], ground: Fabric | None) -> list[Supply | None]:
    kept: OnPieces | None = lay_ground(ground, star) if ground is not None else None
    return [
        supplies(fabric, star, kept if ground is not None and fabric.id == ground.id else None)
        if fabric.recorded
        else None
        for fabric in fabrics
    ]


def _fixed(star: Star, names: _Names, wanted: Mapping[str, str]) -> dict[int, int]:
    letters = star.letters
    fixed: dict[int, int] = {}
    for letter, name in wanted.items():
        if letter.upper() not in letters or len(letter) != 1:
            raise UsageFault(f'the star has no letter "{letter[:10]}"', do=f"its letters are A to {letters[-1]}")
        number = names.number(name)
        if number in fixed.values():
            raise UsageFault(f'"{name}" is fixed at two letters', do="fix it at one")
        fixed[letters.index(letter.upper())] = number
    return fixed


class _Names:
    """Fabrics by typed name: of the whole stash, and the number of those with a colour."""

    def __init__(self, stash: Sequence[Fabric], coloured: Sequence[Fabric]) -> None:
        self._fabrics = {name_key(fabric.name): fabric for fabric in stash}
        self._numbers = {fabric.id: i for i, fabric in enumerate(coloured)}

    def fabric(self, name: str) -> Fabric:
        """The fabric of that name. Raises NotFound, and Fault for one that is put away."""
        return find_fabric(name, self._fabrics)

    def number(self, name: str) -> int:
        """Its number among the coloured ones. Raises UsageFault for one with no colour yet."""
        fabric = self.fabric(name)
        if fabric.id not in self._numbers:
            raise UsageFault(f'"{fabric.name}" has no colour yet', do="give it a colour first")
        return self._numbers[fabric.id]
