"""What the screens make of the room they have: a large terminal is filled, a full one loses nothing."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from stash.inventory.store import Store
from stash.lengths import read_length
from stash.match.sizes import GRIDS
from stash.model import Colouring, NewFabric, Star
from stash.star.chart import make_order
from tests.tui.driving import running, screen_text, settled, wait_for
from tui.screens.star import StarScreen
from tui.widgets.key_bar import KeyBar
from tui.widgets.ribbon import LINES, MOST_MORE, Ribbon, chip_width
from tui.widgets.sizes_grid import SizesGrid
from tui.widgets.star_picture import StarPicture
from tui.widgets.ways_list import WaysList

HUGE = (200, 60)
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXY"


def seen(pilot: Pilot[None], name: str, kind: type = StarPicture) -> tuple[int, int]:
    """Width and height of what is shown of a widget, 0 where it is hidden."""
    widget = pilot.app.screen.query_one(f"#{name}", kind)
    return (widget.size.width, widget.size.height) if widget.is_on_screen else (0, 0)


async def test_on_a_huge_terminal_the_star_takes_half_of_it(demo_path: Path) -> None:
    async with running(demo_path, HUGE) as pilot:
        await pilot.press("s", "C")
        await settled(pilot)
        wide, high = seen(pilot, "picture")
        assert wide >= 100
        assert high >= 50
        small_wide, small_high = seen(pilot, "counterpart")
        assert small_wide >= 40
        assert small_high >= 20
        screen = pilot.app.screen
        stars = [screen.query_one(f"#{name}", StarPicture) for name in ("picture", "counterpart")]
        assert [one.grey_now for one in stars] == [False, True]
        await pilot.press("v")
        await settled(pilot)
        assert [one.grey_now for one in stars] == [True, False]
        assert screen.query_one("#beside").display  # the photograph of the fabric in hand, beside what is said of it
        assert screen.query_one("#beside").region.y == screen.query_one("#detail").region.y + 1


@pytest.fixture
def largest(demo_path: Path) -> Path:
    """The demo stash, its newest star 13 x 13 with one fabric that is not measured, so that ways on are listed."""
    with Store.open(demo_path) as store:
        store.add(NewFabric("Unmeasured", ()))
        names = [fabric.name for fabric in store.fabrics() if fabric.pieces][: len(LETTERS) - 1]
        uses = {letter: (name,) for letter, name in zip(LETTERS, [*names, "Unmeasured"], strict=True)}
        store.save_star("Largest", Star(13, read_length("1 1/2 in"), make_order("none", 13)), Colouring(uses, names[0]))
    return demo_path


@pytest.mark.parametrize("size", [(80, 24), (120, 40), HUGE], ids=lambda size: str(size[0]))
async def test_no_way_on_is_cut_off_by_many_rows(largest: Path, size: tuple[int, int]) -> None:
    async with running(largest, size) as pilot:
        app = pilot.app
        saved = next(one for one in app.loaded.stars if one.name == "Largest")  # type: ignore[attr-defined]
        app.open_star(saved)  # type: ignore[attr-defined]
        await wait_for(pilot, lambda: isinstance(app.screen, StarScreen) and app.screen.has_class("-short"))
        await settled(pilot)
        shown = [one for one in app.screen.query(WaysList) if one.display and one.is_on_screen]
        assert len(shown) == 1
        body = app.screen.query_one("#body").region
        assert shown[0].region.bottom <= body.bottom
        assert shown[0].size.height == len(shown[0].lines) + 1 + bool(shown[0].first)


async def test_ribbons_grow_with_the_room(demo_path: Path) -> None:
    heights = {}
    for size in ((80, 24), HUGE):
        async with running(demo_path, size) as pilot:
            await pilot.press("s", "g")
            await settled(pilot)
            ribbons = list(pilot.app.screen.query(Ribbon))
            await wait_for(pilot, lambda shown=ribbons: all(one.size.height for one in shown))
            heights[size] = {one.size.height for one in ribbons}
            assert chip_width(ribbons[0].size.width, 7) == (10 if size[0] == 80 else 24)
            for one in ribbons:
                assert [one.render_line(y).cell_length for y in range(one.size.height)] == [
                    one.size.width
                ] * one.size.height
                words = [one.render_line(y).text for y in range(one.size.height)]
                assert sum("covered" in line or "unmeas" in line or "✓" in line for line in words) >= 1
    assert heights == {(80, 24): {LINES}, HUGE: {LINES + 3}}
    assert MOST_MORE >= 3


@pytest.mark.parametrize(("size", "lines"), [((80, 24), 2), ((120, 40), 3), (HUGE, 4)])
async def test_the_sizes_spread_and_a_click_still_finds_them(
    stash_path: Path, size: tuple[int, int], lines: int
) -> None:
    async with running(stash_path, size) as pilot:
        await pilot.press("z")
        await settled(pilot)
        grid = pilot.app.screen.query_one(SizesGrid)
        assert grid.lines_each == lines
        last = len(GRIDS) - 1
        assert grid.size.height >= 1 + lines * last + 2
        place = (grid.region.x + 9 + grid.cell_width, grid.region.y + 1 + lines * last)
        await pilot.click(offset=place)
        await wait_for(pilot, lambda: grid.cursor == (last, 1))


async def test_an_empty_stash_offers_nothing_that_cannot_be_done(empty_path: Path) -> None:
    async with running(empty_path) as pilot:
        for key, gone in (("s", "Grey"), ("g", "Take"), ("z", "Open"), ("j", "Plan again"), ("h", "Newest")):
            await pilot.press(key)
            await settled(pilot)
            await wait_for(
                pilot, lambda word=gone: word not in pilot.app.screen.query_one(KeyBar).render().plain, f"no {gone}"
            )


async def test_long_names_end_in_an_ellipsis(empty_path: Path) -> None:
    with Store.open(empty_path) as store:
        store.save_star("A star with a name that no line of a small terminal would ever hold", Star(2, 2, "ABC"))
    async with running(empty_path) as pilot:
        await pilot.press("s", "o")
        await settled(pilot)
        line = next(one for one in screen_text(pilot).splitlines() if "no colouring yet" in one)
        assert "A star with" in line
        assert "…" in line


async def test_the_columns_of_help_stand_under_each_other(stash_path: Path) -> None:
    async with running(stash_path, (120, 60)) as pilot:
        await pilot.press("f", "question_mark")
        await settled(pilot)
        lines = screen_text(pilot).splitlines()
        found = [next(line for line in lines if words in line) for words in ("the line above", "record a new fabric")]
        assert found[0].index("the line above") == found[1].index("record a new fabric")


@pytest.mark.parametrize("width", [100, 118, 160])
async def test_what_stands_beside_a_list_takes_no_column_from_it(demo_path: Path, width: int) -> None:
    async with running(demo_path, (width, 40)) as pilot:
        await pilot.press("f")
        await settled(pilot)
        head = screen_text(pilot).splitlines()[2]
        assert "name" in head
        assert "on hand" in head
        assert "place" in head
        assert "mark" in head
        assert pilot.app.screen.query_one("#details").display is (width >= 118)
