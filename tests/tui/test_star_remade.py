"""A star made another on the Star screen: its run, repeat, grid, strip, ground, settings; a new one; kept beside it."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from stash.inventory.store import Store
from stash.model import Mark
from tests.tui.driving import held_searches, press, running, screen_text, settled, toasts, wait_for
from tests.tui.star_screen import USES, marks, saved, table


async def test_a_locked_row_stays_and_a_banned_fabric_goes_in_the_next_suggestion(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await press(pilot, "D", "l", "C", "down")
        tried = table(pilot).shown.uses["C"][0]
        await press(pilot, "b", "escape", "n")
        uses = table(pilot).colouring.uses
        assert uses["D"] == ("Plum",)
        assert (tried,) not in uses.values()
        assert table(pilot).look().by_letter["D"].locked
        assert any("Suggestion 1 of" in toast for toast in toasts(pilot))
        assert saved(star_path) == uses
        assert not any("best" in toast for toast in toasts(pilot))


async def test_turning_the_run_puts_the_dark_end_in_the_middle(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await press(pilot, "t")
        look = table(pilot).look()
        values = [row.value or 0 for row in look.rows]
        assert values == sorted(values)
        assert "dark to light" in screen_text(pilot)
        assert table(pilot).look().rows[0].target == min(row.target or 100 for row in look.rows)
        await press(pilot, "u")
        assert saved(star_path) == USES


async def test_another_repeat_changes_star_and_colouring_and_one_undo_takes_both_back(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await press(pilot, "r")
        assert table(pilot).star.order == "ABCBA"
        assert sorted(table(pilot).colouring.uses) == ["A", "B", "C"]
        assert "mirrored" in screen_text(pilot)
        await press(pilot, "u")
        assert table(pilot).star.order == "ABCDE"
        assert table(pilot).colouring.uses == USES


async def test_a_grid_with_no_run_says_why_and_fabrics_stay(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await press(pilot, "plus")
        assert table(pilot).star.order == "ABCDEFG"
        assert set(table(pilot).colouring.uses) == set("ABCDEFG")  # a fresh run was found for seven rows
        four = table(pilot).colouring.uses
        await press(pilot, "plus")
        assert table(pilot).star.grid == 5
        assert any(toast.startswith("No run of fabrics") for toast in toasts(pilot)), toasts(pilot)
        assert table(pilot).colouring.uses == four  # H and I are left for the maker
        assert "Rows without a fabric: H, I" in screen_text(pilot)


async def test_the_grid_ends_at_two(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await press(pilot, "minus", "minus")
        assert table(pilot).star.grid == 2
        assert any("grid of 1" in toast for toast in toasts(pilot))


async def test_another_strip_width_says_segments_spare_and_both_sizes_once(star_path: Path) -> None:
    """At 2 3/4 in and 40 in wide: 9 segments (published table), L(8) 33.86, so 6.14 to spare; the square is
    3 f sqrt2 (2 + sqrt2) with f = 2 1/4, 32.59; tip to tip 4 S cos 22.5 = 35.28 (derived)."""
    async with running(star_path) as pilot:
        await press(pilot, "greater_than_sign")
        said = [toast for toast in toasts(pilot) if "segments" in toast]
        assert len(said) == 1
        assert "2 3/4 in strips: 9 segments from 40 in, 6.14 in to spare" in said[0]
        assert "32 5/8 in square, 35 1/4 in tip to tip" in said[0]
        assert table(pilot).star.strip == Fraction(11, 4)


async def test_a_wider_strip_that_is_still_covered_keeps_the_colouring(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await press(pilot, "C", "down", "enter")
        kept = table(pilot).colouring
        await press(pilot, "less_than_sign")
        assert table(pilot).star.strip == Fraction(9, 4)
        assert table(pilot).colouring == kept


async def test_colourings_are_kept_side_by_side(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await press(pilot, "C", "down")
        tried = table(pilot).shown
        await press(pilot, "k")
        assert table(pilot).number == 2
        assert table(pilot).colouring == tried
        assert "2 of 2 colourings" in screen_text(pilot)
        await press(pilot, "left_square_bracket")
        assert table(pilot).colouring.uses == USES
        await press(pilot, "right_square_bracket")
        assert table(pilot).colouring == tried


async def test_a_star_is_saved_under_another_name(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await press(pilot, "w", "end", *" two", "enter")
        assert table(pilot).name == "Weir two"
        with Store.open(star_path) as store:
            assert [star.name for star in store.stars()] == ["Weir", "Weir two"]


async def test_the_ground_is_chosen_from_the_stash(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await press(pilot, "d", *"slate", "enter")
        assert table(pilot).colouring.ground == "Slate"
        assert "Ground Slate" in screen_text(pilot)
        assert "near it in value" in " ".join(screen_text(pilot).split())  # the middle row and Slate are close
        await press(pilot, "d", "ctrl+n")
        assert table(pilot).colouring.ground is None


async def test_a_new_star_is_laid_out_and_filled_by_the_next_suggestion(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await press(pilot, "o", "n", *"Sluice", "tab", "backspace", "2", "tab", "tab", "end", "ctrl+u", *"mirror")
        await press(pilot, "enter")
        assert table(pilot).name == "Sluice"
        assert table(pilot).star.order == "ABA"
        assert "Rows without a fabric: A, B" in screen_text(pilot)
        await press(pilot, "n")
        assert sorted(table(pilot).colouring.uses) == ["A", "B"]


async def test_settings_refuse_letters_of_the_wrong_number_in_one_line(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await press(pilot, "e", "tab", "tab", "end", "ctrl+u", *"abc", "enter")
        text = " ".join(screen_text(pilot).split())
        assert "A 3 x 3 star has 5 rows, and 3 letters given" in text


async def test_a_search_that_takes_long_is_stopped_and_changes_nothing(
    star_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    release = held_searches(monkeypatch)
    async with running(star_path) as pilot:
        for key in ("n", "plus"):
            await pilot.press(key)
            await wait_for(pilot, lambda: "Esc stops" in screen_text(pilot), "the word that a search is on")
            await pilot.press("C", "down")  # the rows answer meanwhile
            await wait_for(pilot, lambda: marks(pilot)["C"] is Mark.COVERED, "the mark of the fabric tried")
            await pilot.press("escape")
            await wait_for(pilot, lambda: "Esc stops" not in screen_text(pilot), "the search to be let go")
            await pilot.press("escape", "escape")
        release.set()
        await settled(pilot)
        assert saved(star_path) == USES
        assert table(pilot).star.grid == 3
        assert table(pilot).shown.uses == USES
