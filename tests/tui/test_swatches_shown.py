"""Photographs of fabrics on the screens: in the details, beside the star, in words on poor terminals."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from stash.inventory.store import Store
from tests.tui.driving import SIZES, running, screen_text, settled, toasts, wait_for
from tests.tui.swatches import CREAM, RED, colours_in, give_photograph, halves, measured, swatch, to_poppy
from tui.screens.details import DetailsScreen
from tui.widgets.chart import Chart
from tui.widgets.fabric_list import FabricList
from tui.widgets.palette_bar import Bar
from tui.widgets.swatch_picture import NO_COLOURS, UNREADABLE, SwatchPicture
from tui.widgets.swatch_view import SwatchView

RANGE = "value 62, 48 to 71"


@pytest.mark.parametrize("size", SIZES)
async def test_details_show_picture_palette_range_and_reference(stash_path: Path, size: tuple[int, int]) -> None:
    give_photograph(stash_path, "Poppy", measured())
    async with running(stash_path, size) as pilot:
        await to_poppy(pilot)
        text = screen_text(pilot)
        assert "60 %" in text
        assert RANGE in text
        assert "reads as solid, variety 5.2" in text
        assert "measured on paper" in text
        assert "the light falls off to the left" in text
        assert isinstance(pilot.app.screen, DetailsScreen) == (size[0] < 100)
        picture = pilot.app.screen.query_one(SwatchPicture)
        await wait_for(pilot, lambda: len(colours_in(picture)) >= 2, "the picture")
        reddest = max(colours_in(picture), key=lambda codes: codes[0] - codes[2])
        assert reddest[0] > 1.5 * reddest[2]


async def test_the_picture_goes_with_the_grey_of_the_list(stash_path: Path) -> None:
    give_photograph(stash_path, "Poppy", measured())
    async with running(stash_path, (120, 40)) as pilot:
        await to_poppy(pilot)
        await pilot.press("v")
        await settled(pilot)
        picture = pilot.app.screen.query_one(SwatchPicture)
        await wait_for(pilot, lambda: picture.in_grey and len(colours_in(picture)) >= 2, "the picture")
        assert all(max(codes) - min(codes) <= 5 or codes[0] < 60 for codes in colours_in(picture))
        strip = pilot.app.screen.query_one(Bar).render_line(0)
        grounds = [one.style.bgcolor.get_truecolor() for one in strip if one.style and one.style.bgcolor and one.text]
        assert all(red == green == blue for red, green, blue in grounds)


async def test_a_fabric_without_a_photograph_has_no_picture(stash_path: Path) -> None:
    give_photograph(stash_path, "Poppy", measured())
    async with running(stash_path, (120, 40)) as pilot:
        await to_poppy(pilot)
        await pilot.press("escape", "escape")
        await settled(pilot)
        await pilot.press("home")
        await wait_for(pilot, lambda: "L* 92.0" in screen_text(pilot), "Milk's details")
        assert not pilot.app.screen.query_one(SwatchView).display
        assert "Main colours" not in screen_text(pilot)


async def test_a_picture_that_cannot_be_read_is_said(stash_path: Path) -> None:
    good = swatch(measured(), halves(RED, CREAM))
    with Store.open(stash_path) as store:
        store.set_swatch(store.fabric("Poppy").id, replace(good, thumbnail=good.thumbnail[:150]))
    async with running(stash_path, (120, 40)) as pilot:
        await to_poppy(pilot)
        await wait_for(pilot, lambda: UNREADABLE in screen_text(pilot), "the words")
        assert RANGE in screen_text(pilot)


@pytest.mark.parametrize("poor", ["16", "NO_COLOR"])
async def test_poor_terminals_show_no_picture_and_say_so(
    stash_path: Path, monkeypatch: pytest.MonkeyPatch, poor: str
) -> None:
    give_photograph(stash_path, "Poppy", measured())
    if poor == "16":
        monkeypatch.setenv("TERM", "xterm")
        monkeypatch.delenv("COLORTERM")
    else:
        monkeypatch.setenv("NO_COLOR", "1")
    async with running(stash_path, (80, 24)) as pilot:
        assert any("no chips or pictures" in text for text in toasts(pilot))
        await to_poppy(pilot)
        text = screen_text(pilot)
        assert NO_COLOURS in text
        assert "│" in text.split("60 %")[1].splitlines()[0]  # parts of the palette are told apart
        assert RANGE in text
        assert pilot.app.screen.query_one(SwatchPicture).size.height == 1
        strip = pilot.app.screen_stack[0].query_one(FabricList).render_line(0)
        assert len({segment.style.bgcolor for segment in strip if segment.style}) == 1


# -- beside the star


async def test_the_row_in_hand_shows_its_swatch_where_there_is_room(stash_path: Path) -> None:
    give_photograph(stash_path, "Poppy", measured())
    async with running(stash_path, (120, 40)) as pilot:
        chart = pilot.app.screen.query_one("#right-chart", Chart)
        alone = chart.layout_now()
        assert not pilot.app.screen.query_one("#swatch", SwatchView).display
        await pilot.press("B")
        await settled(pilot)
        await wait_for(pilot, lambda: RANGE in screen_text(pilot), "the swatch")
        picture = pilot.app.screen.query_one("#swatch SwatchPicture", SwatchPicture)
        await wait_for(pilot, lambda: len(colours_in(picture)) >= 2, "the picture")
        beside = chart.layout_now()
        assert alone is not None
        assert beside is not None
        assert (alone.columns, alone.lines) == (beside.columns, beside.lines)
        await pilot.press("A")  # Milk has no photograph
        await settled(pilot)
        assert not pilot.app.screen.query_one("#swatch", SwatchView).display
        await pilot.press("B")
        await settled(pilot)
        await pilot.resize_terminal(119, 40)
        await wait_for(pilot, lambda: RANGE not in screen_text(pilot), "the swatch to go")


@pytest.mark.parametrize("size", [(80, 24), (110, 40), (120, 20)])
async def test_without_room_the_star_stays_as_it_was(stash_path: Path, size: tuple[int, int]) -> None:
    async with running(stash_path, size) as pilot:
        await pilot.press("B")
        await settled(pilot)
        before = screen_text(pilot)
    give_photograph(stash_path, "Poppy", measured(55))
    async with running(stash_path, size) as pilot:
        await pilot.press("B")
        await settled(pilot)
        assert screen_text(pilot) == before


async def test_the_swatch_follows_the_fabric_that_is_tried(stash_path: Path) -> None:
    give_photograph(stash_path, "Fern", measured(46))
    async with running(stash_path, (120, 40)) as pilot:
        await pilot.press("B")
        await settled(pilot)
        assert not pilot.app.screen.query_one("#swatch", SwatchView).display
        for _ in range(5):
            await pilot.press("down")
            await settled(pilot)
            shown = "B Fern" in screen_text(pilot)
            assert pilot.app.screen.query_one("#swatch", SwatchView).display == shown
            if shown:
                return
        raise AssertionError("Fern was never tried")
