"""The list of ways on, where it stands at each size of the terminal."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from textual.pilot import Pilot

from stash.inventory.store import Store
from stash.model import Colour, Colouring, NewFabric, Star, Step, WayOn
from stash.typed import read_pieces
from tests.tui.driving import SIZES, made, press, running, screen_text, settled
from tests.tui.star_screen import covered, fill_unmeasured, star_screen, table
from tui.dialogs.questions import QuestionsDialog
from tui.screens.star_words import way_line


def many_letters(place: Path) -> None:
    with Store.create(place) as store:
        for number in range(9):
            store.add(NewFabric(f"F{number}", read_pieces("1/2 yd"), Colour(92 - 9 * number, 10, 10)))
        store.save_star("Nine", Star(5, Fraction(5, 2), "ABCDEFGHI"), Colouring(uses(range(9))))


def uses(numbers: range) -> dict[str, tuple[str, ...]]:
    return {letter: (f"F{number}",) for letter, number in zip("ABCDEFGHI", numbers, strict=True)}


async def heads(pilot: Pilot[None]) -> int:
    await settled(pilot)
    return screen_text(pilot).count("What does cover it:")


@pytest.mark.parametrize("size", SIZES)
async def test_nothing_of_the_list_is_left_on_a_star_that_is_covered(tmp_path: Path, size: tuple[int, int]) -> None:
    """Nine rows at 80 columns: the list stands under the picture there."""
    place = tmp_path / "many.db"
    many_letters(place)
    async with running(place, size) as pilot:
        assert covered(pilot)
        assert await heads(pilot) == 0
        middle = star_screen(pilot).main.loaded.by_name["F4"].id
        star_screen(pilot).main.save(lambda store: store.used(middle, None))
        assert await heads(pilot) == 1
        await press(pilot, "u")
        assert covered(pilot)
        assert await heads(pilot) == 0


def test_a_jump_in_value_stands_in_the_line_of_its_way() -> None:
    star = Star(2, Fraction(5, 2), "ABA")
    jump = "a jump in value from 90 to 30, A to B"
    way = WayOn(Step.REPEAT, "", star, Colouring({"A": ("F1",), "B": ("F3",)}), {}, note=jump)
    assert way_line(way) == f"mirrored, 2 fabrics, {jump}"


@pytest.fixture
def unmeasured(tmp_path: Path) -> Path:
    """A 3 x 3 star whose middle row is of a fabric not measured yet, with enough else for ways on."""
    return made(tmp_path / "unmeasured.db", fill_unmeasured)


@pytest.mark.parametrize("size", SIZES)
async def test_to_say_how_much_there_is_stands_first(unmeasured: Path, size: tuple[int, int]) -> None:
    async with running(unmeasured, size) as pilot:
        text = screen_text(pilot)
        first = text.index("y  say how much you have of Mist")
        assert first < text.index("What does cover it:") < text.index("buy ")
        await pilot.click("#right-ways", offset=(8, 2))
        await settled(pilot)
        assert table(pilot).way is not None
        await press(pilot, "escape")
        await pilot.click("#right-ways", offset=(8, 0))
        await settled(pilot)
        assert isinstance(pilot.app.screen, QuestionsDialog)
        await press(pilot, "n")
        assert "say how much you have" not in screen_text(pilot)
