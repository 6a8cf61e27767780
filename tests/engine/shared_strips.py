"""A star two of whose sets share strips of one piece."""

from __future__ import annotations

from fractions import Fraction

from stash.model import Colouring, Fabric, Kind, Star
from tests.engine.by_hand import piece

# L(4) + L(4) = 2 (2 1/2 + 4 x 2 1/2 sqrt 2) = 33.28 in, one segment 3.54 (derived): 38 in hold two runs of four and one
# segment more, 41 in two more.
LOOK_ALIKES = Colouring({"A": ("Fern", "Moss"), "B": ("Rust",)})
STAR = Star(2, Fraction(5, 2), "ABA")


def cloth(wide: int) -> list[Fabric]:
    """Each look-alike serves row A of set 1 and of set 2, one run of four each: both on one strip. Rust has a strip for
    each run, with two segments to spare."""
    one_strip = {name: piece(i, Fraction(7, 2), wide) for i, name in enumerate(("Fern", "Moss"), 1)}
    rust = tuple(piece(i, Fraction(5, 2), 24, Kind.STRIPS) for i in range(3, 7))
    return [*(Fabric(one.id, name, (one,)) for name, one in one_strip.items()), Fabric(3, "Rust", rust)]
