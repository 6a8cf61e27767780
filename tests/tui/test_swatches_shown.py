"""Photographs of fabrics on the screens: details, star, value by eye, poor terminals."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from types import ModuleType, SimpleNamespace
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.reactive import reactive
from textual.widget import Widget

from stash.inventory.store import Store
from stash.model import Colour, Reference
from tests.tui.driving import SIZES, running, screen_text, settled, toasts, wait_for
from tests.tui.swatches import CREAM, RED, give_photograph, halves, measured, swatch
from tui.screens.details import DetailsScreen
from tui.widgets import sharp_picture
from tui.widgets.chart import Chart
from tui.widgets.fabric_list import FabricList
from tui.widgets.palette_bar import Bar
from tui.widgets.ribbon import Ribbon
from tui.widgets.rows import RowsTable
from tui.widgets.sharp_star import SharpStar
from tui.widgets.swatch_picture import NO_COLOURS, UNREADABLE, SwatchPicture
from tui.widgets.swatch_view import SwatchView

RANGE = "value 62, 48 to 71"


async def to_poppy(pilot: Pilot[None]) -> None:
    """To the Stash screen with the cursor on Poppy, and into its details."""
    await pilot.press("f")
    await settled(pilot)
    await pilot.press("slash", *"poppy", "enter", "enter")
    await settled(pilot)
    await wait_for(pilot, lambda: "Poppy" in screen_text(pilot) and "Main colours" in screen_text(pilot), "the details")
    await settled(pilot)


def colours_in(picture: SwatchPicture) -> set[tuple[int, ...]]:
    """sRGB codes of all that is painted in the middle line of a picture."""
    strip = picture.render_line(picture.size.height // 2)
    styles = [segment.style for segment in strip if segment.style is not None]
    found = [style.bgcolor for style in styles if style.bgcolor is not None and style.color is not None]
    return {tuple(colour.get_truecolor()) for colour in found}


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


# -- relative values and values by eye


async def test_relative_values_are_marked_in_list_rows_and_ribbons(stash_path: Path) -> None:
    give_photograph(stash_path, "Poppy", measured(55, Reference.NONE))
    give_photograph(stash_path, "Night", measured(25, Reference.NONE))
    with Store.open(stash_path) as store:
        assert store.fabric("Poppy").colour == Colour(55, 30, 20, "relative")
    async with running(stash_path, (120, 40)) as pilot:
        rows = pilot.app.screen.query_one(RowsTable)
        assert "Poppy" in rows.render_line(2).text
        assert "~55" in rows.render_line(2).text
        await pilot.press("B")
        await settled(pilot)
        assert "value ~55" in screen_text(pilot)
        await pilot.press("g")
        await settled(pilot)
        await wait_for(pilot, lambda: "1 of" in screen_text(pilot), "the ribbons")
        ribbon = pilot.app.screen.query(Ribbon).first()
        assert "~25" in ribbon.render_line(3).text
        assert "~ relative values" in screen_text(pilot)
        await to_poppy(pilot)
        assert "~55" in pilot.app.screen.query_one(FabricList).render_line(0).text
        text = screen_text(pilot)
        assert "value ~55, ~48 to ~71" in text
        assert "relative: no reference" in text
        await pilot.press("question_mark")
        await settled(pilot)
        assert "the value is relative" in screen_text(pilot)


async def test_relative_fabrics_are_found_by_that_word(stash_path: Path) -> None:
    give_photograph(stash_path, "Poppy", measured(55, Reference.NONE))
    async with running(stash_path) as pilot:
        await pilot.press("f")
        await settled(pilot)
        await pilot.press("slash", *"relative")
        await settled(pilot)
        assert [line.name for line in pilot.app.screen.query_one(FabricList).lines] == ["Poppy"]


@pytest.mark.parametrize(("reference", "figure", "source"), [
    (Reference.NONE, "~62", "relative ~62.0"), (Reference.PAPER, " 62", "measured 62.0"),
])  # fmt: skip
async def test_a_value_by_eye_stands_beside_the_photographs_and_can_be_let_go(
    stash_path: Path, reference: Reference, figure: str, source: str
) -> None:
    give_photograph(stash_path, "Poppy", measured(62, reference))
    async with running(stash_path, (120, 40)) as pilot:
        await pilot.press("f")
        await settled(pilot)
        listed = pilot.app.screen.query_one(FabricList)
        at = [line.name for line in listed.lines].index("Poppy")
        listed.cursor = at
        await settled(pilot)
        assert figure in listed.render_line(at).text
        await pilot.press("left_square_bracket")  # past Pebble, 70
        await settled(pilot)
        await wait_for(pilot, lambda: "value by eye 76.0" in screen_text(pilot), "the value by eye")
        assert source in screen_text(pilot)
        assert " 76*" in listed.render_line(listed.cursor).text
        await pilot.press("equals_sign")
        await settled(pilot)
        assert any(f"back at its {source.split()[0]} value" in text for text in toasts(pilot))
        assert figure in listed.render_line(listed.cursor).text
        await pilot.press("right_square_bracket")  # past Fern, 46, the next darker
        await settled(pilot)
        assert listed.current is not None
        assert listed.current.value == pytest.approx((46 + 33) / 2)


async def test_editing_a_relative_fabric_says_so_and_leaves_its_colour(stash_path: Path) -> None:
    give_photograph(stash_path, "Poppy", measured(55, Reference.NONE))
    async with running(stash_path) as pilot:
        await pilot.press("f")
        await settled(pilot)
        await pilot.press("slash", *"poppy", "enter", "e")
        await wait_for(pilot, lambda: "value ~55, red, relative" in screen_text(pilot), "the form")
        await pilot.press(*" red", "enter")
        await settled(pilot)
    with Store.open(stash_path) as store:
        assert store.fabric("Poppy red").colour == Colour(55, 30, 20, "relative")


async def test_name_and_colour_are_changed_by_one_entry(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        await pilot.press("f")
        await settled(pilot)
        await pilot.press("slash", *"poppy", "enter", "e")
        await pilot.press(*" red", "tab", "end", "ctrl+u", *"50 1 2", "enter")
        await settled(pilot)
        await pilot.press("u")
        await settled(pilot)
    with Store.open(stash_path) as store:
        assert store.fabric("Poppy").colour == Colour(55, 60, 40)


# -- beside the star


async def test_the_row_in_hand_shows_its_swatch_where_there_is_room(stash_path: Path) -> None:
    give_photograph(stash_path, "Poppy", measured())
    async with running(stash_path, (120, 40)) as pilot:
        chart = pilot.app.screen.query_one("#right-chart", Chart)
        alone = chart.layout_now()
        assert not pilot.app.screen.query_one(SwatchView).display
        await pilot.press("B")
        await settled(pilot)
        await wait_for(pilot, lambda: RANGE in screen_text(pilot), "the swatch")
        picture = pilot.app.screen.query_one(SwatchPicture)
        await wait_for(pilot, lambda: len(colours_in(picture)) >= 2, "the picture")
        beside = chart.layout_now()
        assert alone is not None
        assert beside is not None
        assert (alone.columns, alone.lines) == (beside.columns, beside.lines)
        await pilot.press("A")  # Milk has no photograph
        await settled(pilot)
        assert not pilot.app.screen.query_one(SwatchView).display
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
        assert not pilot.app.screen.query_one(SwatchView).display
        for _ in range(5):
            await pilot.press("down")
            await settled(pilot)
            shown = "B Fern" in screen_text(pilot)
            assert pilot.app.screen.query_one(SwatchView).display == shown
            if shown:
                return
        raise AssertionError("Fern was never tried")


# -- real pixels


class FakeImage(Widget):
    image: reactive[Any] = reactive(None)


def fake_library(kind: str) -> dict[str, Any]:
    """What the library for real pixels looks like from here; `kind` is what it found the terminal can do."""
    renderable = ModuleType("textual_image.renderable")
    kinds = {name: type(name, (), {}) for name in ("TGPImage", "SixelImage", "HalfcellImage")}
    vars(renderable).update(kinds, Image=kinds[kind])
    widget, terminal = ModuleType("textual_image.widget"), ModuleType("textual_image._terminal")
    vars(widget)["Image"] = FakeImage
    vars(terminal)["get_cell_size"] = lambda: SimpleNamespace(width=9, height=18)
    package = ModuleType("textual_image")
    return {"textual_image": package} | {one.__name__: one for one in (renderable, widget, terminal)}


@pytest.fixture
def on_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "__stdout__", SimpleNamespace(isatty=lambda: True))
    monkeypatch.setattr(sharp_picture, "_found", None)


@pytest.mark.usefixtures("on_a_terminal")
def test_without_the_extra_half_blocks_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "textual_image", None)
    sharp_picture.ask_terminal()
    assert sharp_picture.sharp_widget() is None


@pytest.mark.usefixtures("on_a_terminal")
@pytest.mark.parametrize(("kind", "sharp"), [("TGPImage", True), ("SixelImage", True), ("HalfcellImage", False)])
def test_real_pixels_only_where_the_terminal_has_them(monkeypatch: pytest.MonkeyPatch, kind: str, sharp: bool) -> None:
    for name, module in fake_library(kind).items():
        monkeypatch.setitem(sys.modules, name, module)
    sharp_picture.ask_terminal()
    assert (sharp_picture.sharp_widget() is FakeImage) == sharp


@pytest.mark.usefixtures("on_a_terminal")
def test_a_terminal_that_answers_nonsense_gets_half_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, module in fake_library("SixelImage").items():
        monkeypatch.setitem(sys.modules, name, module)

    def broken() -> None:
        raise TimeoutError("no answer")

    monkeypatch.setattr(sys.modules["textual_image._terminal"], "get_cell_size", broken)
    sharp_picture.ask_terminal()
    assert sharp_picture.sharp_widget() is None


async def test_real_pixels_are_scaled_in_light_first(stash_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    give_photograph(stash_path, "Poppy", measured())
    monkeypatch.setattr(sharp_picture, "_found", (FakeImage, (9, 18)))
    async with running(stash_path, (120, 40)) as pilot:
        await to_poppy(pilot)
        picture = pilot.app.screen.query_one(SwatchPicture)
        shown = picture.query_one(FakeImage)
        await wait_for(pilot, lambda: shown.image is not None, "the picture")
        width, height = shown.image.size
        assert (width, height) == (216, 144)  # 8 lines of 18 pixels, and the picture is 3 : 2
        await pilot.press("escape", "escape", "home")
        await wait_for(pilot, lambda: not picture.region, "the picture to go")


async def test_the_star_is_drawn_in_real_pixels_of_its_fabrics(
    stash_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The picture is the one that goes to a file, a square as large as its place; grey is grey, and a fabric tried
    changes it at once."""
    monkeypatch.setenv("COLORTERM", "truecolor")
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setattr(sharp_picture, "_found", (FakeImage, (9, 18)))
    async with running(stash_path, (120, 40)) as pilot:
        await pilot.press("s")
        await settled(pilot)
        star = pilot.app.screen.query_one("#picture", SharpStar)
        shown = star.query_one(FakeImage)
        await wait_for(pilot, lambda: shown.image is not None, "the star")
        first = shown.image
        assert first.size == (min(star.size.width * 9, star.size.height * 18),) * 2
        await pilot.press("v")
        await wait_for(pilot, lambda: shown.image is not None and shown.image is not first, "the grey star")
        assert len({band.tobytes() for band in shown.image.split()}) == 1
        for key in ("v", "A", "down"):
            await pilot.press(key)
            await settled(pilot)
        await wait_for(pilot, lambda: shown.image is not None, "the star with another fabric")
        assert shown.image.tobytes() != first.tobytes()
        await pilot.press("f7")
        await settled(pilot)
        assert not shown.display  # one point is drawn in half blocks
        assert "▀" in screen_text(pilot)
