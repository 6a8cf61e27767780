"""The Sizes screen: every star answered as the engine does, and one of them opened."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from stash.inventory.store import Store
from stash.match.sizes import GRIDS, STRIPS
from stash.match.sizes import sizes as fits
from stash.match.wishes import Wishes
from stash.model import Colour, NewFabric, Star
from stash.star.beds import widest_bed
from stash.star.chart import make_order
from stash.star.yields import segments_per_strip
from stash.typed import read_pieces
from tests.tui.driving import SIZES, held_searches, press, running, screen_text, settled, toasts, wait_for
from tests.tui.sizes_screen import cloth, filled, grid, screen
from tui.app import StarcoverApp
from tui.screens.made_names import free_name
from tui.screens.sizes import SizesScreen
from tui.screens.star import StarScreen
from tui.screens.star_desk import StarWishes
from tui.widgets.sizes_grid import bed_text


@pytest.mark.parametrize("size", SIZES)
async def test_every_star_of_the_grid_is_answered_as_the_engine_does(sizes_path: Path, size: tuple[int, int]) -> None:
    async with running(sizes_path, size) as pilot:
        await press(pilot, "z")
        await filled(pilot)
        stars = [Star(one, strip, make_order("mirror", one)) for one in GRIDS for strip in STRIPS]
        with Store.open(sizes_path) as store:
            wanted = list(fits(stars, store.fabrics(), Wishes()))
        assert list(grid(pilot).fits.values()) == wanted  # the repeat of the star on the table
        assert {one.covered for one in wanted} == {True, False}
        text = screen_text(pilot)
        assert "10 × 10" in text
        assert "✓ 29" in text  # 3 x 3 of 2 1/2 [source: agfblog.com, April 2019]
        assert "✗" in text
        assert "crib" in text
        assert "mirrored" in text


@pytest.mark.parametrize("units", ["in", "cm"])
async def test_the_line_below_is_never_cut_off(sizes_path: Path, units: str) -> None:
    with Store.open(sizes_path) as store:
        (weir,) = store.stars()
        store.set_star(weir.id, replace(weir.star, units=units), uid="units")
    async with running(sizes_path) as pilot:
        await press(pilot, "z")
        await filled(pilot)
        for place, star in list(grid(pilot).stars.items()):
            grid(pilot).cursor = place
            await pilot.pause()
            below = screen_text(pilot).splitlines()[-3]
            assert f"{segments_per_strip(star)} segments a strip" in below
            assert "…" not in below
            assert (bed_text(star) + " bed" if widest_bed(star) else "strip") in below


@pytest.mark.parametrize("size", SIZES)
async def test_enter_opens_a_covered_star_in_its_first_suggestion(sizes_path: Path, size: tuple[int, int]) -> None:
    async with running(sizes_path, size) as pilot:
        await press(pilot, "z")
        await filled(pilot)
        await press(pilot, *["up"] * 9, "enter")
        assert isinstance(pilot.app.screen, StarScreen)
        table = pilot.app.screen.table
        assert table is not None
        assert table.name == "2 x 2 of 2 1/2 in"
        assert table.judged is not None
        assert table.judged.coverage is not None
        assert table.judged.coverage.covered
        assert "saved with its first suggestion" in toasts(pilot)[-1]
        await press(pilot, "u")
        with Store.open(sizes_path) as store:
            assert [one.name for one in store.stars()] == ["Weir"]


async def test_one_that_is_not_covered_opens_with_its_ways_on(sizes_path: Path) -> None:
    async with running(sizes_path) as pilot:
        await press(pilot, "z")
        await filled(pilot)
        short = next(place for place, one in grid(pilot).fits.items() if not one.covered and place[0] < 4)
        grid(pilot).cursor = short
        await pilot.pause()
        assert "✗ at least" in screen_text(pilot)
        await press(pilot, "enter")
        assert isinstance(pilot.app.screen, StarScreen)
        assert "not covered: the list says what does cover it" in toasts(pilot)[-1]


@pytest.mark.parametrize("size", SIZES)
async def test_the_mouse_takes_a_star_and_opens_it(sizes_path: Path, size: tuple[int, int]) -> None:
    async with running(sizes_path, size) as pilot:
        await press(pilot, "z")
        await filled(pilot)
        second = (8 + 2 * grid(pilot).cell_width + 1, 1 + grid(pilot).lines_each)
        await pilot.click("#grid", offset=second)
        await settled(pilot)
        assert grid(pilot).cursor == (1, 2)
        assert isinstance(pilot.app.screen, SizesScreen)
        await pilot.click("#grid", offset=second)
        await wait_for(pilot, lambda: isinstance(pilot.app.screen, StarScreen), "the star")


async def test_a_search_is_stopped_and_makes_no_star(sizes_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async with running(sizes_path) as pilot:
        await press(pilot, "z")
        await filled(pilot)
        go = held_searches(monkeypatch)
        await pilot.press("enter")
        await wait_for(pilot, lambda: screen(pilot).busy, "the search")
        assert "Esc stops" in screen_text(pilot)
        await pilot.press("escape")
        go.set()
        await settled(pilot)
        assert isinstance(pilot.app.screen, SizesScreen)
        with Store.open(sizes_path) as store:
            assert len(store.stars()) == 1


async def test_wishes_and_locked_rows_count_and_go_with_the_star(sizes_path: Path) -> None:
    async with running(sizes_path) as pilot:
        app = pilot.app
        assert isinstance(app, StarcoverApp)
        assert app.opened is not None
        wishes = Wishes(without=("F0", "F1"), direction="dark", apart=2)
        app.desk.wish(app.opened.saved.id, StarWishes(wishes, frozenset("B")))
        await press(pilot, "z")
        await filled(pilot)
        wanted = replace(wishes, fixed={"B": "F1"}, without=("F0",))  # as on the table: B is F1
        told = fits(list(grid(pilot).stars.values()), cloth(sizes_path), wanted)
        assert list(grid(pilot).fits.values()) == list(told)
        grid(pilot).cursor = next(place for place, one in grid(pilot).fits.items() if one.covered)
        await press(pilot, "enter")
        assert isinstance(app.screen, StarScreen)
        assert app.opened.colouring is not None
        assert app.opened.colouring.uses["B"] == ("F1",)
        assert app.opened.colouring.uses["A"] > ("F1",)  # darker, at the centre
        assert app.desk.wishes_for(app.opened.saved.id).locked == frozenset("B")


async def test_a_search_that_was_left_makes_no_star(sizes_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async with running(sizes_path) as pilot:
        await press(pilot, "z")
        await filled(pilot)
        go = held_searches(monkeypatch)
        await pilot.press("enter", "h")
        await wait_for(pilot, lambda: pilot.app.current_mode == "history", "the history")
        go.set()
        await settled(pilot)
        assert pilot.app.current_mode == "history"
        with Store.open(sizes_path) as store:
            assert len(store.stars()) == 1


async def test_an_empty_stash_says_what_to_do(tmp_path: Path) -> None:
    Store.create(tmp_path / "empty.db").close()
    async with running(tmp_path / "empty.db") as pilot:
        await press(pilot, "z")
        assert "There is no fabric with a colour yet" in screen_text(pilot)
        await press(pilot, "enter", "r", "escape")


def test_a_name_that_is_taken_gets_a_number() -> None:
    assert free_name("4 × 4", set()) == "4 × 4"
    assert free_name("4 × 4", {"4 × 4", "4 × 4, 2"}) == "4 × 4, 3"


async def test_a_run_with_fabrics_not_measured_yet_says_so(tmp_path: Path) -> None:
    place = tmp_path / "unmeasured.db"
    with Store.create(place) as store:
        for number in range(3):
            pieces = read_pieces("1 yd") if number != 1 else ()
            store.add(NewFabric(f"Fabric {number}", pieces, Colour(90 - 20 * number, 20, 10)))
    async with running(place) as pilot:
        await press(pilot, "z")
        await filled(pilot)
        grid(pilot).cursor = next(place for place, one in grid(pilot).fits.items() if one.covered)
        await press(pilot, "enter")
        assert "y asks about what is not measured" in toasts(pilot)[-1]
