"""The mouse that rests on something is told what it is and what a click does."""

from __future__ import annotations

from pathlib import Path

from textual.widgets import Button

from stash.inventory.store import Store
from tests.tui.driving import running, settled
from tui.screens.sizes import SizesScreen
from tui.widgets.chart import Chart
from tui.widgets.rows import RowsTable
from tui.widgets.sizes_grid import HEAD, SizesGrid
from tui.widgets.star_picture import StarPicture


async def test_a_row_is_told_where_the_mouse_rests(stash_path: Path) -> None:
    async with running(stash_path, (120, 40)) as pilot:
        rows = pilot.app.screen.query_one(RowsTable)
        await pilot.hover(RowsTable, offset=(5, 2))
        assert str(rows.tooltip).startswith("B: Poppy, value 55, strips")
        assert "A click takes the row in hand" in str(rows.tooltip)
        await pilot.hover(RowsTable, offset=(5, 0))
        assert rows.tooltip is None


async def test_so_is_the_row_under_the_mouse_in_the_picture_and_the_chart(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        picture = pilot.app.screen.query_one(StarPicture)
        await pilot.hover(StarPicture, offset=(picture.size.width // 2, picture.size.height // 2))
        assert str(picture.tooltip).startswith("A: Milk")
        await pilot.press("c")
        await settled(pilot)
        chart = pilot.app.screen.query_one(Chart)
        places = [(x, y) for y in range(chart.size.height) for x in range(chart.size.width)]
        place = next(place for place in places if chart.letter_at(*place) == "B")
        await pilot.hover(Chart, offset=place)
        assert str(chart.tooltip).startswith("B: Poppy")


async def test_what_looks_like_markup_in_a_name_is_told_as_it_is(stash_path: Path) -> None:
    with Store.open(stash_path) as store:
        milk = next(fabric for fabric in store.fabrics() if fabric.name == "Milk")
        store.edit(milk.id, name="[red]Milk[/close]")
    async with running(stash_path, (120, 40)) as pilot:
        rows = pilot.app.screen.query_one(RowsTable)
        await pilot.hover(RowsTable, offset=(5, 1))
        assert "[red]Milk[/close]" in str(rows.tooltip)
        await settled(pilot)


async def test_a_star_of_the_grid_is_told_in_full(stash_path: Path) -> None:
    async with running(stash_path, (120, 40)) as pilot:
        await pilot.press("z")
        await settled(pilot)
        assert isinstance(pilot.app.screen, SizesScreen)
        grid = pilot.app.screen.query_one(SizesGrid)
        await pilot.hover(SizesGrid, offset=(HEAD + 1, 1))
        assert str(grid.tooltip).startswith("2 × 2 of 1 1/2 in strips, ")
        assert "another opens it" in str(grid.tooltip)
        await pilot.hover(SizesGrid, offset=(1, 1))
        assert grid.tooltip is None


async def test_every_button_tells_what_it_does(tmp_path: Path, stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        for keys in (("p",), ("e",), ("f", "a"), ("i",)):
            await pilot.press(*keys)
            await settled(pilot)
            buttons = pilot.app.screen.query(Button)
            assert buttons, keys
            assert all(button.tooltip for button in buttons), keys
            await pilot.press("escape")
            await settled(pilot)
    with Store.create(tmp_path / "empty.db"):
        pass
    async with running(tmp_path / "empty.db") as pilot:
        assert all(button.tooltip for button in pilot.app.screen.query(Button))
