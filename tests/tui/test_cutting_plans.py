"""A plan at the Cutting screen that is changed, let go, taken back in part or made again."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from stash.inventory.store import Store
from stash.match.coverage import check
from stash.match.replan import is_whole
from tests.tui.cutting_screen import POND, USES, inches, listed, plan, to
from tests.tui.driving import look_again, press, running, screen_text, toasts
from tui.screens.cutting_rows import PieceRow, StripRow


async def test_a_piece_changed_since_is_refused_by_name_and_planned_again(cut_path: Path) -> None:
    async with running(cut_path) as pilot:
        await press(pilot, "x", "down", "enter")
        with Store.open(cut_path) as store:
            store.used(store.fabric("Fern").id, 8128)
        await pilot.app.run_action("go('stash')")
        await press(pilot, "s")
        await look_again(pilot)
        await press(pilot, "x")
        assert "✗ changed" in screen_text(pilot)
        await to(pilot, StripRow, 1)
        await press(pilot, "enter")
        said = '"Fern" was changed since; now it has 13 1/2 in x 40 in. Nothing was booked; r plans again'
        assert said in toasts(pilot)[-1]
        await press(pilot, "r")
        assert "Planned again: 3 strips to cut" in toasts(pilot)[-1]
        await press(pilot, "a")
        assert "4 strips cut, all cut" in screen_text(pilot)
        assert inches(cut_path, "Fern") == 18 - 1 - 2.5 - 1 - 0.5 - 2.5 + 0.5 - 0.5


async def test_letting_go_frees_the_cloth_and_undo_holds_it_again(cut_path: Path) -> None:
    async with running(cut_path) as pilot:
        await press(pilot, "x", "l")
        assert "No plan is kept for this colouring any longer" in screen_text(pilot)
        with Store.open(cut_path) as store:
            assert store.open_plans() == []
        await press(pilot, "u")
        assert "4 strips still to cut" in screen_text(pilot)
        await press(pilot, "l", "r")
        assert "4 strips still to cut" in screen_text(pilot)


async def test_a_piece_planned_at_two_times_is_cut_in_that_order(cut_path: Path) -> None:
    """An undo leaves both plannings open: the later one is no changed piece, and the offcut is its own."""
    async with running(cut_path) as pilot:
        await press(pilot, "x")
        with Store.open(cut_path) as store:
            one, two = (strip for strip in plan(cut_path).strips if strip.cut.fabric == "Fern")
            first = store.book(plan(cut_path).id, [one.id])
            (there,) = store.fabric("Fern").pieces
            later = replace(two.cut, rev=there.rev, piece_length=there.length, trim_length=0)
            store.plan_rest(plan(cut_path).id, [two.id], [later])
            store.undo(first.op)
        await look_again(pilot)
        fern = [one for one in listed(pilot).rows if isinstance(one, PieceRow) and one.steps.cut.fabric == "Fern"]
        assert [(one.changed, one.offcut) for one in fern] == [
            (False, "cut on below"),
            (False, "keep 12 × 40 in"),
        ]
        await to(pilot, PieceRow)
        await press(pilot, "o", "enter")  # the offcut is the whole piece's: nothing is binned yet
        assert inches(cut_path, "Fern") == 14.5
        await to(pilot, PieceRow, 1)
        await press(pilot, "enter")
        assert inches(cut_path, "Fern") == 0


async def test_a_plan_let_go_half_cut_is_not_all_cut(cut_path: Path) -> None:
    async with running(cut_path) as pilot:
        await press(pilot, "x")
        await to(pilot, StripRow)
        await press(pilot, "enter", "l")
        assert "all cut" not in screen_text(pilot)
        await press(pilot, "s", "x")  # the star is planned whole again, from what is there
        assert "0 strips cut, 4 strips still to cut" in screen_text(pilot)
        await press(pilot, "a")
        assert "4 strips cut, all cut" in screen_text(pilot)


async def test_strips_of_a_star_changed_since_are_not_taken_for_its_own(cut_path: Path) -> None:
    async with running(cut_path) as pilot:
        await press(pilot, "x")
        await to(pilot, StripRow)
        await press(pilot, "enter")
    with Store.open(cut_path) as store:
        store.set_star(1, replace(POND, strip=Fraction(2)))
    async with running(cut_path) as pilot:
        await press(pilot, "x")
        assert "2 in strips" in screen_text(pilot)
        assert "0 strips cut, 4 strips still to cut" in screen_text(pilot)


async def test_part_of_a_plan_that_came_back_by_undo_is_said(cut_path: Path) -> None:
    """Two strips cut, the others let go, one of the two taken back: three strips of the star are nowhere."""
    with Store.open(cut_path) as store:
        strips = store.keep_plan(1, 1, check(POND, USES, store.fabrics()).cuts).strips
        first, second = (store.book(store.plan(1).id, [strip.id]) for strip in (strips[0], strips[-1]))
        store.let_go(1, 1)
        store.undo(second.op)
        assert first.op < second.op
        assert not is_whole(POND, store.plan(1))
    async with running(cut_path) as pilot:
        await press(pilot, "x")
        assert "its other strips were let go" in screen_text(pilot)
        await press(pilot, "l", "r")
        assert "0 strips cut, 4 strips still to cut" in screen_text(pilot)
