"""Small random stashes with stars and wishes for suggestions; plain fabrics."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction
from typing import Any

from stash.match.wishes import Wishes
from stash.model import Colour, Fabric, Star
from tests.engine.by_hand import piece
from tests.engine.random_stars import random_fabric
from tests.engine.runs_by_hand import HUES

STARS = ((2, "ABA"), (2, "ABC"), (2, "ABC"), (3, "ABCBA"), (3, "ABCBA"), (2, "AAA"))


def random_stash(rng: random.Random, star: Star) -> list[Fabric]:
    """6 to 10 fabrics; some of one colour, some unmeasured, some with no colour, some put away."""
    fabrics = []
    words = rng.sample(["Ash", "bay", "Cedar", "dune", "Elm", "fern", "Gorse", "heath", "Iris", "jute", "Éclair"], 11)
    for number in range(1, rng.randint(6, 10) + 1):
        one = random_fabric(rng, number, star.strip, 2, 4 * star.grid)
        plenty = (piece(number * 10, 60, 42),) if rng.random() < 0.5 else one.pieces
        one = replace(one, name=words[number - 1], pieces=plenty)
        if fabrics and rng.random() < 0.3:
            one = replace(one, colour=rng.choice(fabrics).colour)
        odd = rng.random()
        if odd < 0.15:
            one = replace(one, pieces=(), recorded=False)
        elif odd < 0.2:
            one = replace(one, colour=None)
        elif odd < 0.25:
            one = replace(one, archived=True)
        fabrics.append(one)
    rng.shuffle(fabrics)
    return fabrics


def random_wishes(rng: random.Random, star: Star, fabrics: list[Fabric]) -> Wishes:
    usable = [fabric.name for fabric in fabrics if fabric.colour and not fabric.archived]
    wishes = Wishes(top=rng.choice((1, 2, 5, 12)), apart=rng.choice((None, 1, 1, len(star.letters))))
    picked = rng.sample(usable, min(3, len(usable)))
    ground = Fabric(99, "Ground", (piece(990, 900, 44),), Colour(rng.choice((96, 12, 55)), 0, 0))
    stand_off = rng.choice((25.0, 25.0, 10.0, 40.0))
    changes: list[dict[str, Any]] = [
        {"hue": rng.choice(("warm", "cool", *HUES))},
        {"direction": rng.choice(("dark", "light"))},
        {"any": True},
        {"measured": True},
        {"lightest": float(rng.randint(70, 95)), "darkest": float(rng.randint(10, 40))},
        {"min_step": rng.choice((0.0, 1.0, 8.0, 20.0))},
        {"colour_weight": rng.choice((0.0, 2.0)), "lively": rng.choice((0.0, 1.0))},
        {"ground": "ground", "stand_off": stand_off, "without": ("Ground",)},
    ]
    if len(picked) == 3:
        changes += [{"must": (picked[0].upper(),)}, {"without": (picked[1],)}]
        changes += [{"fixed": {rng.choice(star.letters): picked[2]}}]
    for change in rng.sample(changes, rng.randint(0, 3)):
        without = (*wishes.without, *change.get("without", ()))
        wishes = replace(wishes, **{**change, "without": without})
        if "ground" in change:
            fabrics.append(ground)
    return wishes


def one_case(seed: int) -> tuple[Star, list[Fabric], Wishes]:
    rng = random.Random(seed)
    grid, order = rng.choice(STARS)
    star = Star(grid, rng.choice((Fraction(2), Fraction(5, 2), Fraction(3))), order)
    fabrics = random_stash(rng, star)
    return star, fabrics, random_wishes(rng, star, fabrics)


def plain(number: int, name: str, L: float, a: float = 0, b: float = 0) -> Fabric:
    return Fabric(number, name, (piece(number, 60),), Colour(L, a, b))


STAR = Star(2, Fraction(5, 2), "ABA")
