"""What stands on the Sizes screen, for its tests."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from textual.pilot import Pilot

from stash.inventory.store import Store
from stash.match.sizes import GRIDS, STRIPS
from stash.model import Colour, Colouring, Fabric, NewFabric, Star
from stash.typed import read_pieces
from tests.tui.driving import on_top, settled, wait_for
from tui.screens.sizes import SizesScreen
from tui.widgets.sizes_grid import SizesGrid


def fill(store: Store) -> None:
    """Eight fabrics of 1/4 yd from light to dark (invented): small stars are covered, large ones are not."""
    for number in range(8):
        store.add(NewFabric(f"F{number}", read_pieces("1/4 yd"), Colour(92 - 11 * number, 10, 10)))
    store.save_star("Weir", Star(2, Fraction(5, 2), "ABA"), Colouring({"A": ("F0",), "B": ("F1",)}))


def screen(pilot: Pilot[None]) -> SizesScreen:
    return on_top(pilot, SizesScreen)


def grid(pilot: Pilot[None]) -> SizesGrid:
    return screen(pilot).query_one(SizesGrid)


async def filled(pilot: Pilot[None]) -> None:
    await wait_for(pilot, lambda: len(grid(pilot).fits) == len(GRIDS) * len(STRIPS), "every star")
    await settled(pilot)


def cloth(path: Path) -> list[Fabric]:
    with Store.open(path) as store:
        return store.fabrics()
