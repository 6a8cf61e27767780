"""Answers of the Sizes screen as they come: never frozen, stopped and gone on with, asked anew after a change."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from stash.inventory.store import Store
from stash.match.sizes import GRIDS, STRIPS
from stash.match.sizes import sizes as fits
from stash.model import SizeFit
from tests.tui.driving import look_again, press, running, screen_text, settled, wait_for
from tests.tui.sizes_screen import cloth, filled, grid
from tui.screens import sizes_asked as asked
from tui.screens.sizes import SizesScreen


async def test_another_repeat_asks_anew_and_the_line_below_tells(sizes_path: Path) -> None:
    async with running(sizes_path) as pilot:
        await press(pilot, "z")
        await filled(pilot)
        mirrored = dict(grid(pilot).fits)
        await press(pilot, "r")
        await filled(pilot)
        assert "run over again" in screen_text(pilot)
        await press(pilot, "r")
        await filled(pilot)
        assert "no repeat" in screen_text(pilot)
        assert dict(grid(pilot).fits) != mirrored
        await press(pilot, *["up"] * 9, *["left"] * 9, "down", *["right"] * 4)
        assert grid(pilot).cursor == (1, 4)
        assert "29 in square" in screen_text(pilot)
        assert "10 segments a strip, crib bed" in screen_text(pilot)


class Held:
    """The engine's answers, of which only some are given until `go` is set."""

    def __init__(self, some: int) -> None:
        self.some = some
        self.go = threading.Event()

    def __call__(self, *args: Any) -> Iterator[SizeFit]:
        for number, fit in enumerate(fits(*args)):
            if number == self.some:
                self.go.wait(20)
            yield fit


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> Iterator[Held]:
    answers = Held(3)
    monkeypatch.setattr(asked, "sizes", answers)
    monkeypatch.setattr(asked, "AT_A_TIME", 0.0)  # an answer at a time
    yield answers
    answers.go.set()


async def test_cells_fill_as_answers_come_and_the_screen_is_never_frozen(sizes_path: Path, held: Held) -> None:
    async with running(sizes_path) as pilot:
        await pilot.press("z")
        await wait_for(pilot, lambda: len(grid(pilot).fits) == 3, "the first answers")
        assert "asking …" in screen_text(pilot)
        await pilot.press("down", "right")
        assert grid(pilot).cursor == (3, 5)
        held.go.set()
        await filled(pilot)
        assert "asking" not in screen_text(pilot)


async def test_asking_stops_and_goes_on_with_nothing_lost(sizes_path: Path, held: Held) -> None:
    async with running(sizes_path) as pilot:
        await pilot.press("z")
        await wait_for(pilot, lambda: len(grid(pilot).fits) == 3, "the first answers")
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, SizesScreen)
        held.go.set()
        await settled(pilot)
        some = len(grid(pilot).fits)
        assert some < len(GRIDS) * len(STRIPS)
        assert f"{63 - some} not asked" in screen_text(pilot)
        await pilot.press("space")
        await filled(pilot)
        assert list(grid(pilot).fits.values()) == list(fits(list(grid(pilot).stars.values()), cloth(sizes_path)))


async def test_who_goes_away_and_comes_back_finds_all_answers(sizes_path: Path, held: Held) -> None:
    async with running(sizes_path) as pilot:
        await pilot.press("z")
        await wait_for(pilot, lambda: len(grid(pilot).fits) == 3, "the first answers")
        await pilot.press("s")
        held.go.set()
        await settled(pilot)
        await pilot.press("z")
        await filled(pilot)
        assert list(grid(pilot).fits.values()) == list(fits(list(grid(pilot).stars.values()), cloth(sizes_path)))


async def test_a_change_of_the_stash_asks_anew(sizes_path: Path) -> None:
    async with running(sizes_path) as pilot:
        await press(pilot, "z")
        await filled(pilot)
        before = dict(grid(pilot).fits)
        with Store.open(sizes_path) as store:
            for fabric in store.fabrics()[:6]:
                store.archive(fabric.id)
        await look_again(pilot)
        await filled(pilot)
        assert dict(grid(pilot).fits) != before
