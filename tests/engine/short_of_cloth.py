"""Fabrics with cloth for so many strips, for tests of what to do where the stash is short."""

from __future__ import annotations

import random
from fractions import Fraction
from typing import Any

from stash.model import Colour, Colouring, Fabric, Kind, Piece, Star, Step, WayOn
from tests.engine.by_hand import inch

STAR = Star(3, Fraction(5, 2), "ABCDE")  # strips 1, 2, 3, 2, 1


def cloth(number: int, value: float, strips: float, a: float = 20, name: str = "", **more: Any) -> Fabric:
    """A fabric of that value with yardage for `strips` strips of 2 1/2 in at 40 in; 0: a piece too small for one."""
    piece = Piece(number, Kind.YARDAGE, inch(1 + 2.5 * strips if strips else 2), inch(40))
    return Fabric(number, name or f"F{number}", (piece,), Colour(value, a, 0.0), **more)


def by_step(ways: tuple[WayOn, ...]) -> dict[Step, WayOn]:
    return {way.step: way for way in ways}


def random_stash(rng: random.Random) -> list[Fabric]:
    """Eight fabrics with cloth for three strips at most."""
    return [cloth(i, rng.uniform(10, 95), rng.choice([0, 1, 2, 3]), rng.uniform(-40, 40)) for i in range(1, 9)]


def colouring(*fabrics: Fabric, **more: Any) -> Colouring:
    return Colouring({letter: (one.name,) for letter, one in zip("ABCDE", fabrics, strict=True)}, **more)
