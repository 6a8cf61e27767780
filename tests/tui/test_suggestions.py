"""The Suggestions screen, the wishes behind it, and the pure parts: changes of a star and the words said of it."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from textual.pilot import Pilot

import stash.match.sequence
from stash.errors import Fault, UsageFault
from stash.inventory.store import Store
from stash.model import Colour, Colouring, Fabric, Mark, NewFabric, Star
from stash.model import Sequence as Run
from stash.star import repeats
from stash.typed import read_pieces
from tests.tui.driving import SIZES, held_searches, on_top, press, running, screen_text, settled, toasts, wait_for
from tui.dialogs import wishes as typed
from tui.dialogs.star_settings import NEW_STAR, read_grid, star_fields, star_of
from tui.screens import star_change as change
from tui.screens import star_words as words
from tui.screens.star import StarScreen
from tui.screens.star_desk import StarWishes
from tui.screens.suggestions import SuggestionsScreen
from tui.widgets.look import Chip, RowLook
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
    path = tmp_path / "run.db"
    with Store.create(path) as store:
        for name, L, a, b in CLOTH:
            store.add(NewFabric(name, read_pieces("1 yd"), Colour(L, a, b)))
        store.save_star("Sluice", Star(3, Fraction(5, 2), "ABCBA"), Colouring(USES))
    return path


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
        assert "This colouring is kept already" in toasts(pilot)


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
        assert 'did you mean "Moss"?' in screen_text(pilot)


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


# -- changes of a star


def star(grid: int = 4, order: str = "ABCDEFG", **fields: object) -> Star:
    return replace(Star(grid, Fraction(5, 2), order), **fields)  # type: ignore[arg-type]


def test_the_repeats_follow_each_other() -> None:
    orders = ["ABCDEFG"]
    for _ in range(3):
        orders.append(repeats.next_repeat(star(order=orders[-1])).order)
    assert orders == ["ABCDEFG", "ABCDCBA", "ABCDABC", "ABCDEFG"]
    assert repeats.next_repeat(star(order="AABBCCD")).order == "ABCDEFG"


def test_the_grid_keeps_the_repeat() -> None:
    assert repeats.other_grid(star(order="ABCDCBA"), 1).order == "ABCDEDCBA"
    assert repeats.other_grid(star(), -1).order == "ABCDE"
    with pytest.raises(UsageFault, match="14"):
        repeats.other_grid(star(13, "ABCDEFGHIJKLMNOPQRSTUVWXY"), 1)


@pytest.mark.parametrize(
    ("strip", "step", "after"), [("5/2", 1, "11/4"), ("5/2", -1, "9/4"), ("27/10", 1, "11/4"), ("27/10", -1, "5/2")]
)
def test_the_strip_goes_to_whole_quarters(strip: str, step: int, after: str) -> None:
    assert repeats.other_strip(star(strip=Fraction(strip)), step).strip == Fraction(after)


def test_the_strip_ends_at_one_inch() -> None:
    with pytest.raises(UsageFault):
        repeats.other_strip(star(strip=Fraction(1)), -1)


def test_rows_keep_their_fabric_through_another_repeat_and_letters_through_another_grid() -> None:
    mirrored = star(3, "ABCBA")
    uses = {"A": ("Bone",), "B": ("Reed",), "C": ("Soot",)}
    assert change.carried(mirrored, star(3, "ABCDE"), uses) == uses | {"D": ("Reed",), "E": ("Bone",)}
    assert change.carried(mirrored, star(4, "ABCDCBA"), uses) == uses
    assert change.carried(star(4, "ABCDCBA"), star(2, "ABA"), uses) == {"A": ("Bone",), "B": ("Reed",)}


def test_a_suggestion_leaves_locked_look_alikes_and_the_ground() -> None:
    fabrics = tuple(Fabric(number, name) for number, name in enumerate(("Lime", "Pear", "Ink")))
    run = Run(1.0, fabrics, (90, 60, 20), (Mark.COVERED,) * 3)
    now = Colouring({"A": ("Bone",), "B": ("Reed", "Pear"), "C": ("Soot",)}, "Teal")
    found = change.of_sequence(star(2, "ABC"), run, now, frozenset("B"))
    assert found == Colouring({"A": ("Lime",), "B": ("Reed", "Pear"), "C": ("Ink",)}, "Teal")
    assert change.differences(star(2, "ABC"), now, found) == ["A Lime for Bone", "C Ink for Soot"]


def test_wishes_fix_locked_rows_and_never_ban_their_fabric() -> None:
    wishes = StarWishes().with_lock("B", True).with_ban("Reed", True).with_ban("Clay", True)
    asked = wishes.asked(star(2, "ABC"), Colouring({"B": ("Reed",)}, "Teal"))
    assert dict(asked.fixed) == {"B": "Reed"}
    assert asked.without == ("Clay",)
    assert asked.ground == "Teal"
    assert wishes.with_ban("Clay", False).with_lock("B", False).locked == frozenset()


# -- words


def test_a_strip_width_that_misses_eight_says_what_a_run_takes() -> None:
    """3 1/4 at 40 gives seven and eight need 40.02 in (published table); 3 at 40 gives eight, 36.94."""
    text = words.width_text(star(strip=Fraction(13, 4)))
    assert "7 segments from 40 in, a run of eight takes 40.02 in" in text
    assert "8 segments from 40 in, 3.06 in to spare" in words.width_text(star(strip=Fraction(3)))


def test_both_finished_sizes_are_said() -> None:
    """3 x 3 of 2 1/2 in strips finishes 28.97 [source: agfblog.com, April 2019, printed 29]; tip to tip is
    4 S cos 22.5 = 31.35 (derived)."""
    assert words.size_text(star(3, "ABCDE")) == "29 in square, 31 3/8 in tip to tip"


def row(**fields: object) -> RowLook:
    return replace(RowLook("D", (4,), ("Moss",), needed=4, on_hand=3), **fields)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("look", "text"),
    [
        (row(mark=Mark.COVERED), "✓ covered"),
        (row(mark=Mark.COVERED, about=True), "✓ about covered"),
        (row(mark=Mark.TIGHT, spare=0.0625), "≈ tight: 0.06 in to spare"),
        (row(mark=Mark.TIGHT), "≈ tight: no further strip to spare"),
        (
            row(mark=Mark.SHORT, missing=1, buy=Fraction(9, 2), buy_with_spare=Fraction(9)),
            "✗ short: 1 strip missing, buy 1/8 yd (1/4 yd with a spare)",
        ),
        (
            row(mark=Mark.UNMEASURED),
            "? unmeasured: no piece is recorded. The row takes 4 strips, 10 in by 40 in",
        ),
    ],
)
def test_a_mark_in_full_says_what_it_means(look: RowLook, text: str) -> None:
    assert words.mark_sentence(star(), look) == text


def test_a_star_in_centimetres_buys_in_centimetres() -> None:
    look = row(mark=Mark.SHORT, missing=2, buy=Fraction(2000, 254), buy_with_spare=Fraction(3000, 254))
    text = words.mark_sentence(star(units="cm"), look)
    assert "buy 20 cm (30 cm with a spare)" in text


@pytest.mark.parametrize(
    ("values", "text"), [([90, 80, 66], "steps 10 to 14"), ([90, 80, 70], "steps of 10"), ([50], "one fabric")]
)
def test_steps_are_said_as_a_range(values: list[float], text: str) -> None:
    assert words.steps_text(values) == text


# -- typed wishes and settings


def test_the_settings_of_a_star_come_back_as_they_were_typed() -> None:
    for one in (NEW_STAR, star(3, "AABCA", stagger=Fraction(2)), star(units="cm", strip=Fraction(5, 2))):
        values = {field.id: field.value for field in star_fields(one)}
        assert star_of(values, False, one) == one


@pytest.mark.parametrize("text", ["", "0", "14", "4 x 5", "four", "4x4x4", "-4", "١٢"])
def test_a_grid_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(Fault):
        star_of({field.id: field.value for field in star_fields(NEW_STAR)} | {"grid": text}, False, NEW_STAR)


def test_a_grid_may_be_typed_as_a_square() -> None:
    assert read_grid("4 × 4") == read_grid(" 4x4") == read_grid("4") == 4


@pytest.mark.parametrize("text", ["101", "1e1", "nan", "-5", "half", "5" * 5000])
def test_a_value_that_is_none_is_refused_in_one_short_line(text: str) -> None:
    with pytest.raises(UsageFault) as refused:
        typed.number(text)
    assert len(refused.value.line()) < 200


def test_names_in_wishes_are_found_in_any_case_and_may_hold_commas() -> None:
    names = typed.Names([Fabric(1, "Moss"), Fabric(2, "Milk, skimmed"), Fabric(3, "Ink")])
    assert names.several("moss, INK") == ("Moss", "Ink")
    assert names.several("milk, skimmed") == ("Milk, skimmed",)
    assert names.several("") == ()
