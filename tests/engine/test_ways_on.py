"""What to do where the stash is short: the demo's ways on, and what each of them may be."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest

from stash import demo
from stash.inventory.store import Store
from stash.match.coverage import check
from stash.match.questions import questions
from stash.match.trials import Use, nearest_covered
from stash.match.ways_on import ways_on
from stash.model import Colouring, Fabric, Star, Step
from tests.engine.short_of_cloth import STAR, by_step, cloth, colouring

if TYPE_CHECKING:
    from pathlib import Path

    from tests.engine.conftest import CommandLine

ORDER = [Step.EXCHANGE, Step.STAND_IN, Step.LOOK_ALIKES, Step.REPEAT, Step.TURN, Step.STRIP, Step.GRID, Step.BUY]


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
