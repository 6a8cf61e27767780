"""Ways on against trying every fabric of many small stashes: each covers, and no nearer one would."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, product

import pytest

from stash.colour.lab import delta_e_2000
from stash.match.coverage import check, covers
from stash.match.ways_on import ways_on
from stash.model import Colour, Colouring, Fabric, Kind, Mark, Piece, Star, Step, WayOn
from stash.star.yields import strips_of_letter
from tests.engine.by_hand import inch
from tests.engine.short_of_cloth import by_step, cloth, random_stash


@pytest.mark.parametrize("seed", range(40))
def test_every_way_covers_and_no_nearer_stand_in_or_exchange_would(seed: int) -> None:
    """Against trying every fabric of the stash at the one short letter."""
    rng = random.Random(seed)
    fabrics = random_stash(rng)
    order = rng.choice(["AAA", "ABA", "ABB", "ABC"])
    star = Star(2, Fraction(5, 2), order)
    now = Colouring({letter: (one.name,) for letter, one in zip(star.letters, fabrics, strict=False)})
    found = check(star, now, fabrics)
    ways = ways_on(star, now, fabrics, found)
    assert bool(ways) != found.covered
    assert covers(star, now, fabrics) is found.covered
    for way in ways:
        if way.step is not Step.BUY:
            assert check(way.star, way.colouring, fabrics).covered
    short = [one.letter for one in found.letters if one.mark is Mark.SHORT]
    if len(short) == 1:
        _no_nearer(star, now, fabrics, short[0], by_step(ways))


def _no_nearer(star: Star, now: Colouring, fabrics: list[Fabric], letter: str, ways: dict[Step, WayOn]) -> None:
    by_name = {one.name: one for one in fabrics}
    mine = by_name[now.uses[letter][0]]
    assert mine.colour is not None
    used = {name for names in now.uses.values() for name in names}

    def covers(use: dict[str, tuple[str, ...]]) -> bool:
        return check(star, replace(now, uses={**now.uses, **use}), fabrics).covered

    def apart(one: Fabric) -> tuple[float, float]:
        assert mine.colour is not None
        assert one.colour is not None
        return abs(one.colour.L - mine.colour.L), delta_e_2000(mine.colour, [one.colour])[0]

    able = [one for one in fabrics if one.name not in used and covers({letter: (one.name,)})]
    wanted = {letter: (min(able, key=apart).name,)} if able else None
    offered = ways.get(Step.STAND_IN)
    assert (offered.use if offered else None) == wanted

    others = [x for x in star.letters if strips_of_letter(star, x) < strips_of_letter(star, letter)]
    swaps = [x for x in others if covers({letter: now.uses[x], x: now.uses[letter]})]
    offered = ways.get(Step.EXCHANGE)
    if not swaps:
        assert offered is None
    else:
        nearest = min(swaps, key=lambda x: apart(by_name[now.uses[x][0]])[0])
        assert offered is not None
        assert offered.use == {letter: now.uses[nearest], nearest: now.uses[letter]}


def every_change(now: Colouring, lacking: list[str], options: list[list[tuple[str, ...]]]) -> Iterator[Colouring]:
    """The letters that lack cloth in every way: as they are, or with what is to be tried; no fabric twice."""
    for picked in product(*([now.uses[x], *each] for x, each in zip(lacking, options, strict=True))):
        uses = {**now.uses, **dict(zip(lacking, picked, strict=True))}
        new = [name for x in lacking if uses[x] != now.uses[x] for name in uses[x] if name not in now.uses[x]]
        if new and len(new) == len(set(new)):
            yield replace(now, uses=uses)


@pytest.mark.parametrize("seed", range(60))
def test_stand_ins_are_the_nearest_of_all_that_cover(seed: int) -> None:
    """Several letters at once, some of them with no colour: against trying all fabrics at all of them."""
    rng = random.Random(9000 + seed)
    fabrics = [
        replace(one, colour=None if rng.random() < 0.2 else one.colour, name=f"F{rng.randint(100, 999)}{i}")
        for i, one in enumerate(random_stash(rng))
    ]
    star = Star(2, Fraction(5, 2), rng.choice(["ABA", "ABB", "ABC"]))
    now = Colouring({letter: (one.name,) for letter, one in zip(star.letters, fabrics, strict=False)})
    found = check(star, now, fabrics)
    by_name = {one.name: one for one in fabrics}
    used = {name for names in now.uses.values() for name in names}
    others = [(one.name,) for one in fabrics if one.name not in used and one.colour]
    lacking = [one.letter for one in found.letters if one.mark is Mark.SHORT]

    def apart(other: Colouring) -> tuple[float, float, list[str]]:
        changed = [x for x in lacking if other.uses[x] != now.uses[x]]
        pairs = [(by_name[now.uses[x][0]].colour, by_name[other.uses[x][0]].colour) for x in changed]
        known = [(mine, new) for mine, new in pairs if mine and new]
        value = sum(abs(mine.L - new.L) for mine, new in known)
        colour = sum(delta_e_2000(mine, [new])[0] for mine, new in known)
        return round(value, 9), round(colour, 9), [other.uses[x][0].casefold() for x in changed]

    able = [one for one in every_change(now, lacking, [others] * len(lacking)) if covers(star, one, fabrics)]
    offered = by_step(ways_on(star, now, fabrics, found)).get(Step.STAND_IN)
    assert (offered is not None) == bool(able)
    if offered:
        assert covers(star, offered.colouring, fabrics)
        assert apart(offered.colouring)[:2] == min(map(apart, able))[:2]
        if len(lacking) == 1:
            assert apart(offered.colouring) == min(map(apart, able))


@pytest.mark.parametrize("seed", range(60))
def test_look_alikes_are_offered_wherever_two_cover(seed: int) -> None:
    """Against trying all pairs within four in value at all the letters that lack cloth."""
    rng = random.Random(12_000 + seed)
    fabrics = [cloth(i, rng.uniform(48, 54), rng.choice([0, 1, 1, 2]), rng.uniform(-40, 40)) for i in range(1, 8)]
    star = Star(2, Fraction(5, 2), rng.choice(["AAA", "ABA", "ABB", "ABC"]))
    now = Colouring({letter: (one.name,) for letter, one in zip(star.letters, fabrics, strict=False)})
    found = check(star, now, fabrics)
    values = {one.name: one.colour.L for one in fabrics if one.colour}
    used = {name for names in now.uses.values() for name in names}
    lacking = [one.letter for one in found.letters if one.mark is Mark.SHORT]
    pairs = []
    for letter in lacking:
        (mine,) = now.uses[letter]
        names = [mine, *(one.name for one in fabrics if one.name not in used)]
        near = [name for name in names if abs(values[name] - values[mine]) <= 4]
        pairs.append([pair for pair in combinations(near, 2) if abs(values[pair[0]] - values[pair[1]]) <= 4])
    able = any(covers(star, one, fabrics) for one in every_change(now, lacking, pairs))
    offered = by_step(ways_on(star, now, fabrics, found)).get(Step.LOOK_ALIKES)
    assert (offered is not None) == able
    assert offered is None or covers(star, offered.colouring, fabrics)


def test_a_stand_in_is_found_behind_many_nearer_ones_that_do_not_cover() -> None:
    """A has cloth for whole runs only, so B must be sewn whole; thirty nearer fabrics are fat quarters, which give runs
    of four alone (L(4) = 19.97, L(7) = 32.70, L(8) = 36.94 and 4 + 4 = 39.94 at 3 in, derived), and one further on is
    yardage."""
    star = Star(2, Fraction(3), "ABA", Fraction(79, 2))
    yard = Piece(1, Kind.YARDAGE, inch(7), inch("79/2"))
    linen, moss = Fabric(1, "Linen", (yard,), Colour(80, 0, 0)), Fabric(2, "Moss", (), Colour(40, 0, 0))
    quarters = [
        Fabric(i, f"Quarter {i}", tuple(Piece(10 * i + j, Kind.FAT_QUARTER, inch(18), inch(21)) for j in range(4)),
               Colour(40 + i / 10, 0, 0), directional=True)
        for i in range(3, 33)
    ]  # fmt: skip
    slate = Fabric(40, "Slate", (Piece(999, Kind.YARDAGE, inch(36), inch("79/2")),), Colour(20, 0, 0))
    now = Colouring({"A": ("Linen",), "B": ("Moss",)})
    way = by_step(ways_on(star, now, [linen, moss, *quarters, slate]))[Step.STAND_IN]
    assert way.use == {"B": ("Slate",)}
