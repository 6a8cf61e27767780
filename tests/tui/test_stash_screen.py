"""The list of the Stash screen at both sizes: filtered, sorted, archived, moved by eye, and its details."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Input

from stash.inventory.store import Store
from tests.tui.driving import SIZES, running, screen_text, settled, toasts, wait_for
from tests.tui.stash_screen import BY_VALUE, at, filtered, names, stored, texts, to_stash, type_text
from tui.dialogs.fabric import AddDialog
from tui.screens.details import DetailsScreen
from tui.widgets.fabric_list import FabricHeader, FabricList


@pytest.mark.parametrize("size", SIZES)
async def test_shows_by_value_all_that_a_line_needs(stash_path: Path, size: tuple[int, int]) -> None:
    async with running(stash_path, size) as pilot:
        screen = await to_stash(pilot)
        assert names(screen) == BY_VALUE
        shown = screen_text(pilot)
        for words in ("Poppy", "2 fq", "not measured", "shelf 1", " 92 ", "7 fabrics", "light to dark"):
            assert words in shown
        milk = next(line for line in shown.splitlines() if "Milk " in line and "━" in line)
        assert "A ✓ covered" in milk  # the star on the table uses it
        assert "/ Filter" in shown.splitlines()[-1]
        assert ("L* 92.0" in shown) == (size[0] == 120)


async def test_filter_as_typed(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await filtered(pilot, "box")
        assert names(screen) == ["Fern", "Harbour", "Night"]
        assert "3 of 7" in screen_text(pilot)
        assert screen_text(pilot).splitlines()[-1].split() == ["Esc", "Clear", "^p", "Commands"]
        await type_text(pilot, " blue")
        assert names(screen) == ["Harbour"]
        await pilot.press("enter")
        assert isinstance(pilot.app.focused, FabricList)
        await pilot.press("escape")
        assert names(screen) == BY_VALUE
        assert at(screen) == "Harbour"  # the cursor stays on what was found


async def test_letters_go_into_the_filter_and_do_nothing_else(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await filtered(pilot, "uraxq")
        assert screen.query_one("#filter", Input).value == "uraxq"
        assert pilot.app.screen is screen
    assert len(texts(stash_path)) == 8  # seven fabrics and a star, as made


async def test_sort_by_key_and_by_click(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        seen = []
        for _ in range(4):
            await pilot.press("o")
            await pilot.pause()
            seen.append((str(screen.order), names(screen)[0]))
        assert [order for order, _ in seen] == ["hue", "name", "length", "value"]
        assert seen[1][1] == "Fern"
        heads = screen_text(pilot).splitlines()[2]
        await pilot.click(FabricHeader, offset=(heads.index("name"), 0))
        await wait_for(pilot, lambda: str(screen.order) == "name")
        assert names(screen) == sorted(BY_VALUE)


async def test_archive_and_back(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("down", "r")
        await settled(pilot)
        assert names(screen) == [name for name in BY_VALUE if name != "Straw"]
        assert any("Archived Straw" in text for text in toasts(pilot))
        await pilot.press("u")
        await settled(pilot)
        assert names(screen) == BY_VALUE


async def test_the_archived_ones_can_be_seen_and_brought_back(stash_path: Path) -> None:
    with Store.open(stash_path) as store:
        store.archive(store.fabric("Fern").id)
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("w")
        await settled(pilot)
        assert names(screen) == ["Fern"]
        assert "1 archived" in screen_text(pilot)
        await pilot.press("r")
        await settled(pilot)
        assert names(screen) == []
        await pilot.press("w")
        await settled(pilot)
        assert names(screen) == BY_VALUE


async def test_value_by_eye_moves_past_the_neighbours_and_goes_back(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("down", "down")  # Pebble, 70
        await pilot.press("right_square_bracket", "right_square_bracket")
        await settled(pilot)
        assert names(screen) == ["Milk", "Straw", "Poppy", "Fern", "Pebble", "Harbour", "Night"]
        assert at(screen) == "Pebble"
        pebble = stored(stash_path, "Pebble")
        assert pebble.value_by_eye is not None
        assert 33 < pebble.value_by_eye < 46
        assert pebble.measured is not None
        assert pebble.measured.L == 70
        assert "*" in next(line for line in screen_text(pilot).splitlines() if "Pebble" in line)
        await pilot.press("left_square_bracket")
        await settled(pilot)
        assert names(screen).index("Pebble") == 3
        await pilot.press("equals_sign")
        await settled(pilot)
        assert names(screen) == BY_VALUE
        assert stored(stash_path, "Pebble").value_by_eye is None
        await pilot.press("home", "left_square_bracket")
        assert any("nothing lighter" in text for text in toasts(pilot))


async def test_details_on_a_screen_of_their_own_at_80_columns(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(pilot.app.screen, DetailsScreen)
        shown = screen_text(pilot)
        for words in ("L* 92.0", "36 × 40 in, yardage", "shelf 1", "In the star on the table: A", "Added Milk"):
            assert words in shown
        await pilot.press("escape")
        assert pilot.app.screen is screen
        for key, title in (("b", "Bought"), ("x", "Used"), ("c", "Count"), ("e", "Edit")):
            await pilot.press("enter")
            await settled(pilot)
            await pilot.press(key)
            await settled(pilot)
            assert type(pilot.app.screen).__name__ == f"{title}Dialog"
            await pilot.press("escape")
            await settled(pilot)


async def test_details_beside_the_list_follow_the_cursor(stash_path: Path) -> None:
    async with running(stash_path, (120, 40)) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("down")
        await wait_for(pilot, lambda: "Added Straw" in screen_text(pilot), "the history of Straw")
        assert "18 × 40 in" in screen_text(pilot)
        await pilot.press("enter")
        assert screen.query_one("#details").has_focus


async def test_footer_and_double_click(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        foot = screen_text(pilot).splitlines()[-1]
        await pilot.click(offset=(foot.index("Add") + 1, 23))
        await wait_for(pilot, lambda: isinstance(pilot.app.screen, AddDialog), "the form")
        await pilot.press("escape")
        await pilot.click(FabricList, offset=(30, 3), times=2)
        await wait_for(pilot, lambda: isinstance(pilot.app.screen, DetailsScreen), "the details")
        assert at(screen) == "Poppy"


async def test_grey_shows_the_value_alone(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("v")
        await pilot.pause()
        listed = screen.query_one(FabricList)
        poppy = listed.render_line(3)
        ground = poppy._segments[1].style
        assert ground is not None
        assert ground.bgcolor is not None
        red, green, blue = ground.bgcolor.get_truecolor()
        assert red == green == blue == 132  # L* 55, from the CIE 1976 formula and the sRGB curve


async def test_a_wider_terminal_shows_the_details(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        await to_stash(pilot)
        assert "L* 92.0" not in screen_text(pilot)
        await pilot.resize_terminal(120, 40)
        await wait_for(pilot, lambda: "L* 92.0" in screen_text(pilot), "the details")
        await pilot.resize_terminal(80, 24)
        await wait_for(pilot, lambda: "L* 92.0" not in screen_text(pilot), "the list alone")


@pytest.mark.parametrize(("term", "chips", "said"), [("xterm", False, "16 colours"), ("xterm-256color", True, "256")])
async def test_poor_colours_are_said_and_16_show_no_chip(
    stash_path: Path, monkeypatch: pytest.MonkeyPatch, term: str, chips: bool, said: str
) -> None:
    monkeypatch.setenv("TERM", term)
    monkeypatch.delenv("COLORTERM")
    async with running(stash_path, (120, 40)) as pilot:
        assert any(said in text for text in toasts(pilot))
        screen = await to_stash(pilot)
        poppy = screen.query_one(FabricList).render_line(3)
        grounds = {segment.style.bgcolor for segment in poppy if segment.style}
        assert (len(grounds) > 1) == chips
        assert "55 ━━━━" in poppy.text


@pytest.mark.parametrize("size", SIZES)
async def test_the_demo_tells_which_fabric_is_short_and_buying_it_mends_that(
    demo_path: Path, size: tuple[int, int]
) -> None:
    async with running(demo_path, size) as pilot:
        screen = await to_stash(pilot)
        assert len(names(screen)) == 60
        await pilot.press("slash", *"rosehip", "enter")
        await settled(pilot)
        assert "D ✗ short" in screen_text(pilot)
        await pilot.press("b")
        await type_text(pilot, "1/2 yd")
        await pilot.press("enter")
        await wait_for(pilot, lambda: "D ✓ covered" in screen_text(pilot), "the row to be covered")
        await pilot.press("u")
        await wait_for(pilot, lambda: "D ✗ short" in screen_text(pilot), "the row to be short again")
