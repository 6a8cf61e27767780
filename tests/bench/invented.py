"""An invented stash of any size: the same for the same number of fabrics, in no way like anyone's own."""

from __future__ import annotations

import math
import random
from fractions import Fraction

from stash.lengths import to_ticks
from stash.model import Colour, Fabric, Kind, Piece

NEUTRALS = 0.16  # of all fabrics
KINDS = (  # length and width in inches, and how many of 100 fabrics are of it
    (Kind.YARDAGE, 18, 40, 30), (Kind.YARDAGE, 36, 42, 20), (Kind.FAT_QUARTER, 18, 21, 35),
    (Kind.FAT_EIGHTH, 9, 21, 10), (Kind.SQUARE, 10, 10, 5),
)  # fmt: skip


def fabrics(count: int, seed: int = 20) -> list[Fabric]:
    """`count` fabrics with ids from 1, a colour and one to three pieces each."""
    rng = random.Random(seed)
    return [_fabric(rng, number) for number in range(1, count + 1)]


def _fabric(rng: random.Random, number: int) -> Fabric:
    chroma = rng.uniform(0, 8) if rng.random() < NEUTRALS else rng.triangular(8, 75, 28)
    hue = rng.uniform(0, 2 * math.pi)
    colour = Colour(
        round(rng.triangular(14, 95, 60), 2), round(chroma * math.cos(hue), 2), round(chroma * math.sin(hue), 2)
    )
    pieces = tuple(_piece(rng, 4 * number + which) for which in range(rng.choice((1, 1, 1, 2, 3))))
    return Fabric(number, f"Cloth {number:05d}", pieces, colour, directional=rng.random() < 0.1)


def _piece(rng: random.Random, number: int) -> Piece:
    kind, length, width, _ = rng.choices(KINDS, [one[3] for one in KINDS])[0]
    if kind is Kind.YARDAGE:
        length = rng.choice((9, 18, 18, 27, 36, 54))
    return Piece(number, kind, to_ticks(Fraction(length)), to_ticks(Fraction(width)))
