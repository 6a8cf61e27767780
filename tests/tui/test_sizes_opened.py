"""With what a star of the Sizes screen opens: measured cloth first, else the best there is, else no star at all."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from stash.inventory.store import Store
from stash.model import Colour, Mark, NewFabric, Step
from stash.typed import read_pieces
from tests.tui.driving import SIZES, press, running, screen_text, toasts
from tests.tui.sizes_screen import filled, grid
from tui.screens.sizes import SizesScreen
from tui.screens.star import StarScreen
from tui.screens.star_table import Table

FOUR = (2, 4)  # 4 x 4 of 2 1/2 in; without a repeat it takes seven fabrics


def stocked(place: Path, fabrics: Iterable[tuple[str, float, str]]) -> Path:
    """Fabrics by name, L* and what is there of them ("" for not measured yet); the star is asked for with no repeat."""
    with Store.create(place) as store:
        for name, value, pieces in fabrics:
            store.add(NewFabric(name, read_pieces(pieces) if pieces else (), Colour(value, 20, 10)))
    return place


def table(pilot: Pilot[None]) -> Table:
    assert isinstance(pilot.app.screen, StarScreen)
    found = pilot.app.screen.table
    assert found is not None
    return found


def marks(pilot: Pilot[None]) -> set[Mark | None]:
    return {row.mark for row in table(pilot).look().rows}


async def to_four(pilot: Pilot[None]) -> None:
    await press(pilot, "z")
    await filled(pilot)
    assert grid(pilot).cursor == FOUR
    await pilot.pause()


def even(count: int, pieces: str, lightest: float = 94, step: float = 12) -> list[tuple[str, float, str]]:
    return [(f"F{number}", lightest - number * step, pieces) for number in range(count)]


@pytest.mark.parametrize("size", SIZES)
async def test_what_measured_cloth_covers_opens_all_measured(tmp_path: Path, size: tuple[int, int]) -> None:
    """The fabrics not measured yet lie just on the targets, so that the run of least cost takes them."""
    measured = [(f"M{number}", 92 - number * 11.5, "1 yd") for number in range(7)]
    place = stocked(tmp_path / "both.db", [*even(7, ""), *measured])
    async with running(place, size) as pilot:
        await to_four(pilot)
        assert not grid(pilot).fits[FOUR].unmeasured
        assert "✓ covered" in screen_text(pilot)
        await press(pilot, "enter")
        assert marks(pilot) <= {Mark.COVERED, Mark.TIGHT}
        assert "measured" in toasts(pilot)[-1]
        assert "✓ covered" in screen_text(pilot)


@pytest.mark.parametrize("size", SIZES)
async def test_what_only_unmeasured_fabrics_cover_says_so(tmp_path: Path, size: tuple[int, int]) -> None:
    place = stocked(tmp_path / "few.db", [*even(6, "1 yd"), ("Moss", 14, "")])
    async with running(place, size) as pilot:
        await to_four(pilot)
        assert grid(pilot).fits[FOUR].unmeasured
        assert "? covered only with fabrics not measured yet. Enter opens it; y asks of them" in screen_text(pilot)
        assert "? 38 5/8" in screen_text(pilot) or "? 39" in screen_text(pilot)
        await press(pilot, "enter")
        assert Mark.UNMEASURED in marks(pilot)
        assert "y asks about what is not measured" in toasts(pilot)[-1]


@pytest.mark.parametrize("size", SIZES)
async def test_values_too_close_open_with_a_run_and_a_line_that_stays(tmp_path: Path, size: tuple[int, int]) -> None:
    """Nine fabrics of which seven lie within 3 of L*: no seven of them keep steps of 5 or of half an even step."""
    close = [(f"F{number}", 50 + number / 2, "1 yd") for number in range(7)]
    place = stocked(tmp_path / "close.db", [("Snow", 96, "1 yd"), *close, ("Soot", 8, "1 yd")])
    async with running(place, size) as pilot:
        await to_four(pilot)
        assert not grid(pilot).fits[FOUR].covered
        assert "short of cloth or value steps. Enter opens its best run" in screen_text(pilot)
        await press(pilot, "enter")
        assert None not in marks(pilot)
        assert "though its values lie too close together" in toasts(pilot)[-1]
        for keys in ((), ("f", "s"), ("C",), ("escape",)):
            await press(pilot, *keys)
            said = str(pilot.app.screen.query_one("#detail", Static).render())
            assert "No run has steps of value (L*) of 5.0 or more: here are steps 0 to 43, and rows may blur" in said


async def test_too_little_cloth_opens_with_ways_on(tmp_path: Path) -> None:
    place = stocked(tmp_path / "short.db", even(7, "6 in"))
    async with running(place) as pilot:
        await to_four(pilot)
        await press(pilot, "enter")
        assert Mark.SHORT in marks(pilot)
        ways = table(pilot).ways_now
        assert ways is not None
        assert Step.BUY in [way.step for way in ways.found]


@pytest.mark.parametrize("size", SIZES)
async def test_where_no_run_at_all_is_there_no_star_is_made(tmp_path: Path, size: tuple[int, int]) -> None:
    place = stocked(tmp_path / "five.db", even(5, "1 yd"))
    async with running(place, size) as pilot:
        await to_four(pilot)
        await press(pilot, "enter")
        assert isinstance(pilot.app.screen, SizesScreen)
        said = " ".join(screen_text(pilot).split())
        assert "No star was made" in said
        assert "the star takes 7 different fabrics, and only 5 with a colour are there to take" in said
        await press(pilot, "up")
        assert "No star was made" not in screen_text(pilot)
    with Store.open(place) as store:
        assert store.stars() == []
