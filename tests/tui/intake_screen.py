"""Photographs drawn here, and the way with them through the Intake screen, for its tests."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PIL import Image
from textual.pilot import Pilot
from textual.widgets import Input, RadioButton

from stash.inventory.store import Store
from stash.model import Fabric
from tests.tui.driving import on_top, settled, wait_for
from tui.screens.intake import IntakeScreen
from tui.screens.intake_start import Way

PAPER = (228, 226, 224)
SIZE = (400, 300)


def photograph(path: Path, *cloths: tuple[tuple[int, int, int], tuple[int, int, int, int]]) -> Path:
    """Cloths, each a colour and a box x, y, w, h, on white paper with the noise of a camera."""
    codes = np.full((SIZE[1], SIZE[0], 3), PAPER, dtype=float)
    for colour, (x, y, width, height) in cloths:
        codes[y : y + height, x : x + width] = colour
    codes += np.random.default_rng(len(path.name)).normal(0, 2, codes.shape)
    Image.fromarray(np.clip(codes, 0, 255).astype(np.uint8)).save(path, quality=92)
    return path


def intake(pilot: Pilot[None]) -> IntakeScreen:
    return on_top(pilot, IntakeScreen)


def text_of(pilot: Pilot[None], name: str) -> str:
    return intake(pilot).query_one(f"#{name}", Input).value


async def begin(pilot: Pilot[None], path: Path, way: Way = Way.PAPER, *, whole: bool = True) -> IntakeScreen:
    """To the Intake screen and through its question; `whole`: until everything is measured."""
    await pilot.press("f2", "i")
    await settled(pilot)
    screen = intake(pilot)
    screen.query_one("#path", Input).value = str(path)
    if way is not Way.PAPER:
        next(one for one in screen.query(RadioButton) if one.name == way).value = True
        await pilot.pause()
    await pilot.press("enter")
    await wait_for(pilot, lambda: screen.has_class("-form") or screen.has_class("-end"), "a photograph or the end")
    if whole:
        await wait_for(pilot, lambda: screen.measuring is None, "the measuring to end")
    await settled(pilot)
    return screen


async def enter(pilot: Pilot[None], typed: str = "") -> None:
    """Type into the field with the cursor, and Enter."""
    await pilot.press(*typed, "enter")
    await settled(pilot)


def stored(path: Path) -> dict[str, Fabric]:
    with Store.open(path) as store:
        return {fabric.name: fabric for fabric in store.fabrics()}
