"""The Star screen by keyboard and by mouse, on a stash in which one row is short."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from textual.pilot import Pilot

from stash.inventory.store import Store
from stash.model import Colour, Colouring, Mark, NewFabric, Star
from stash.typed import read_pieces
from tests.tui.driving import SIZES, held_searches, press, running, screen_text, settled, toasts, wait_for
from tui.screens.star import StarScreen
from tui.screens.star_table import Table
from tui.widgets.chart import Chart
from tui.widgets.rows import RowsTable
from tui.widgets.star_picture import StarPicture

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
USES = {"A": ("Chalk",), "B": ("Wheat",), "C": ("Rust",), "D": ("Plum",), "E": ("Coal",)}


@pytest.fixture
def star_path(tmp_path: Path) -> Path:
    """A stash with a 3 x 3 star whose middle row is short by one strip."""
    path = tmp_path / "star.db"
    with Store.create(path) as store:
        for name, pieces, L, a, b in CLOTH:
            store.add(NewFabric(name, read_pieces(pieces) if pieces else (), Colour(L, a, b)))
        store.save_star("Weir", Star(3, Fraction(5, 2), "ABCDE"), Colouring(USES, "Cloud"))
    return path


def star_screen(pilot: Pilot[None]) -> StarScreen:
    screen = pilot.app.screen
    assert isinstance(screen, StarScreen)
    return screen


def table(pilot: Pilot[None]) -> Table:
    found = star_screen(pilot).table
    assert found is not None
    return found


def marks(pilot: Pilot[None]) -> dict[str, Mark | None]:
    return {letter: row.mark for letter, row in table(pilot).look().by_letter.items()}


def saved(path: Path) -> dict[str, tuple[str, ...]]:
    with Store.open(path) as store:
        return dict(store.star("Weir").colourings[0].colouring.uses)


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


async def test_a_cut_that_is_not_covered_is_refused_with_the_short_row(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await press(pilot, "x")
        assert isinstance(pilot.app.screen, StarScreen)
        assert any("C Rust" in toast and "1 strip missing" in toast for toast in toasts(pilot))
        await press(pilot, "C", "down", "x")
        assert any("being tried" in toast for toast in toasts(pilot))


async def test_the_ground_is_chosen_from_the_stash(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await press(pilot, "d", *"slate", "enter")
        assert table(pilot).colouring.ground == "Slate"
        assert "Ground Slate" in screen_text(pilot)
        assert "near it in value" in " ".join(screen_text(pilot).split())  # the middle row and Slate are close
        await press(pilot, "d", "ctrl+n")
        assert table(pilot).colouring.ground is None


async def test_a_fabric_is_chosen_from_the_list(star_path: Path) -> None:
    async with running(star_path) as pilot:
        await press(pilot, "C", "enter", *"slate", "enter")
        assert table(pilot).colouring.uses["C"] == ("Slate",)
        assert marks(pilot)["C"] is Mark.COVERED


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
