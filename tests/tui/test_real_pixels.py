"""Photographs and stars in real pixels, where the terminal has them and the library for them is there."""

from __future__ import annotations

import sys
from pathlib import Path
from types import ModuleType, SimpleNamespace
from typing import Any

import pytest
from textual.reactive import reactive
from textual.widget import Widget

from tests.tui.driving import running, screen_text, settled, wait_for
from tests.tui.swatches import give_photograph, measured, to_poppy
from tui.widgets import sharp_picture
from tui.widgets.sharp_star import SharpStar
from tui.widgets.swatch_picture import SwatchPicture


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
