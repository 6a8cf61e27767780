"""Random stars, pieces of all kinds and colourings, often short or covered by a hair."""

from __future__ import annotations

import math
import random
from fractions import Fraction

from stash.match.coverage import check, covers
from stash.model import Colour, Colouring, Coverage, Fabric, Kind, Piece, Star
from tests.engine import by_hand
from tests.engine.by_hand import Uses, piece

ORDERS = {
    2: ("ABA", "ABC", "AAB", "ABB"),
    3: ("ABCBA", "ABABA", "ABBCA", "AABBC", "ABCDE"),
    4: ("ABCDCBA", "ABCABCA", "ABABABA", "ABCDEFG"),
}


def random_piece(rng: random.Random, number: int, strip: Fraction, most: int = 3) -> Piece:
    """A piece that gives 0 to `most` lanes or so, often by a hair; a third of those that can be were cut before."""
    kind = rng.choice((Kind.YARDAGE, Kind.YARDAGE, Kind.FAT_QUARTER, Kind.FAT_QUARTER, Kind.FAT_EIGHTH, Kind.SCRAP,
                       Kind.STRIPS, Kind.SQUARE))  # fmt: skip
    cut = rng.random() < 1 / 3
    hair = Fraction(rng.choice((-1, 0, 0, 1, 30)), 64)
    if kind is Kind.YARDAGE:
        length = rng.randint(0, most) * strip + (Fraction(1, 2) if cut else 1) + hair
        widths = [Fraction(width, 2) for width in (80, 79, 85, 74, 62)]
        just = _just_wide_enough(rng, strip)
        width = just if rng.random() < 0.4 and 12 <= just <= 45 else rng.choice(widths)
        return piece(number, max(length, Fraction(1)), width, kind, cut_before=cut)
    if kind in (Kind.FAT_QUARTER, Kind.FAT_EIGHTH):
        length = Fraction(18 if kind is Kind.FAT_QUARTER else 9)
        if cut:  # some strips are off, and what straightened it
            length = max(length - Fraction(1, 2) - rng.randint(1, 3) * strip, Fraction(2))
        return piece(number, length, rng.choice((20, 21, 21, 22)), kind, cut_before=cut)
    if kind is Kind.SCRAP:
        sides = (rng.randint(4, 30), rng.randint(4, 30))
        if rng.random() < 0.5:  # a long strip left over from a border
            sides = (rng.randint(20, 44), rng.randint(4, 12))
        return piece(number, *sides, kind, cut_before=cut)
    if kind is Kind.STRIPS:
        return piece(number, rng.choice((strip, 2 * strip, Fraction(5, 2))), rng.choice((20, 40, 42)), kind)
    return piece(number, *rng.choice(((10, 10), (5, 5), (12, 12))), kind)


def _just_wide_enough(rng: random.Random, strip: Fraction) -> Fraction:
    """A width that one or two runs need at the exact stagger, and a little over, to 1/64 in."""
    runs, segments = rng.choice(((1, 4), (1, 7), (1, 8), (2, 8), (1, 8), (1, 15)))
    over = rng.choice((0, 1 / 64, 1 / 4, 31 / 64, 33 / 64))
    return Fraction(math.ceil((float(strip) * (runs + segments * math.sqrt(2)) + over) * 64), 64)


def random_fabric(rng: random.Random, number: int, strip: Fraction, pieces: int = 3, most: int = 3) -> Fabric:
    colour = Colour(rng.randint(15, 95), rng.randint(-40, 40), rng.randint(-40, 40))
    owned = tuple(random_piece(rng, number * 10 + i, strip, most) for i in range(rng.randint(0, pieces)))
    return Fabric(number, f"Cloth {number}", owned, colour, directional=rng.random() < 0.25)


def random_star(rng: random.Random, small_runs: bool = False, grids: tuple[int, ...] = (2, 2, 3)) -> Star:
    grid = rng.choice(grids)
    order = rng.choice(ORDERS[grid])
    strip = rng.choice(tuple(map(Fraction, ("3/2", "2", "5/2", "27/10", "8/3", "3", "13/4"))))
    stagger = rng.choice((None, None, None, Fraction(0), strip - Fraction(1, 4)))
    seam = rng.choice((Fraction(1, 4), Fraction(1, 4), Fraction(3, 8)))
    return Star(grid, strip, order, rng.choice((Fraction(40), Fraction(42))), stagger, seam, small_runs)


def random_uses(rng: random.Random, star: Star, pieces: int = 3, most: int = 4) -> dict[str, tuple[Fabric, ...]]:
    """Mostly a fabric each; now and then one fabric at two letters, or two look-alikes at one."""
    fabrics = [random_fabric(rng, i + 1, star.strip, pieces, most) for i in range(len(star.letters) + 1)]
    uses = {letter: (fabrics[i],) for i, letter in enumerate(star.letters)}
    kind = rng.random()
    if kind < 0.25:
        uses["B"] = uses["A"]
    elif kind < 0.5:
        uses[rng.choice(star.letters)] = (fabrics[-1], fabrics[0])
    return uses


def covered_cases(
    first: int, count: int, grids: tuple[int, ...], pieces: int, lanes: int, small_runs: float = 0.25
) -> list[tuple[Star, Uses, Coverage]]:
    """Random stars and stashes whose colouring is covered: `pieces` of a fabric at most, `lanes` for each row."""
    found = []
    for seed in range(first, first + count):
        rng = random.Random(seed)
        star = random_star(rng, rng.random() < small_runs, grids)
        uses = random_uses(rng, star, pieces, lanes * star.grid)
        asked = Colouring(by_hand.names(uses))
        if covers(star, asked, by_hand.stash_of(uses)):
            found.append((star, uses, check(star, asked, by_hand.stash_of(uses))))
    return found
