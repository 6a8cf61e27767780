"""What the Stash screen lists and what stands in its forms, for its tests."""

from __future__ import annotations

from pathlib import Path

from textual.pilot import Pilot
from textual.widgets import Input

from stash.inventory.store import Store
from stash.model import Fabric
from tests.tui.driving import on_top, settled
from tui.dialogs.form import FieldLine, FormDialog
from tui.screens.stash import StashScreen
from tui.widgets.fabric_list import FabricList

BY_VALUE = ["Milk", "Straw", "Pebble", "Poppy", "Fern", "Harbour", "Night"]
INCH = 8128


async def to_stash(pilot: Pilot[None]) -> StashScreen:
    await pilot.press("f")
    await settled(pilot)
    return on_top(pilot, StashScreen)


def names(screen: StashScreen) -> list[str]:
    return [line.name for line in screen.query_one(FabricList).lines]


def at(screen: StashScreen) -> str:
    line = screen.query_one(FabricList).current
    return line.name if line else ""


async def type_text(pilot: Pilot[None], text: str) -> None:
    """Type into the field that has the focus."""
    field = pilot.app.focused
    assert isinstance(field, Input)
    await pilot.press(*[{" ": "space"}.get(sign, sign) for sign in text])


async def filtered(pilot: Pilot[None], text: str) -> StashScreen:
    """To the Stash screen, with this text in its filter."""
    screen = await to_stash(pilot)
    await pilot.press("slash")
    await type_text(pilot, text)
    await settled(pilot)
    return screen


def form(pilot: Pilot[None]) -> FormDialog[str]:
    return on_top(pilot, FormDialog)


def under(pilot: Pilot[None], field: str) -> str:
    """What stands under a field of the form."""
    line = next(line for line in form(pilot).query(FieldLine) if line.field.id == field)
    return str(line.query_one(".under").render())


def stored(path: Path, name: str) -> Fabric:
    with Store.open(path) as store:
        return store.fabric(name)


def texts(path: Path) -> list[str]:
    with Store.open(path) as store:
        return [entry.text for entry in store.history(limit=50)]
