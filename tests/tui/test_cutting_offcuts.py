"""What is left of a piece at the Cutting screen: kept or binned, and said as it is."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from stash.inventory.store import Store
from stash.match.coverage import check
from stash.match.holds import hold_back
from stash.model import Colour, Colouring, Kind, NewFabric, NewPiece, Star
from tests.engine.by_hand import inch
from tests.tui.cutting_screen import POND, detail, inches, row, to
from tests.tui.driving import look_again, press, running, screen_text, toasts
from tui.screens.cutting_rows import PieceRow


async def test_small_offcuts_are_binned_unless_kept(cut_path: Path) -> None:
    """7 in of Rust less 1 in and two strips leave 1 in; 18 in of Fern leave 12 (derived)."""
    async with running(cut_path) as pilot:
        await press(pilot, "x")
        await to(pilot, PieceRow, 1)
        assert "bin 1 × 40 in" in screen_text(pilot)
        await press(pilot, "enter")
        assert inches(cut_path, "Rust") == 0
        assert "the offcut of Rust is binned" in toasts(pilot)[-1]
        await press(pilot, "u", "o")
        assert "keep 1 × 40 in" in screen_text(pilot)
        await press(pilot, "enter")
        assert inches(cut_path, "Rust") == 1
        await press(pilot, "o")
        assert inches(cut_path, "Rust") == 0
        assert "binned 1 × 40 in" in screen_text(pilot)
        await press(pilot, "u")
        assert inches(cut_path, "Rust") == 1


async def test_what_is_said_of_an_offcut_is_of_this_plan_only(cut_path: Path) -> None:
    """The same piece in the plan made again is kept or binned by its size once more."""
    async with running(cut_path) as pilot:
        await press(pilot, "x", "o")
        assert "bin 12 × 40 in" in screen_text(pilot)
        await press(pilot, "enter")
        assert inches(cut_path, "Fern") == 0
        await press(pilot, "u", "l", "r")
        assert "keep 12 × 40 in" in screen_text(pilot)
        await to(pilot, PieceRow)
        await press(pilot, "enter")
        assert inches(cut_path, "Fern") == 12


async def test_an_offcut_that_went_some_other_way_is_not_called_binned(cut_path: Path) -> None:
    async with running(cut_path) as pilot:
        await press(pilot, "x", "enter")
        assert "kept 12 × 40 in" in screen_text(pilot)
        with Store.open(cut_path) as store:
            store.used(store.fabric("Fern").id, None)
        await look_again(pilot)
        assert "gone 12 × 40 in" in screen_text(pilot)


async def test_an_offcut_that_another_star_s_plan_holds_is_kept(cut_path: Path) -> None:
    """6 1/4 in less an inch and two strips of 2 1/2 leave 1/4 in; of a piece of strips, straight, 1 1/4 in are left."""
    mill = Star(2, Fraction(5, 4), "AAA")
    with Store.open(cut_path) as store:
        store.add(NewFabric("Sedge", (NewPiece(Kind.STRIPS, inch(6.25), inch(40)),), Colour(40, 0, 0)))
        colouring = Colouring({"A": ("Sedge",), "B": ("Fern",)})
        store.replace_colouring(1, 1, colouring)
        store.keep_plan(1, 1, check(POND, colouring, store.fabrics()).cuts)
        other = store.save_star("Mill", replace(mill, order="ABB"), colouring)
        held = hold_back(store.fabrics(), store.open_plans(), other.id, {1: "Pond"})
        store.keep_plan(other.id, 1, check(other.star, colouring, held).cuts)
    async with running(cut_path) as pilot:
        await press(pilot, "x")
        await to(pilot, PieceRow)
        while not (isinstance(now := row(pilot), PieceRow) and now.steps.cut.fabric == "Sedge"):
            await press(pilot, "down")
        assert "keep 1 1/4" in detail(pilot)
        await press(pilot, "o")
        assert "The plan of Mill is to be cut from this offcut" in toasts(pilot)[-1]
        await press(pilot, "enter", "o")
        assert inches(cut_path, "Sedge") == pytest.approx(1.25, abs=0.01)
