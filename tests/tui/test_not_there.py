"""A fabric that is not there is left out for every star of the sitting; a ban on one star stays that star's."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from stash.inventory.store import Store
from stash.model import Colour, Colouring, NewFabric
from stash.typed import read_pieces
from tests.tui.driving import look_again, press, running, settled, toasts
from tests.tui.star_screen import CLOTH_FOR_WAYS, USES, WEIR, star_screen, table


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Two stars of five rows, each with a fabric in its middle row that is not measured yet."""
    place = tmp_path / "two.db"
    with Store.create(place) as store:
        for name, pieces, L, a, b in CLOTH_FOR_WAYS:
            store.add(NewFabric(name, read_pieces(pieces) if pieces else (), Colour(L, a, b)))
        for name in ("Weir", "Lock"):
            store.save_star(name, WEIR, Colouring({**USES, "C": ("Mist",)}))
    return place


def without(pilot: Pilot[None]) -> tuple[str, ...]:
    return star_screen(pilot).wishes.wishes.without


async def other_star(pilot: Pilot[None]) -> None:
    await press(pilot, "s", "o", "up" if table(pilot).name == "Weir" else "down", "enter")


async def test_no_holds_for_the_next_star_and_a_ban_does_not(path: Path) -> None:
    async with running(path) as pilot:
        await press(pilot, "D", "b", "y", "n")
        assert "left out for every star" in toasts(pilot)[-1]
        assert without(pilot) == ("Plum", "Mist")
        await other_star(pilot)
        assert table(pilot).name == "Lock"
        assert without(pilot) == ("Mist",)
        asked = star_screen(pilot).asked()
        assert asked is not None
        assert "Mist" in asked.wishes.without
        await press(pilot, "C", "b")  # it is there after all
        assert without(pilot) == ()
        await other_star(pilot)
        assert without(pilot) == ("Plum",)


async def test_a_star_made_on_sizes_leaves_it_out_too(path: Path) -> None:
    async with running(path) as pilot:
        await press(pilot, "y", "n", "z", "up", "enter")
        assert table(pilot).name not in ("Weir", "Lock")
        assert without(pilot) == ("Mist",)


async def test_a_fabric_that_is_recorded_or_has_another_name_is_asked_about_again(path: Path) -> None:
    async with running(path) as pilot:
        await press(pilot, "y", "n")
        await other_star(pilot)
        assert without(pilot) == ("Mist",)
        with Store.open(path) as store:
            mist = store.fabric("Mist")
            store.edit(mist.id, name="Haze")
        await look_again(pilot)
        assert without(pilot) == ()
        await press(pilot, "y", "n")
        assert without(pilot) == ("Haze",)
        star_screen(pilot).main.save(lambda store: store.bought(mist.id, read_pieces("1 yd")))
        await settled(pilot)
        assert without(pilot) == ()
        await other_star(pilot)
        assert without(pilot) == ()


async def test_a_ban_outlasts_that_the_fabric_was_not_there(path: Path) -> None:
    async with running(path) as pilot:
        await press(pilot, "C", "b", "y", "n")
        star_screen(pilot).main.save(lambda store: store.bought(store.fabric("Mist").id, read_pieces("1 yd")))
        await settled(pilot)
        assert without(pilot) == ("Mist",)
