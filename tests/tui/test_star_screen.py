"""Rows of a star on the Star screen by keyboard and by mouse, on a stash in which one row is short."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from stash.inventory.store import Store
from stash.model import Mark, Star
from tests.tui.driving import SIZES, press, running, screen_text, settled, toasts, wait_for
from tests.tui.star_screen import CLOTH, USES, marks, saved, star_screen, table
from tui.screens.star import StarScreen
from tui.widgets.chart import Chart
from tui.widgets.rows import RowsTable
from tui.widgets.star_picture import StarPicture


@pytest.mark.parametrize("size", SIZES)
async def test_the_short_row_is_said_in_words_with_what_to_buy(star_path: Path, size: tuple[int, int]) -> None:
    async with running(star_path, size) as pilot:
        assert marks(pilot) == dict.fromkeys("ABDE", Mark.COVERED) | {"C": Mark.SHORT}
        assert "C is short, 1 strip missing" in screen_text(pilot)
        await press(pilot, "C")
        text = screen_text(pilot)
        assert "✗ short 1" in text
        # 1 strip of 2 1/2 in and 1 in of straightening are 3 1/2 in: 1/8 yd; two strips are 6 in: 1/4 yd.
        assert "buy 1/8 yd" in " ".join(text.split())
        assert "2 of 3" in text
        assert "[C]" in text


@pytest.mark.parametrize("size", SIZES)
async def test_fabrics_are_tried_live_restored_kept_and_undone(star_path: Path, size: tuple[int, int]) -> None:
    async with running(star_path, size) as pilot:
        before = screen_text(pilot)
        painted = star_screen(pilot).query_one("#picture", StarPicture)._cells()
        await press(pilot, "C", "down")
        tried = table(pilot).shown.uses["C"][0]
        assert tried != "Rust"
        assert tried not in {name for names in USES.values() for name in names}
        assert star_screen(pilot).query_one("#picture", StarPicture)._cells() != painted
        assert marks(pilot)["C"] is Mark.COVERED
        assert "✓ covered" in screen_text(pilot)
        assert saved(star_path) == USES  # trying saves nothing
        await press(pilot, "escape")
        assert table(pilot).shown.uses == USES
        assert marks(pilot)["C"] is Mark.SHORT
        await press(pilot, "escape")
        assert screen_text(pilot) == before
        await press(pilot, "C", "down", "enter")
        assert saved(star_path) == USES | {"C": (tried,)}
        await press(pilot, "u")
        assert saved(star_path) == USES
        assert table(pilot).colouring.uses == USES
        assert marks(pilot)["C"] is Mark.SHORT


async def test_candidates_come_nearest_to_the_target_first_and_the_ring_ends_where_it_began(star_path: Path) -> None:
    async with running(star_path) as pilot:
        target = table(pilot).target_of("C")
        await press(pilot, "C", "down")
        trial = table(pilot).trial
        assert trial is not None
        values = {name: L for name, _, L, _, _ in CLOTH}
        distances = [abs(values[name] - target) for name in trial.ring[1:]]
        assert distances == sorted(distances)
        assert len(trial.ring) == 1 + len(CLOTH) - len(USES)
        await press(pilot, *["down"] * (len(trial.ring) - 1))
        assert table(pilot).shown.uses == USES
        await press(pilot, "up")
        assert table(pilot).shown.uses["C"] == (trial.ring[-1],)


async def test_quick_presses_are_counted_and_a_stale_answer_never_paints(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await pilot.press("C", "down", "down", "down", "down", "up")
        await settled(pilot)
        trial = table(pilot).trial
        assert trial is not None
        assert trial.at == 3
        verdict = table(pilot).judged
        assert verdict is not None
        assert verdict.coverage is not None
        assert {one.letter: one.fabrics for one in verdict.coverage.letters} == table(pilot).shown.uses


async def test_arrows_go_from_row_to_row_starting_at_the_short_one(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await press(pilot, "right")
        assert table(pilot).picked == "C"
        await press(pilot, "right", "right", "right")
        assert table(pilot).picked == "A"
        await press(pilot, "left")
        assert table(pilot).picked == "E"


async def test_a_letter_the_star_has_not_and_a_small_letter_are_answered_in_words(star_path: Path) -> None:
    async with running(star_path) as pilot:
        capitals = "Rows are picked by capital letters: Shift+A"
        for letter, said in (("Q", "This star has the rows A to E"), ("a", capitals)):
            await press(pilot, letter)
            assert table(pilot).picked is None
            assert toasts(pilot) == [said]  # each takes the place of the one before


@pytest.mark.parametrize("size", SIZES)
async def test_the_mouse_picks_rows_and_the_wheel_tries_fabrics(star_path: Path, size: tuple[int, int]) -> None:
    async with running(star_path, size) as pilot:
        await pilot.click(RowsTable, offset=(8, 3))
        assert table(pilot).picked == "C"
        rows = star_screen(pilot).query_one(RowsTable)
        await pilot._post_mouse_events([_wheel()], widget=rows, offset=(8, 3))
        await settled(pilot)
        assert table(pilot).trying
        picture = star_screen(pilot).query_one("#picture", StarPicture)
        middle = (picture.size.width // 2, picture.size.height // 2)
        assert picture.letter_at(*middle) == "A"
        await pilot.click("#picture", offset=middle)
        await settled(pilot)
        assert table(pilot).picked == "A"
        assert not table(pilot).trying


def _wheel() -> type:
    from textual.events import MouseScrollDown

    return MouseScrollDown


@pytest.mark.parametrize("size", SIZES)
async def test_a_click_in_the_chart_picks_a_row(star_path: Path, size: tuple[int, int]) -> None:
    async with running(star_path, size) as pilot:
        if size[0] < 100:
            await press(pilot, "c")
        chart = next(one for one in star_screen(pilot).query(Chart) if one.is_on_screen)
        spots = [(x, y) for y in range(chart.size.height) for x in range(chart.size.width)]
        place = next(spot for spot in spots if chart.letter_at(*spot) == "D")
        await pilot.click(chart, offset=place)
        assert table(pilot).picked == "D"


async def test_the_grey_view_paints_the_picture_in_greys_only(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await press(pilot, "v")
        cells = star_screen(pilot).query_one("#picture", StarPicture)._cells()
        colours = {colour for line in cells for cell in line for colour in cell}
        assert all(colour[1:3] == colour[3:5] == colour[5:7] for colour in colours)
        # Published: L* 18 and 94 are the greys 44 and 238 (CIE L* through sRGB, within a code; derived)
        codes = sorted(int(colour[1:3], 16) for colour in colours)
        assert codes[0] == pytest.approx(44, abs=1)
        assert codes[-1] == pytest.approx(238, abs=1)
        assert "the whole star, as grey values" in screen_text(pilot)


async def test_a_cut_that_is_not_covered_is_refused_with_the_short_row(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await press(pilot, "x")
        assert isinstance(pilot.app.screen, StarScreen)
        assert any("C Rust" in toast and "1 strip missing" in toast for toast in toasts(pilot))
        await press(pilot, "C", "down", "x")
        assert any("being tried" in toast for toast in toasts(pilot))


async def test_a_fabric_is_chosen_from_the_list(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await press(pilot, "C", "enter", *"slate", "enter")
        assert table(pilot).colouring.uses["C"] == ("Slate",)
        assert marks(pilot)["C"] is Mark.COVERED


async def test_with_no_star_the_screen_says_how_to_lay_one_out(empty_path: Path) -> None:
    async with running(empty_path) as pilot:
        await press(pilot, "s")
        assert "No star is on the table" in screen_text(pilot)
        await press(pilot, "C", "down", "enter", "x", "n", "t", "plus")  # nothing to do it on, nothing breaks
        assert star_screen(pilot).table is None


async def test_an_archived_fabric_on_the_star_is_named_and_never_counts_as_cloth(star_path: Path) -> None:
    with Store.open(star_path) as store:
        store.archive(store.fabric("Wheat").id)
    async with running(star_path) as pilot:
        assert "Wheat (B) in the archive" in screen_text(pilot)
        assert table(pilot).look().by_letter["B"].chips[0] is not None  # it is still drawn
        await press(pilot, "x")
        assert isinstance(pilot.app.screen, StarScreen)
        await press(pilot, "B", "down")
        trial = table(pilot).trial
        assert trial is not None
        assert "Wheat" not in trial.ring[1:]


async def test_a_stash_that_cannot_be_written_can_be_tried_on_and_nothing_is_kept(
    star_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Store, "read_only", property(lambda self: True))
    async with running(star_path) as pilot:
        await press(pilot, "C", "down")
        tried = table(pilot).shown.uses
        assert tried != USES
        await press(pilot, "enter", "n", "t", "plus", "k", "x")
        assert table(pilot).shown.uses == tried
        assert saved(star_path) == USES


async def test_the_largest_star_stays_readable_at_80_columns(star_path: Path) -> None:
    with Store.open(star_path) as store:
        store.save_star("Ocean", Star(13, Fraction(5, 2), "ABCDEFGHIJKLMNOPQRSTUVWXY"))
    async with running(star_path) as pilot:
        await press(pilot, "o", "home", "down", "enter")  # the newest stands under "a new star"
        assert table(pilot).name == "Ocean"
        text = screen_text(pilot)
        assert "one point" in text
        await press(pilot, "Y")
        assert "[Y]" in screen_text(pilot)  # the table follows the row in hand
        await press(pilot, "c")
        chart = star_screen(pilot).query_one("#left-chart", Chart)
        letters = {chart.letter_at(x, y) for y in range(chart.size.height) for x in range(chart.size.width)}
        assert set("ABCDEFGHIJKLMNOPQRSTUVWXY") <= letters


async def test_names_are_shown_as_they_are_and_never_as_markup(star_path: Path) -> None:
    with Store.open(star_path) as store:
        chalk = store.fabric("Chalk")
        store.edit(chalk.id, name="[red]Chalk[/close]")
    async with running(star_path) as pilot:
        await press(pilot, "A", "l")
        assert "[red]Chalk[/" in screen_text(pilot)
        await wait_for(pilot, lambda: any("[red]Chalk[/close]" in toast for toast in toasts(pilot)), "the toast")
