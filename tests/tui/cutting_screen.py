"""A stash with a star to be cut, and what stands on the Cutting screen, for its tests."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from textual.pilot import Pilot
from textual.widgets import Static

from stash.inventory.store import Store
from stash.model import Colour, Colouring, NewFabric, Star, StoredPlan
from stash.typed import read_pieces
from tests.tui.driving import on_top, settled
from tui.screens.cutting import CuttingScreen
from tui.screens.cutting_rows import CutRow
from tui.widgets.cut_list import CutList

# name, pieces, L, a, b, washed (invented). A mirrored 2 x 2 star of 2 1/2 in strips takes A 2, B 2 strips.
CLOTH = (
    ("Fern", "1/2 yd", 50, -30, 30, True),
    ("Rust", "7 in", 30, 40, 30, False),
    ("Cloud", "2 yd", 86, 0, 1, False),
)
POND = Star(2, Fraction(5, 2), "ABA")
USES = Colouring({"A": ("Fern",), "B": ("Rust",)}, "Cloud")


def fill(store: Store) -> None:
    """The cloth above and its star."""
    for name, pieces, L, a, b, washed in CLOTH:
        store.add(NewFabric(name, read_pieces(pieces), Colour(L, a, b), washed=washed))
    store.save_star("Pond [/b]", POND, USES)


def screen(pilot: Pilot[None]) -> CuttingScreen:
    return on_top(pilot, CuttingScreen)


def listed(pilot: Pilot[None]) -> CutList:
    return screen(pilot).query_one(CutList)


def row(pilot: Pilot[None]) -> CutRow | None:
    return listed(pilot).current


def detail(pilot: Pilot[None]) -> str:
    """What is said of the line in hand."""
    return " ".join(str(screen(pilot).query_one("#detail", Static).render()).split())


async def to(pilot: Pilot[None], kind: type[CutRow], number: int = 0) -> None:
    """Put the cursor on the `number`-th line of a kind."""
    places = [at for at, one in enumerate(listed(pilot).rows) if isinstance(one, kind)]
    listed(pilot).cursor = places[number]
    await settled(pilot)


def plan(path: Path) -> StoredPlan:
    with Store.open(path) as store:
        return store.open_plan(1, 1) or store.plan(1)


def inches(path: Path, name: str) -> float:
    with Store.open(path) as store:
        return sum(one.length for one in store.fabric(name).pieces) / 8128  # ticks of 1/320 mm in an inch
