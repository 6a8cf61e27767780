"""A stash with a star that is short in one row, and what stands on the Star screen, for its tests."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from pathlib import Path

from textual.pilot import Pilot

from stash.inventory.store import Store
from stash.model import Colour, Colouring, Mark, NewFabric, Star, Step
from stash.typed import read_pieces
from tests.tui.driving import on_top
from tui.screens.star import StarScreen
from tui.screens.star_table import Table

Cloth = tuple[str, str, float, float, float]

# name, pieces, L, a, b (invented). A 3 x 3 star of 2 1/2 in strips takes 1, 2, 3, 2, 1 strips of five fabrics
# (common practice, no source); 6 in of Rust less an inch of straightening give only two.
CLOTH = (
    ("Chalk", "1/2 yd", 94, 0, 3),
    ("Wheat", "1/2 yd", 80, 4, 40),
    ("Rust", "6 in", 58, 30, 38),
    ("Brick", "1/2 yd", 57, 36, 30),
    ("Slate", "1/2 yd", 56, -4, -8),
    ("Plum", "1/2 yd", 38, 28, -12),
    ("Coal", "1/2 yd", 18, 2, -4),
    ("Cloud", "3 yd", 86, 0, 1),
    ("Mist", "", 70, -6, -6),
)
# As on the Star screen, but Brick is short as well, Slate is further off and nothing is there for a ground (invented).
CLOTH_FOR_WAYS = (
    ("Chalk", "1/2 yd", 94, 0, 3),
    ("Wheat", "1/2 yd", 80, 4, 40),
    ("Rust", "6 in", 58, 30, 38),
    ("Brick", "6 in", 57, 36, 30),
    ("Slate", "1/2 yd", 52, -4, -8),
    ("Plum", "1/2 yd", 38, 28, -12),
    ("Coal", "1/2 yd", 18, 2, -4),
    ("Mist", "", 70, -6, -6),
)
USES = {"A": ("Chalk",), "B": ("Wheat",), "C": ("Rust",), "D": ("Plum",), "E": ("Coal",)}
WEIR = Star(3, Fraction(5, 2), "ABCDE")


def fill(
    store: Store, cloth: Iterable[Cloth] = CLOTH, ground: str | None = "Cloud", uses: dict[str, tuple[str, ...]] = USES
) -> None:
    """These fabrics and the star of them, whose middle row is short by one strip."""
    for name, pieces, L, a, b in cloth:
        store.add(NewFabric(name, read_pieces(pieces) if pieces else (), Colour(L, a, b)))
    store.save_star("Weir", WEIR, Colouring(uses, ground))


def fill_unmeasured(store: Store) -> None:
    """The star whose middle row is of a fabric not measured yet, with enough else for ways on."""
    fill(store, CLOTH_FOR_WAYS, None, {**USES, "C": ("Mist",)})


def star_screen(pilot: Pilot[None]) -> StarScreen:
    return on_top(pilot, StarScreen)


def table(pilot: Pilot[None]) -> Table:
    found = star_screen(pilot).table
    assert found is not None
    return found


def marks(pilot: Pilot[None]) -> dict[str, Mark | None]:
    return {letter: row.mark for letter, row in table(pilot).look().by_letter.items()}


def saved(path: Path) -> dict[str, tuple[str, ...]]:
    with Store.open(path) as store:
        return dict(store.star("Weir").colourings[0].colouring.uses)


def steps(pilot: Pilot[None]) -> list[Step]:
    ways = table(pilot).ways_now
    assert ways is not None
    return [way.step for way in ways.found]


def covered(pilot: Pilot[None]) -> bool:
    judged = table(pilot).judged
    return judged is not None and judged.coverage is not None and judged.coverage.covered
