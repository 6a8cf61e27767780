"""Ways on come whenever the stash is short: after a "no", after a ban, and while the star is being cut."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from stash.inventory.store import Store
from stash.match.coverage import check
from stash.model import Colour, Colouring, NewFabric, Star, Step
from stash.typed import read_pieces
from tests.tui.driving import SIZES, made, press, running, screen_text, settled, toasts
from tests.tui.star_screen import WEIR, covered, fill_unmeasured, star_screen, steps, table

# A mirrored 2 x 2 star of 2 1/2 in strips takes A 2 and B 2 strips (common practice, no source).
POND = Star(2, Fraction(5, 2), "ABA")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A stash with a 3 x 3 star whose middle row is of a fabric not measured yet."""
    return made(tmp_path / "ways.db", fill_unmeasured)


@pytest.fixture
def begun(tmp_path: Path) -> Path:
    """A 2 x 2 star of which one strip is cut; all that was left of Rust was used for something else then."""
    place = tmp_path / "begun.db"
    with Store.create(place) as store:
        for name, L in (("Fern", 80), ("Rust", 30), ("Slate", 40)):
            store.add(NewFabric(name, read_pieces("1/2 yd"), Colour(L, 20, 20)))
        saved = store.save_star("Pond", POND, Colouring({"A": ("Fern",), "B": ("Rust",)}))
        kept = store.keep_plan(saved.id, 1, check(POND, saved.colourings[0].colouring, store.fabrics()).cuts)
        store.book(kept.id, [next(one.id for one in kept.strips if one.cut.fabric == "Rust")])
        store.used(store.fabric("Rust").id, None)
    return place


async def test_ways_on_stand_there_after_no_and_after_a_ban(path: Path) -> None:
    async with running(path) as pilot:
        before = steps(pilot)
        assert Step.STAND_IN in before
        await press(pilot, "y", "n")
        assert "What does cover it:" in screen_text(pilot)
        assert Step.STAND_IN in steps(pilot)
        await press(pilot, "f", "s")
        assert Step.STAND_IN in steps(pilot)
        await press(pilot, "D", "b")
        assert "What does cover it:" in screen_text(pilot)


@pytest.mark.parametrize("size", SIZES)
async def test_a_star_that_is_being_cut_is_told_what_to_buy_for_the_rest(begun: Path, size: tuple[int, int]) -> None:
    """One strip of Rust is left to cut: 2 1/2 in and 1 of straightening are 1/8 yd (common practice, no source)."""
    async with running(begun, size) as pilot:
        assert "1 of 4 strips cut" in screen_text(pilot)
        assert "B is short" in screen_text(pilot)
        assert steps(pilot) == [Step.BUY]
        await press(pilot, "1")
        assert "Buy 1/8 yd of Rust" in toasts(pilot)[-1]
        assert "for the strips still to cut" in toasts(pilot)[-1]
        await press(pilot, "2")
        assert "no such way on" in toasts(pilot)[-1]
        rust = star_screen(pilot).main.loaded.by_name["Rust"].id
        star_screen(pilot).main.save(lambda store: store.bought(rust, read_pieces("1/8 yd")))
        await settled(pilot)
        assert covered(pilot)


async def test_a_digit_says_why_there_are_no_ways_on(path: Path) -> None:
    with Store.open(path) as store:
        store.save_star("Bare", WEIR, Colouring({"A": ("Chalk",)}))
    async with running(path) as pilot:
        await press(pilot, "s", "o", "up", "enter")
        assert table(pilot).name == "Bare"
        await press(pilot, "1")
        assert toasts(pilot)[-1] == "Ways on are looked for once every row has a fabric"
