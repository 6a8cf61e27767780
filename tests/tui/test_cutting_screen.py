"""The Cutting screen by keyboard and by mouse: every strip of a plan is shown, ticked and booked once."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from stash.inventory.store import Store
from stash.match.coverage import check
from stash.model import Colour, Colouring, NewFabric, Star
from stash.typed import read_pieces
from tests.tui.cutting_screen import POND, USES, detail, inches, listed, plan, row, screen, to
from tests.tui.driving import SIZES, press, running, screen_text, settled, toasts
from tui.screens.cutting_rows import HeadRow, NoteRow, PieceRow, SetRow, StripRow


@pytest.mark.parametrize("size", SIZES)
async def test_opening_it_keeps_the_plan_and_shows_every_strip(cut_path: Path, size: tuple[int, int]) -> None:
    async with running(cut_path, size) as pilot:
        await press(pilot, "x")
        text = screen_text(pilot)
        assert "Pond [/b]" in text
        assert "0 strips cut, 4 strips still to cut" in text
        assert "Before you cut" in text
        assert "Rust may bleed" in text
        assert "close the guard after every cut" in text
        assert "Fern is washed and the others are not" in " ".join(text.split())
        assert "uncut for the setting pieces" in " ".join(text.split())
        kinds = [type(one) for one in listed(pilot).rows if not isinstance(one, NoteRow | HeadRow)]
        assert kinds == [PieceRow, StripRow, StripRow] * 2 + [SetRow, SetRow]
        assert isinstance(row(pilot), PieceRow)
    assert len(plan(cut_path).strips) == 4
    with Store.open(cut_path) as store:
        assert store.history()[0].kind == "plan"


@pytest.mark.parametrize("size", SIZES)
async def test_a_strip_is_ticked_booked_once_and_undone_to_the_tick(cut_path: Path, size: tuple[int, int]) -> None:
    """18 in of Fern less 1 in of straightening and 2 1/2 in (common practice, no source)."""
    async with running(cut_path, size) as pilot:
        await press(pilot, "x", "down")
        assert "cut at 2 1/2 in from the straightened edge" in detail(pilot)
        await press(pilot, "enter")
        assert inches(cut_path, "Fern") == 14.5
        assert "1 strip cut, 3 strips still to cut" in screen_text(pilot)
        now = row(pilot)
        assert isinstance(now, StripRow)
        assert now.number == 1
        assert now.strip.booked is not None
        assert "Strip 1 of Fern is cut and booked" in detail(pilot)
        await press(pilot, "down")
        assert "cut at 2 1/2 in from the edge where the last strip came off" in detail(pilot)
        await press(pilot, "u")
        assert inches(cut_path, "Fern") == 18
        assert all(one.booked is None for one in plan(cut_path).strips)


async def test_pressed_twice_at_once_it_books_once(cut_path: Path) -> None:
    async with running(cut_path) as pilot:
        await press(pilot, "x", "down")
        screen(pilot).action_tick()
        screen(pilot).action_tick()
        await settled(pilot)
        assert sum(one.booked is not None for one in plan(cut_path).strips) == 1
        assert not any("Error" in toast or "already" in toast for toast in toasts(pilot))
        await press(pilot, "enter", "space")  # again, once it is booked
        assert "cut and booked already" in toasts(pilot)[-1]
    with Store.open(cut_path) as store:
        assert [one.kind for one in store.history()].count("cut") == 1


async def test_the_star_that_is_being_cut_is_on_the_table_at_the_start(cut_path: Path) -> None:
    with Store.open(cut_path) as store:
        store.save_star("Another", POND, USES)
        later = store.save_star("Later", POND, Colouring({"A": ("Cloud",), "B": ("Fern",)}))
        plan = store.keep_plan(later.id, 1, check(POND, later.colourings[0].colouring, store.fabrics()).cuts)
        store.book(plan.id, [plan.strips[0].id])
    async with running(cut_path) as pilot:
        assert "Later" in screen_text(pilot)
        await press(pilot, "o")
        assert "Later  1 of 4 strips cut" in screen_text(pilot)


async def test_killed_and_started_again_the_rest_is_still_to_do(cut_path: Path) -> None:
    async with running(cut_path) as pilot:
        await press(pilot, "x", "down", "enter")
    async with running(cut_path) as pilot:
        assert "covered, tight at B; 1 of 4 strips cut" in screen_text(pilot)
        await press(pilot, "x")
        assert "1 strip cut, 3 strips still to cut" in screen_text(pilot)
        await press(pilot, "a")
        assert "4 strips cut, all cut" in screen_text(pilot)
    with Store.open(cut_path) as store:
        assert store.open_plans() == []
        assert sum(one.kind == "cut" for one in store.history()) == 2


@pytest.mark.parametrize("size", SIZES)
async def test_boxes_are_ticked_by_the_mouse(cut_path: Path, size: tuple[int, int]) -> None:
    async with running(cut_path, size) as pilot:
        await press(pilot, "x")
        at = next(place for place, one in enumerate(listed(pilot).rows) if isinstance(one, PieceRow))
        await pilot.click("#cuts", offset=(2, at))
        await settled(pilot)
        assert inches(cut_path, "Fern") == 12
        assert sum(one.booked is not None for one in plan(cut_path).strips) == 2


async def test_a_set_s_line_ticks_its_strips(cut_path: Path) -> None:
    async with running(cut_path) as pilot:
        await press(pilot, "x")
        await to(pilot, SetRow)
        text = detail(pilot)
        assert "Set 1: sew A B from the top, each strip set off 2 in to the right of the one above" in text
        assert "never flip it over" in text
        assert "2 1/2 in wide measured square across (3.54 in along the edge)" in text
        await press(pilot, "enter")
        first = [one for one in plan(cut_path).strips if one.cut.strips[0].runs[0].set == 1]
        assert [one.booked is not None for one in first] == [True, True]
        now = row(pilot)
        assert isinstance(now, SetRow)
        assert (now.cut, now.strips) == (2, 2)


async def test_what_is_not_covered_or_not_there_is_said(cut_path: Path) -> None:
    with Store.open(cut_path) as store:
        store.count(store.fabric("Rust").id, read_pieces("4 in"))
    async with running(cut_path) as pilot:
        await press(pilot, "j")
        assert "does not cover this star (short at B)" in screen_text(pilot)
        await press(pilot, "enter", "a", "o", "x", "l")  # nothing to do it on, nothing breaks
        await press(pilot, "s", "i", "j")
        assert "reckoned as after washing" in screen_text(pilot)
    with Store.open(cut_path) as store:
        assert store.open_plans() == []


async def test_one_key_ticks_all_of_a_fabric_from_all_its_pieces(cut_path: Path) -> None:
    """6 in give one 2 1/2 in strip after 1 in of straightening (derived), so two pieces are cut into."""
    with Store.open(cut_path) as store:
        store.count(store.fabric("Fern").id, read_pieces("2 x 6 in x 40"))
    async with running(cut_path) as pilot:
        await press(pilot, "x", "end", "b")
        assert "Take a piece or one of its strips in hand first" in toasts(pilot)[-1]
        await to(pilot, StripRow)
        await press(pilot, "b")
        booked = [(one.cut.fabric, one.booked is not None) for one in plan(cut_path).strips]
        assert sorted(booked) == [("Fern", True), ("Fern", True), ("Rust", False), ("Rust", False)]
        assert len({one.booked for one in plan(cut_path).strips}) == 2  # one entry, and what is not cut


@pytest.mark.parametrize("size", SIZES)
async def test_names_of_any_script_and_places_stand_as_they_are(tmp_path: Path, size: tuple[int, int]) -> None:
    place = tmp_path / "names.db"
    names = ("[red]布料[/red]", "سماء زرقاء", "A very long name of a fabric that fills more than a line of any list")
    with Store.create(place) as store:
        for name in names:
            store.add(NewFabric(name, read_pieces("1/2 yd"), Colour(50, 0, 0), place="[b]shelf 3"))
        letters = {letter: (name,) for letter, name in zip("ABC", names, strict=True)}
        store.save_star("星 [/]", Star(2, Fraction(5, 2), "ABC"), Colouring(letters))
    async with running(place, size) as pilot:
        await press(pilot, "x")
        text = screen_text(pilot)
        assert "星 [/]" in text
        assert "[red]布料[/red]" in text
        assert "[b]shelf 3" in detail(pilot)
        assert "keep 14 1/2 × 40 in " in text
        await to(pilot, SetRow)
        assert screen_text(pilot).count("keep 14 1/2 × 40 in ") == 2
        assert "keep 12 × 40 in " in screen_text(pilot)
        if size[0] > 80:
            assert "سماء زرقاء" in detail(pilot)


@pytest.mark.parametrize("size", SIZES)
async def test_undo_stands_in_the_footer_and_the_place_beside_the_name(cut_path: Path, size: tuple[int, int]) -> None:
    with Store.open(cut_path) as store:
        store.edit(store.fabric("Fern").id, place="box 3")
    async with running(cut_path, size) as pilot:
        await press(pilot, "x")
        pilot.app.clear_notifications()
        await settled(pilot)
        text = screen_text(pilot)
        assert "Fern, box 3" in text
        assert "u Undo" in text.splitlines()[-1]


async def test_a_set_of_two_look_alikes_says_which_half_is_which(tmp_path: Path) -> None:
    place = tmp_path / "halves.db"
    with Store.create(place) as store:
        for name in ("Fern", "Moss", "Rust"):
            store.add(NewFabric(name, read_pieces("1/2 yd"), Colour(50, 0, 0)))
        store.save_star("Pond", POND, Colouring({"A": ("Fern",), "B": ("Moss", "Rust")}))
    async with running(place) as pilot:
        await press(pilot, "x")
        await to(pilot, SetRow)
        assert "4 + 4 segments of" in detail(pilot)
        assert "B is Moss in one half, Rust in the other." in detail(pilot)
