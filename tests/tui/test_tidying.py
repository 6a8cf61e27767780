"""Python's full collections wait until the maker rests, and come all the same when too much piles up."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.tui.driving import running, settled
from tui.keeping import KeepingApp
from tui.tidying import MOST_PUT_OFF, REST, YOUNG, Tidying


class Clock:
    now = 0.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def full_ones() -> Iterator[list[int]]:
    """Grows with each full collection."""
    seen: list[int] = []

    def look(phase: str, info: dict[str, int]) -> None:
        if phase == "start" and info["generation"] == 2:
            seen.append(info["generation"])

    gc.callbacks.append(look)
    yield seen
    gc.callbacks.remove(look)


def age() -> None:
    """As many small collections as make a full one worth while."""
    for _ in range(YOUNG):
        gc.collect(1)


def test_a_full_collection_comes_at_rest_and_only_where_it_is_worth_while(full_ones: list[int]) -> None:
    clock = Clock()
    tidying = Tidying(clock)
    before = gc.get_threshold()
    tidying.start()
    try:
        tidying.start()
        assert gc.get_threshold() == (*before[:2], MOST_PUT_OFF)
        gc.collect()
        full_ones.clear()
        clock.now = REST
        assert not tidying.rested(), "nothing to collect"
        age()
        tidying.used()
        clock.now += REST / 2
        assert not tidying.rested(), "the maker is at work"
        clock.now += REST / 2
        assert full_ones == []
        assert tidying.rested()
        assert full_ones == [2]
        assert not tidying.rested(), "done already"
    finally:
        tidying.stop()
    assert gc.get_threshold() == before


async def test_the_app_puts_them_off_while_keys_are_pressed(stash_path: Path, full_ones: list[int]) -> None:
    before = gc.get_threshold()
    async with running(stash_path) as pilot:
        app = pilot.app
        assert isinstance(app, KeepingApp)
        assert gc.get_threshold()[2] == MOST_PUT_OFF
        clock = app.tidying._clock = Clock()
        clock.now = 100.0
        full_ones.clear()
        await pilot.press("f", "down")
        await settled(pilot)
        age()
        assert app.tidying._last == 100.0
        assert not app.tidying.rested()
        await pilot.click(offset=(20, 6))
        clock.now = 100.0 + REST
        assert full_ones == []
        assert app.tidying.rested()
    assert gc.get_threshold() == before
