"""A plan on the Cutting screen with a piece that was changed since: it is said at the top, and before the next tick."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Static

from stash.inventory.store import Store
from stash.typed import read_pieces
from tests.tui.cutting_screen import detail, plan, screen, to
from tests.tui.driving import SIZES, look_again, press, running, screen_text, toasts
from tui.screens.cutting_rows import PieceRow, StripRow


def booked(cut_path: Path) -> int:
    return sum(strip.booked is not None for strip in plan(cut_path).strips)


@pytest.mark.parametrize("size", SIZES)
async def test_the_head_names_the_fabric_and_the_key(cut_path: Path, size: tuple[int, int]) -> None:
    async with running(cut_path, size) as pilot:
        await press(pilot, "x")
        head = screen(pilot).query_one("#head", Static)
        assert head.size.height == 2
        with Store.open(cut_path) as store:
            store.used(store.fabric("Rust").id, None)
        await look_again(pilot)
        assert "✗ Changed since it was planned, r plans again: Rust" in str(head.render())
        assert head.size.height == 3
        await press(pilot, "u")
        assert "✗" not in str(head.render())


async def test_a_tick_on_another_fabric_warns_once_and_books_the_second_time(cut_path: Path) -> None:
    async with running(cut_path) as pilot:
        await press(pilot, "x")
        with Store.open(cut_path) as store:
            store.used(store.fabric("Rust").id, None)
        await look_again(pilot)
        await to(pilot, StripRow)
        assert "Fern" in detail(pilot)
        await press(pilot, "enter")
        assert booked(cut_path) == 0
        assert "Rust. Nothing is booked yet" in toasts(pilot)[-1]
        await press(pilot, "enter", "down", "enter")
        assert booked(cut_path) == 2
        await to(pilot, PieceRow, 1)
        await press(pilot, "enter")
        assert booked(cut_path) == 2, "the changed piece itself is refused"


async def test_a_ground_that_is_short_is_said_before_the_first_cut(cut_path: Path) -> None:
    """Of Cloud 2 in are there where its setting pieces take more than 20 on cloth of 40 (`test_keep_uncut.py`)."""
    with Store.open(cut_path) as store:
        store.count(store.fabric("Cloud").id, read_pieces("2 in"))
    async with running(cut_path) as pilot:
        await press(pilot, "x")
        text = " ".join(screen_text(pilot).split())
        assert "Cloud is short for the setting pieces: they take" in text
        assert "2 in are there; buy" in text
        assert "Keep it uncut" in text


async def test_cloth_to_keep_for_the_ground_is_said_though_a_row_s_fabric_is_archived(cut_path: Path) -> None:
    async with running(cut_path, SIZES[1]) as pilot:
        await press(pilot, "x")
        assert "of Cloud uncut for the setting pieces" in " ".join(screen_text(pilot).split())
        with Store.open(cut_path) as store:
            store.archive(store.fabric("Rust").id)
        await look_again(pilot)
        assert "of Cloud uncut for the setting pieces" in " ".join(screen_text(pilot).split())
