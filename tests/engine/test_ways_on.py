"""What to do where the stash is short: the demo's ways on, and rules held on many small stashes."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, product
from typing import TYPE_CHECKING, Any

import pytest

from stash import demo
from stash.colour.lab import delta_e_2000
from stash.inventory.store import Store
from stash.match.coverage import check, covers
from stash.match.questions import questions
from stash.match.trials import Use, nearest_covered
from stash.match.ways_on import ways_on
from stash.model import Colour, Colouring, Fabric, Kind, Mark, Piece, Star, Step, WayOn
from stash.star.yields import strips_of_letter
from tests.engine.by_hand import inch

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from tests.engine.conftest import CommandLine

STAR = Star(3, Fraction(5, 2), "ABCDE")  # strips 1, 2, 3, 2, 1
ORDER = [Step.EXCHANGE, Step.STAND_IN, Step.LOOK_ALIKES, Step.REPEAT, Step.TURN, Step.STRIP, Step.GRID, Step.BUY]


def cloth(number: int, value: float, strips: float, a: float = 20, name: str = "", **more: Any) -> Fabric:
    """A fabric of that value with yardage for `strips` strips of 2 1/2 in at 40 in; 0: a piece too small for one."""
    piece = Piece(number, Kind.YARDAGE, inch(1 + 2.5 * strips if strips else 2), inch(40))
    return Fabric(number, name or f"F{number}", (piece,), Colour(value, a, 0.0), **more)


def colouring(*fabrics: Fabric, **more: Any) -> Colouring:
    return Colouring({letter: (one.name,) for letter, one in zip("ABCDE", fabrics, strict=True)}, **more)


def by_step(ways: tuple[WayOn, ...]) -> dict[Step, WayOn]:
    return {way.step: way for way in ways}


@pytest.fixture(scope="module")
def lowmere(tmp_path_factory: pytest.TempPathFactory) -> tuple[Star, Colouring, list[Fabric]]:
    path: Path = demo.make(tmp_path_factory.mktemp("demo"))
    with Store.open(path) as store:
        saved = store.star("Lowmere Evening")
        return saved.star, saved.colourings[0].colouring, store.fabrics()


def test_the_demo_offers_each_kind_of_way(lowmere: tuple[Star, Colouring, list[Fabric]]) -> None:
    star, now, fabrics = lowmere
    ways = ways_on(star, now, fabrics)
    steps = {way.step for way in ways}
    assert {Step.EXCHANGE, Step.STAND_IN, Step.LOOK_ALIKES, Step.BUY} <= steps
    assert steps & {Step.STRIP, Step.GRID}
    for way in ways:
        if way.step is not Step.BUY:
            assert check(way.star, way.colouring, fabrics).covered, way.text
    assert [ORDER.index(way.step) for way in ways] == sorted(ORDER.index(way.step) for way in ways)


def test_what_is_covered_needs_no_way_on(lowmere: tuple[Star, Colouring, list[Fabric]]) -> None:
    star, now, fabrics = lowmere
    stood_in = replace(now, uses={**now.uses, "D": ("Copper Pan",)})
    assert check(star, stood_in, fabrics).covered
    assert ways_on(star, stood_in, fabrics) == ()


def test_an_exchange_is_with_a_letter_that_needs_fewer_strips() -> None:
    """C, the middle row, needs 3 strips and has 2; B needs 2 and has 3, E is nearer to the tip (derived)."""
    fabrics = [cloth(1, 90, 1), cloth(2, 75, 3), cloth(3, 60, 2), cloth(4, 45, 2), cloth(5, 30, 1)]
    way = by_step(ways_on(STAR, colouring(*fabrics), fabrics))[Step.EXCHANGE]
    assert way.use == {"C": ("F2",), "B": ("F3",)}
    assert "turns back in value from B to C" in way.text


def test_a_stand_in_is_the_nearest_in_value_that_covers_then_the_nearest_colour() -> None:
    fabrics = [cloth(1, 90, 1), cloth(2, 75, 2), cloth(3, 60, 2), cloth(4, 45, 2), cloth(5, 30, 1)]
    spare = [
        cloth(6, 61, 2, name="too little"), cloth(7, 63, 3, a=-40, name="other colour"), cloth(8, 63, 3, name="this"),
        cloth(9, 64, 9, name="further"), cloth(10, 60, 3, name="away", archived=True),
    ]  # fmt: skip
    now = colouring(*fabrics)
    assert by_step(ways_on(STAR, now, [*fabrics, *spare]))[Step.STAND_IN].use == {"C": ("this",)}


def test_look_alikes_are_within_four_in_value_and_give_four_points_each() -> None:
    """C has 3 small diamonds: each of two look-alikes gives 3 runs of four, two runs on a strip of 2 1/2 at 40 in
    (2 (w + 4 w sqrt 2) = 33.3, derived): two strips of each."""
    fabrics = [cloth(1, 90, 1), cloth(2, 75, 2), cloth(3, 60, 2), cloth(4, 45, 2), cloth(5, 30, 1)]
    spare = [cloth(6, 64.5, 2, name="too far"), cloth(7, 63.5, 2, name="like"), cloth(8, 60, 1, name="too little")]
    way = by_step(ways_on(STAR, colouring(*fabrics), [*fabrics, *spare]))[Step.LOOK_ALIKES]
    assert way.use == {"C": ("F3", "like")}
    assert "four points of each" in way.text


def test_a_smaller_strip_or_grid_says_the_finished_size() -> None:
    """3 x 3 of 2 1/2 finishes 28.97, printed 29 [source: agfblog.com, April 2019]; of 2 1/4, 3 x 1 3/4 x sqrt 2 x
    (2 + sqrt 2) = 25.35 (derived)."""
    fabrics = [cloth(1, 90, 1), cloth(2, 75, 2), cloth(3, 60, 2.8), cloth(4, 45, 2), cloth(5, 30, 1)]
    ways = by_step(ways_on(STAR, colouring(*fabrics), fabrics))
    assert "finishes 25 3/8 in square, now 29 in" in ways[Step.STRIP].text
    assert ways[Step.STRIP].star.strip == Fraction(9, 4)
    assert ways[Step.GRID].star.grid == 2


def test_the_run_turned_covers_where_the_plentiful_end_is_wanted() -> None:
    """In the order A B B of a 2 x 2 star A takes one strip and B, the middle and the tip, three (derived)."""
    star = Star(2, Fraction(5, 2), "ABB")
    fabrics = [cloth(1, 80, 3), cloth(2, 40, 1)]
    way = by_step(ways_on(star, Colouring({"A": ("F1",), "B": ("F2",)}), fabrics))[Step.TURN]
    assert way.use == {"A": ("F2",), "B": ("F1",)}
    assert "dark to light from the centre" in way.text


def test_buying_is_proved_and_says_what_to_look_for() -> None:
    """One strip of 2 1/2 and 1 in of straightening are 3 1/2 in, sold as 1/8 yd (4 1/2); two strips are 6, sold as
    1/4 yd (common practice, no source)."""
    fabrics = [cloth(1, 90, 1), cloth(2, 75, 2), cloth(3, 60, 2), cloth(4, 45, 2), cloth(5, 30, 1)]
    way = by_step(ways_on(STAR, colouring(*fabrics), fabrics))[Step.BUY]
    assert way.buy == Fraction(9, 2)
    assert way.text.startswith("buy 1/8 yd of F3, full width (1/4 yd with a spare), or a ")
    assert way.text.endswith("of value 52 to 68")


def test_several_short_letters_are_helped_together() -> None:
    fabrics = [cloth(1, 90, 1), cloth(2, 75, 1), cloth(3, 60, 2), cloth(4, 45, 2), cloth(5, 30, 1)]
    spare = [cloth(6, 74, 5), cloth(7, 58, 5), cloth(8, 10, 5)]
    ways = by_step(ways_on(STAR, colouring(*fabrics), [*fabrics, *spare]))
    assert ways[Step.STAND_IN].use == {"B": ("F6",), "C": ("F7",)}


def test_an_unmeasured_fabric_is_asked_about_and_can_be_stood_in_for() -> None:
    """4 strips of 2 1/2 and 1 in of straightening: 11 in by 40 (derived)."""
    star = Star(4, Fraction(5, 2), "ABCDEFG")
    fabrics = [cloth(i, 100 - 12 * i, 4) for i in range(1, 8)]
    fabrics[3] = replace(fabrics[3], pieces=(), recorded=False, name="Moss")
    fabrics[0] = replace(fabrics[0], pieces=(), recorded=False, name="Rime")
    uses = Colouring({letter: (one.name,) for letter, one in zip("ABCDEFG", fabrics, strict=True)})
    asked = questions(star, uses, fabrics)
    assert [(one.fabric.name, one.letters, one.strips, one.length, one.width) for one in asked] == [
        ("Moss", "D", 4, 11, 40), ("Rime", "A", 1, Fraction(7, 2), 40),
    ]  # fmt: skip
    spare = [cloth(20, 53, 5), cloth(21, 90, 5)]
    assert by_step(ways_on(star, uses, [*fabrics, *spare]))[Step.STAND_IN].use == {"D": ("F20",), "A": ("F21",)}


def test_more_short_letters_than_stand_ins_come_to_an_end() -> None:
    """Fourteen letters and five fabrics: every way to share them out clashes, and there are 5^14."""
    choices = {x: [((float(i), 0.0, i), {x: (f"F{i}",)}) for i in range(5)] for x in "ABCDEFGHIJKLMN"}
    asked: list[Use] = []

    def covers(use: Use, _without: frozenset[str]) -> bool:
        asked.append(use)
        return True

    assert nearest_covered(choices, covers) is None
    assert nearest_covered({"A": choices["A"], "B": []}, covers) is None
    assert asked == []


def random_stash(rng: random.Random) -> list[Fabric]:
    return [cloth(i, rng.uniform(10, 95), rng.choice([0, 1, 2, 3]), rng.uniform(-40, 40)) for i in range(1, 9)]


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


def test_for_a_fabric_with_no_colour_stand_ins_go_by_name() -> None:
    fabrics = [cloth(1, 90, 1), cloth(2, 75, 2), cloth(3, 60, 2), cloth(4, 45, 2), cloth(5, 30, 1)]
    fabrics[2] = replace(fabrics[2], colour=None)
    spare = [cloth(6, 61, 4, name="Yarrow"), cloth(7, 50, 4, name="Bracken"), cloth(8, 60, 4, name="Clover")]
    way = by_step(ways_on(STAR, colouring(*fabrics), [*fabrics, *spare]))[Step.STAND_IN]
    assert way.use == {"C": ("Bracken",)}


def test_check_says_the_ways_on(cli: CommandLine) -> None:
    said = cli("check", "--star", "Lowmere Evening", "--json")
    steps = [one["step"] for one in said.json["next"]]
    assert said.code == 3
    assert {"exchange", "stand-in", "look-alikes", "smaller strip", "buy"} <= set(steps)
    alike = next(one for one in said.json["next"] if one["step"] == "look-alikes")
    assert cli.json("check", "--star", "Lowmere Evening", "--use", f"D={alike['use']['D']}")["covered"]
    text = cli("check", "--star", "Lowmere Evening").out
    assert "What does cover it:" in text
    asked = cli("check", "--star", "Lowmere Evening", "--use", "D=Blackthorn").out
    assert "Blackthorn: row D needs 4 strips, 11 in by 40 in. Have it?" in asked
