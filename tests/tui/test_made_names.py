"""The name that the program gives to a star follows the star; one of the maker's own stays. What `k` says."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from textual.pilot import Pilot

from stash.inventory.store import Store
from stash.model import Colour, Colouring, NewFabric, Star
from stash.typed import read_pieces
from tests.tui.driving import press, running, screen_text, toasts
from tests.tui.star_screen import table
from tui.screens.made_names import following_name

TWO = Star(2, Fraction(5, 2), "ABA")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Eight fabrics, and two stars: one with a name that the program made, one with the maker's own."""
    place = tmp_path / "names.db"
    with Store.create(place) as store:
        for number in range(8):
            store.add(NewFabric(f"F{number}", read_pieces("1 yd"), Colour(92 - 11 * number, 10, 10)))
        store.save_star("2 x 2 of 2 1/2 in", TWO, Colouring({"A": ("F0",), "B": ("F4",)}, "F1"))
        store.save_star("3 x 3 of 2 1/2 in", Star(3, Fraction(5, 2), "ABCBA"))
    return place


async def to_star(pilot: Pilot[None], name: str) -> None:
    app = pilot.app
    await press(pilot, "s")
    assert table(pilot).name == name, app


async def test_a_made_name_follows_the_grid_and_undo_brings_it_back(path: Path) -> None:
    async with running(path) as pilot:
        await to_star(pilot, "2 x 2 of 2 1/2 in")
        await press(pilot, "plus")
        assert table(pilot).star.grid == 3
        assert table(pilot).name == "3 x 3 of 2 1/2 in, 2"  # the plain one is taken
        await press(pilot, "less_than_sign")
        assert table(pilot).name == "3 x 3 of 2 1/4 in"
        await press(pilot, "u")
        assert table(pilot).name == "3 x 3 of 2 1/2 in, 2"
        await press(pilot, "u")
        assert (table(pilot).name, table(pilot).star.grid) == ("2 x 2 of 2 1/2 in", 2)


def test_a_name_of_the_makers_own_stays() -> None:
    after = Star(3, Fraction(5, 2), "ABCBA")
    for name in ("Weir", "2 x 2 of 2 in", "2 x 2 of 2 1/2 in for Ada"):
        assert following_name(name, TWO, after, []) is None
    assert following_name("2 x 2 of 2 1/2 in, 3", TWO, after, []) == "3 x 3 of 2 1/2 in"
    assert following_name("2 x 2 of 2 1/2 in", TWO, Star(2, Fraction(5, 2), "ABC"), []) is None


async def test_k_says_what_keeping_the_same_means(path: Path) -> None:
    async with running(path) as pilot:
        await press(pilot, "s", "n", "k")
        assert toasts(pilot)[-1] == "What is shown is colouring 1 already; try something first, then k"


async def test_the_sign_of_rows_near_the_ground_is_explained_where_it_stands(path: Path) -> None:
    """The ground lies at 81; the mirrored star has only edge rows beside the centre, 25 off it or signed."""
    with Store.open(path) as store:
        for name in ("F4", "F5", "F6", "F7"):
            store.archive(store.fabric(name).id)
        store.replace_colouring(1, 1, Colouring({"A": ("F0",), "B": ("F2",)}, "F1"))
    async with running(path) as pilot:
        await press(pilot, "g")
        assert "≋ row" in screen_text(pilot)
        assert "near the ground in value" in screen_text(pilot)
