"""All that a search can be asked for is seen in the dialog of wishes at once, and the least step is set there."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from textual.widgets import Input

from stash.inventory.store import Store
from stash.model import Colour, NewFabric, Star
from stash.typed import read_pieces
from tests.tui.driving import SIZES, press, running, screen_text
from tui.dialogs.form import Tick
from tui.screens.suggestions import SuggestionsScreen


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Three fabrics for three rows, the middle one 3 of L* from the last; 5 is the least step where none is wished."""
    place = tmp_path / "wishes.db"
    with Store.create(place) as store:
        for name, value in (("Chalk", 90), ("Plum", 23), ("Coal", 20)):
            store.add(NewFabric(name, read_pieces("1 yd"), Colour(value, 20, 10)))
        store.save_star("Weir", Star(2, Fraction(2), "ABC"))
    return place


@pytest.mark.parametrize("size", SIZES)
async def test_every_field_and_tick_is_seen_without_scrolling(path: Path, size: tuple[int, int]) -> None:
    async with running(path, size) as pilot:
        await press(pilot, "g", "e")
        text = screen_text(pilot)
        for field in pilot.app.screen.query(Input):
            assert field.region.height == 1
            assert pilot.app.screen.query_one("#fields").region.contains_region(field.region), field.id
        assert {one.id for one in pilot.app.screen.query(Tick)} == {"any", "measured"}
        for words in ("least step", "[ ] list what the stash does not cover, too", "[ ] only measured fabrics"):
            assert words in text


@pytest.mark.parametrize("size", SIZES)
async def test_a_run_that_fails_by_a_step_is_found_with_a_smaller_one(path: Path, size: tuple[int, int]) -> None:
    async with running(path, size) as pilot:
        await press(pilot, "g")
        said = " ".join(screen_text(pilot).split())
        assert "at least 5.0 of value (L*) darker" in said
        assert "5.0 in" not in said
        await press(pilot, "e")
        pilot.app.screen.query_one("#min_step", Input).focus()
        await press(pilot, "2", "enter")
        assert isinstance(pilot.app.screen, SuggestionsScreen)
        assert "least step 2" in screen_text(pilot)
        assert "Chalk" in screen_text(pilot)
        assert "1 of 1" in screen_text(pilot)
