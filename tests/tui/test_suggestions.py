"""The Suggestions screen: ribbons of runs, taken and kept, the wishes behind them, and the word on what they change."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

import stash.match.sequence
from stash.inventory.store import Store
from stash.model import Colouring, Mark
from tests.tui.driving import SIZES, held_searches, made, on_top, press, running, screen_text, settled, toasts, wait_for
from tests.tui.suggestions_screen import fill
from tui.screens.star import StarScreen
from tui.screens.suggestions import SuggestionsScreen
from tui.widgets.look import Chip
from tui.widgets.ribbon import Ribbon, RibbonChip, RibbonLook, changes_line, chip_width, mark_line

# name, L, a, b (invented); each has a yard, so that every run is covered
CLOTH = (
    ("Lime", 93, -2, 8), ("Bone", 90, 0, 6), ("Pear", 76, -12, 50), ("Reed", 72, -8, 30), ("Teal", 58, -26, -8),
    ("Clay", 55, 28, 30), ("Moss", 44, -16, 24), ("Rust", 40, 34, 30), ("Ink", 20, 4, -24), ("Soot", 16, 0, 0),
)  # fmt: skip
USES = {"A": ("Bone",), "B": ("Reed",), "C": ("Soot",)}


@pytest.fixture
def run_path(tmp_path: Path) -> Path:
    """A stash of ten fabrics and a mirrored 3 x 3 star of three of them."""
    return made(tmp_path / "run.db", lambda store: fill(store, CLOTH, USES))


def suggestions(pilot: Pilot[None]) -> SuggestionsScreen:
    return on_top(pilot, SuggestionsScreen)


async def ribbons_shown(pilot: Pilot[None]) -> list[Ribbon]:
    """Go to the suggestions and wait until a ribbon has the focus."""
    await press(pilot, "g")
    await wait_for(pilot, lambda: suggestions(pilot).ribbon is not None, "a ribbon in focus")
    return list(suggestions(pilot).query(Ribbon))


def saved(path: Path) -> list[dict[str, tuple[str, ...]]]:
    with Store.open(path) as store:
        return [dict(one.colouring.uses) for one in store.star("Sluice").colourings]


@pytest.mark.parametrize("size", SIZES)
async def test_runs_are_listed_as_ribbons_with_steps_marks_and_one_line_of_difference(
    run_path: Path, size: tuple[int, int]
) -> None:
    async with running(run_path, size) as pilot:
        await press(pilot, "g")
        screen = suggestions(pilot)
        with Store.open(run_path) as store:
            star = store.star("Sluice").star
            expected = stash.match.sequence.suggest(star, store.fabrics())
        ribbons = list(screen.query(Ribbon))
        assert len(ribbons) == len(expected.sequences) > 1
        for ribbon, sequence in zip(ribbons, expected.sequences, strict=True):
            assert [chip.name for chip in ribbon.look.chips] == [fabric.name for fabric in sequence.fabrics]
            assert [chip.mark for chip in ribbon.look.chips] == list(sequence.marks)
        text = screen_text(pilot)
        assert f"1 of {len(ribbons)}, steps" in text
        assert "✓ covered" in text
        assert "changes " in text
        assert "best" not in text
        assert f"{expected.sequences[0].cost:.2f}" not in text


@pytest.mark.parametrize("size", SIZES)
async def test_a_ribbon_is_taken_by_key_and_saved(run_path: Path, size: tuple[int, int]) -> None:
    async with running(run_path, size) as pilot:
        await ribbons_shown(pilot)
        await press(pilot, "down")
        ribbon = suggestions(pilot).ribbon
        assert ribbon is not None
        assert ribbon.index == 1
        chosen = {chip.letter: (chip.name,) for chip in ribbon.look.chips}
        await press(pilot, "enter")
        assert isinstance(pilot.app.screen, StarScreen)
        assert saved(run_path) == [chosen]
        assert any("2 of" in toast and "u takes it back" in toast for toast in toasts(pilot))
        await press(pilot, "g")
        here = [ribbon for ribbon in suggestions(pilot).query(Ribbon) if ribbon.look.here]
        assert [ribbon.index for ribbon in here] == [1]
        await press(pilot, "u")
        assert saved(run_path) == [USES]
        assert not any(ribbon.look.here for ribbon in suggestions(pilot).query(Ribbon))


async def test_a_click_takes_focus_and_a_double_click_takes_the_ribbon(run_path: Path) -> None:
    async with running(run_path, (120, 40)) as pilot:
        second = (await ribbons_shown(pilot))[1]
        await pilot.click(second, offset=(6, 2))
        assert suggestions(pilot).ribbon is second
        await pilot.double_click(second, offset=(6, 2))
        await settled(pilot)
        assert saved(run_path) == [{chip.letter: (chip.name,) for chip in second.look.chips}]


async def test_several_colourings_are_kept_and_a_second_time_adds_nothing(run_path: Path) -> None:
    async with running(run_path) as pilot:
        await ribbons_shown(pilot)
        await press(pilot, "down", "k")
        assert len(saved(run_path)) == 2
        await press(pilot, "k")
        assert len(saved(run_path)) == 2
        assert any("already" in said for said in toasts(pilot))


async def test_the_wishes_are_typed_and_lead_to_another_list(run_path: Path) -> None:
    async with running(run_path) as pilot:
        await press(pilot, "g", "e")
        await press(pilot, "end", "ctrl+u", "2", "tab", "end", "ctrl+u", *"dark")
        await press(pilot, "tab", "tab", *"moss", "tab", *"lime; teal", "enter")
        ribbons = list(suggestions(pilot).query(Ribbon))
        assert len(ribbons) == 2
        for ribbon in ribbons:
            names = [chip.name for chip in ribbon.look.chips]
            values = [chip.value or 0 for chip in ribbon.look.chips]
            assert "Moss" in names
            assert not {"Lime", "Teal"} & set(names)
            assert values == sorted(values)
        assert "with Moss, without Lime, without Teal" in screen_text(pilot)


async def test_a_wish_nobody_can_meet_says_why(run_path: Path) -> None:
    async with running(run_path) as pilot:
        await press(pilot, "g", "e", "tab", "tab", *"purple", "enter")
        text = " ".join(screen_text(pilot).split())
        assert "No run of fabrics" in text
        assert "change the wishes" in text
        assert not suggestions(pilot).query_one("#ribbons").display


async def test_an_unknown_fabric_in_the_wishes_gets_the_nearest_name(run_path: Path) -> None:
    async with running(run_path) as pilot:
        await press(pilot, "g", "e", "tab", "tab", "tab", *"Mos", "enter")
        said = pilot.app.screen.query_one(".under.fault", Static)
        assert 'did you mean "Moss"?' in str(said.render())
        assert said.region.height <= 4


async def test_rows_near_the_ground_are_said_and_signed(run_path: Path) -> None:
    with Store.open(run_path) as store:
        star = store.star("Sluice")
        store.replace_colouring(star.id, 1, Colouring(USES, "Teal"))  # a medium ground near the middle of all runs
    async with running(run_path) as pilot:
        await press(pilot, "g")
        text = screen_text(pilot)
        assert "near the ground" in text
        assert "≋" in text
        assert "medium ground" in " ".join(text.split())


async def test_a_long_search_says_so_and_is_cancelled(run_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    release = held_searches(monkeypatch)
    async with running(run_path) as pilot:
        await pilot.press("g")
        await wait_for(pilot, lambda: "Esc cancels" in screen_text(pilot), "the word that it takes long")
        await pilot.press("escape")
        assert "The search was stopped" in screen_text(pilot)
        release.set()
        await settled(pilot)
        assert "The search was stopped" in screen_text(pilot)  # the late answer does not paint
        await press(pilot, "s", "g")
        assert list(suggestions(pilot).query(Ribbon))


async def test_with_no_star_the_screen_says_where_to_open_one(empty_path: Path) -> None:
    async with running(empty_path) as pilot:
        await press(pilot, "g")
        assert "No star is on the table" in screen_text(pilot)
        await press(pilot, "enter", "k", "e", "down")  # nothing breaks


# -- ribbons


def test_chips_share_the_width() -> None:
    assert chip_width(76, 7) == 10
    assert chip_width(76, 25) == 3
    assert chip_width(200, 3) == 24
    assert chip_width(10, 25) == 2


@pytest.mark.parametrize(
    ("mark", "near", "cells", "text"),
    [
        (Mark.COVERED, False, 10, "✓ covered"),
        (Mark.COVERED, False, 9, "✓"),
        (Mark.UNMEASURED, False, 10, "? unmeas."),
        (Mark.TIGHT, True, 10, "≈ tight≋"),
        (Mark.TIGHT, True, 3, "≈≋"),
    ],
)
def test_a_ribbons_mark_is_a_sign_and_a_word_where_it_fits(mark: Mark, near: bool, cells: int, text: str) -> None:
    chip = RibbonChip("A", "Bone", Chip("#ffffff", "#ffffff"), 90.0, mark, near)
    assert mark_line(chip, cells) == text


def test_the_difference_is_one_line_that_fits() -> None:
    changes = ("A Bone for Lime", "C Moss for Rust")
    chips = tuple(RibbonChip(letter, "", None, None, None) for letter in "ABC")
    look = RibbonLook("1 of 5", chips, changes)
    assert changes_line(look, 60) == "changes A Bone for Lime, C Moss for Rust"
    assert changes_line(look, 30) == "changes 2 of 3 rows: A, C"
    assert changes_line(look, 24) == "changes 2 of 3 rows"
    assert changes_line(replace(look, changes=(), here=True), 60) == "what is on the star"
