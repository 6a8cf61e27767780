"""Random stashes and wishes for the question which stars are covered, and the answer of the search itself."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace

from stash.errors import UsageFault
from stash.match.sequence import suggest
from stash.match.wishes import Wishes
from stash.model import Colour, Fabric, Kind, Piece, Star
from tests.engine.by_hand import inch


def random_stash(rng: random.Random, count: int) -> list[Fabric]:
    fabrics = []
    for number in range(1, count + 1):
        kind = rng.choice([Kind.YARDAGE, Kind.YARDAGE, Kind.FAT_QUARTER, Kind.SCRAP])
        size = {
            Kind.YARDAGE: (rng.choice([4, 9, 13.5, 18, 36]), rng.choice([40, 42])),
            Kind.FAT_QUARTER: (18, 21),
        }.get(kind, (rng.uniform(4, 20), rng.uniform(4, 20)))
        pieces = (Piece(number, kind, inch(size[0]), inch(size[1])),) if rng.random() < 0.95 else ()
        colour = Colour(rng.uniform(10, 95), rng.gauss(0, 25), rng.gauss(0, 25)) if rng.random() < 0.95 else None
        fabrics.append(Fabric(number, f"F{number:02}", pieces, colour, recorded=bool(pieces)))
    return fabrics


def asked_at_random(rng: random.Random, fabrics: Sequence[Fabric]) -> Wishes:
    """Wishes of all kinds that say which runs there may be."""
    coloured = [one.name for one in fabrics if one.colour]
    named = rng.sample(coloured, min(3, len(coloured)))
    return Wishes(
        top=1,
        ground=rng.choice([None, "F01"]),
        direction=rng.choice([None, "dark", "light"]),
        lightest=rng.choice([None, None, None, 90.0, 60.0]),
        darkest=rng.choice([None, None, None, 15.0, 50.0]),
        min_step=rng.choice([None, None, 0.0, 8.0]),
        hue=rng.choice([None, None, "warm"]),
        measured=rng.random() < 0.5,
        must=tuple(named[: rng.choice([0, 0, 1, 2])]),
        fixed={rng.choice("ABC"): named[-1]} if rng.random() < 0.3 and len(named) == 3 else {},
        without=("F03",) if rng.random() < 0.2 and "F03" not in named else (),
    )


def found_by_search(star: Star, fabrics: Sequence[Fabric], wishes: Wishes) -> bool:
    """Whether `suggest` finds a sequence. A fixed letter counts for stars that have it; where the lightest candidate
    is darker than the end that is wished for, there is none."""
    mine = replace(wishes, fixed={letter: name for letter, name in wishes.fixed.items() if letter in star.letters})
    try:
        return bool(suggest(star, fabrics, mine).sequences)
    except UsageFault as fault:
        if "does not darken" not in fault.what:
            raise
        return False
