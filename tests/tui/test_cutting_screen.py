"""The Cutting screen by keyboard and by mouse: ticks are booked, offcuts, spoiled segments, plans made again."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from stash.inventory.store import Store
from stash.match.coverage import check
from stash.match.holds import hold_back
from stash.match.replan import is_whole
from stash.model import Colour, Colouring, Kind, NewFabric, NewPiece, Star, StoredPlan
from stash.typed import read_pieces
from tests.engine.by_hand import inch
from tests.tui.driving import SIZES, look_again, press, running, screen_text, settled, toasts
from tui.screens.cutting import CuttingScreen
from tui.screens.cutting_rows import CutRow, HeadRow, NoteRow, PieceRow, SetRow, StripRow
from tui.widgets.cut_list import CutList

# name, pieces, L, a, b, washed (invented). A mirrored 2 x 2 star of 2 1/2 in strips takes A 2, B 2 strips.
CLOTH = (
    ("Fern", "1/2 yd", 50, -30, 30, True),
    ("Rust", "7 in", 30, 40, 30, False),
    ("Cloud", "2 yd", 86, 0, 1, False),
)
POND = Star(2, Fraction(5, 2), "ABA")
USES = Colouring({"A": ("Fern",), "B": ("Rust",)}, "Cloud")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    place = tmp_path / "cut.db"
    with Store.create(place) as store:
        for name, pieces, L, a, b, washed in CLOTH:
            store.add(NewFabric(name, read_pieces(pieces), Colour(L, a, b), washed=washed))
        store.save_star("Pond [/b]", POND, USES)
    return place


def screen(pilot: Pilot[None]) -> CuttingScreen:
    found = pilot.app.screen
    assert isinstance(found, CuttingScreen)
    return found


def listed(pilot: Pilot[None]) -> CutList:
    return screen(pilot).query_one(CutList)


def row(pilot: Pilot[None]) -> CutRow | None:
    return listed(pilot).current


def detail(pilot: Pilot[None]) -> str:
    """What is said of the line in hand."""
    return " ".join(str(screen(pilot).query_one("#detail", Static).render()).split())


async def to(pilot: Pilot[None], kind: type[CutRow], number: int = 0) -> None:
    """Put the cursor on the `number`-th line of a kind."""
    places = [at for at, one in enumerate(listed(pilot).rows) if isinstance(one, kind)]
    listed(pilot).cursor = places[number]
    await settled(pilot)


def plan(path: Path) -> StoredPlan:
    with Store.open(path) as store:
        return store.open_plan(1, 1) or store.plan(1)


def inches(path: Path, name: str) -> float:
    with Store.open(path) as store:
        return sum(one.length for one in store.fabric(name).pieces) / 8128  # ticks of 1/320 mm in an inch


@pytest.mark.parametrize("size", SIZES)
async def test_opening_it_keeps_the_plan_and_shows_every_strip(path: Path, size: tuple[int, int]) -> None:
    async with running(path, size) as pilot:
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
    assert len(plan(path).strips) == 4
    with Store.open(path) as store:
        assert store.history()[0].kind == "plan"


@pytest.mark.parametrize("size", SIZES)
async def test_a_strip_is_ticked_booked_once_and_undone_to_the_tick(path: Path, size: tuple[int, int]) -> None:
    """18 in of Fern less 1 in of straightening and 2 1/2 in (common practice, no source)."""
    async with running(path, size) as pilot:
        await press(pilot, "x", "down")
        assert "cut at 2 1/2 in from the straightened edge" in detail(pilot)
        await press(pilot, "enter")
        assert inches(path, "Fern") == 14.5
        assert "1 strip cut, 3 strips still to cut" in screen_text(pilot)
        now = row(pilot)
        assert isinstance(now, StripRow)
        assert now.number == 1
        assert now.strip.booked is not None
        assert "Strip 1 of Fern is cut and booked" in detail(pilot)
        await press(pilot, "down")
        assert "cut at 2 1/2 in from the edge where the last strip came off" in detail(pilot)
        await press(pilot, "u")
        assert inches(path, "Fern") == 18
        assert all(one.booked is None for one in plan(path).strips)


async def test_pressed_twice_at_once_it_books_once(path: Path) -> None:
    async with running(path) as pilot:
        await press(pilot, "x", "down")
        screen(pilot).action_tick()
        screen(pilot).action_tick()
        await settled(pilot)
        assert sum(one.booked is not None for one in plan(path).strips) == 1
        assert not any("Error" in toast or "already" in toast for toast in toasts(pilot))
        await press(pilot, "enter", "space")  # again, once it is booked
        assert "cut and booked already" in toasts(pilot)[-1]
    with Store.open(path) as store:
        assert [one.kind for one in store.history()].count("cut") == 1


async def test_the_star_that_is_being_cut_is_on_the_table_at_the_start(path: Path) -> None:
    with Store.open(path) as store:
        store.save_star("Another", POND, USES)
        later = store.save_star("Later", POND, Colouring({"A": ("Cloud",), "B": ("Fern",)}))
        plan = store.keep_plan(later.id, 1, check(POND, later.colourings[0].colouring, store.fabrics()).cuts)
        store.book(plan.id, [plan.strips[0].id])
    async with running(path) as pilot:
        assert "Later" in screen_text(pilot)
        await press(pilot, "o")
        assert "Later  1 of 4 strips cut" in screen_text(pilot)


async def test_killed_and_started_again_the_rest_is_still_to_do(path: Path) -> None:
    async with running(path) as pilot:
        await press(pilot, "x", "down", "enter")
    async with running(path) as pilot:
        assert "covered, tight at B; 1 of 4 strips cut" in screen_text(pilot)
        await press(pilot, "x")
        assert "1 strip cut, 3 strips still to cut" in screen_text(pilot)
        await press(pilot, "a")
        assert "4 strips cut, all cut" in screen_text(pilot)
    with Store.open(path) as store:
        assert store.open_plans() == []
        assert sum(one.kind == "cut" for one in store.history()) == 2


@pytest.mark.parametrize("size", SIZES)
async def test_boxes_are_ticked_by_the_mouse(path: Path, size: tuple[int, int]) -> None:
    async with running(path, size) as pilot:
        await press(pilot, "x")
        at = next(place for place, one in enumerate(listed(pilot).rows) if isinstance(one, PieceRow))
        await pilot.click("#cuts", offset=(2, at))
        await settled(pilot)
        assert inches(path, "Fern") == 12
        assert sum(one.booked is not None for one in plan(path).strips) == 2


async def test_a_set_s_line_ticks_its_strips(path: Path) -> None:
    async with running(path) as pilot:
        await press(pilot, "x")
        await to(pilot, SetRow)
        text = detail(pilot)
        assert "Set 1: sew A B from the top, each strip set off 2 in to the right of the one above" in text
        assert "never flip it over" in text
        assert "2 1/2 in wide measured square across (3.54 in along the edge)" in text
        await press(pilot, "enter")
        first = [one for one in plan(path).strips if one.cut.strips[0].runs[0].set == 1]
        assert [one.booked is not None for one in first] == [True, True]
        now = row(pilot)
        assert isinstance(now, SetRow)
        assert (now.cut, now.strips) == (2, 2)


async def test_small_offcuts_are_binned_unless_kept(path: Path) -> None:
    """7 in of Rust less 1 in and two strips leave 1 in; 18 in of Fern leave 12 (derived)."""
    async with running(path) as pilot:
        await press(pilot, "x")
        await to(pilot, PieceRow, 1)
        assert "bin 1 × 40 in" in screen_text(pilot)
        await press(pilot, "enter")
        assert inches(path, "Rust") == 0
        assert "the offcut of Rust is binned" in toasts(pilot)[-1]
        await press(pilot, "u", "o")
        assert "keep 1 × 40 in" in screen_text(pilot)
        await press(pilot, "enter")
        assert inches(path, "Rust") == 1
        await press(pilot, "o")
        assert inches(path, "Rust") == 0
        assert "binned 1 × 40 in" in screen_text(pilot)
        await press(pilot, "u")
        assert inches(path, "Rust") == 1


async def test_spoiled_segments_come_from_the_spare_until_there_is_none(path: Path) -> None:
    """A strip of 40 in gives ten segments where eight are needed (derived): two to spare."""
    async with running(path) as pilot:
        await press(pilot, "x", "x")
        assert "Take a strip set in hand first" in toasts(pilot)[-1]
        await to(pilot, SetRow)
        await press(pilot, "x")
        assert toasts(pilot)[-1] == "Cut another from its spare: 1 segment left after that"
        await press(pilot, "x")
        assert plan(path).spoiled == (2,)
        assert "sewn whole, 2 spoiled, 0 to spare" in screen_text(pilot)
        await press(pilot, "x")
        assert "no segment to spare: cut a further strip 6 1/8 in long of each of A Fern, B Rust" in toasts(pilot)[-1]
        assert plan(path).spoiled == (2,)
        await press(pilot, "minus")
        assert plan(path).spoiled == (1,)


async def test_a_piece_changed_since_is_refused_by_name_and_planned_again(path: Path) -> None:
    async with running(path) as pilot:
        await press(pilot, "x", "down", "enter")
        with Store.open(path) as store:
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
        assert inches(path, "Fern") == 18 - 1 - 2.5 - 1 - 0.5 - 2.5 + 0.5 - 0.5


async def test_letting_go_frees_the_cloth_and_undo_holds_it_again(path: Path) -> None:
    async with running(path) as pilot:
        await press(pilot, "x", "l")
        assert "No plan is kept for this colouring any longer" in screen_text(pilot)
        with Store.open(path) as store:
            assert store.open_plans() == []
        await press(pilot, "u")
        assert "4 strips still to cut" in screen_text(pilot)
        await press(pilot, "l", "r")
        assert "4 strips still to cut" in screen_text(pilot)


async def test_what_is_not_covered_or_not_there_is_said(path: Path) -> None:
    with Store.open(path) as store:
        store.count(store.fabric("Rust").id, read_pieces("4 in"))
    async with running(path) as pilot:
        await press(pilot, "j")
        assert "does not cover this star (short at B)" in screen_text(pilot)
        await press(pilot, "enter", "a", "o", "x", "l")  # nothing to do it on, nothing breaks
        await press(pilot, "s", "i", "j")
        assert "reckoned as after washing" in screen_text(pilot)
    with Store.open(path) as store:
        assert store.open_plans() == []


async def test_one_key_ticks_all_of_a_fabric_from_all_its_pieces(path: Path) -> None:
    """6 in give one 2 1/2 in strip after 1 in of straightening (derived), so two pieces are cut into."""
    with Store.open(path) as store:
        store.count(store.fabric("Fern").id, read_pieces("2 x 6 in x 40"))
    async with running(path) as pilot:
        await press(pilot, "x", "end", "b")
        assert "Take a piece or one of its strips in hand first" in toasts(pilot)[-1]
        await to(pilot, StripRow)
        await press(pilot, "b")
        booked = [(one.cut.fabric, one.booked is not None) for one in plan(path).strips]
        assert sorted(booked) == [("Fern", True), ("Fern", True), ("Rust", False), ("Rust", False)]
        assert len({one.booked for one in plan(path).strips}) == 2  # one entry, and what is not cut


async def test_what_is_said_of_an_offcut_is_of_this_plan_only(path: Path) -> None:
    """The same piece in the plan made again is kept or binned by its size once more."""
    async with running(path) as pilot:
        await press(pilot, "x", "o")
        assert "bin 12 × 40 in" in screen_text(pilot)
        await press(pilot, "enter")
        assert inches(path, "Fern") == 0
        await press(pilot, "u", "l", "r")
        assert "keep 12 × 40 in" in screen_text(pilot)
        await to(pilot, PieceRow)
        await press(pilot, "enter")
        assert inches(path, "Fern") == 12


async def test_a_piece_planned_at_two_times_is_cut_in_that_order(path: Path) -> None:
    """An undo leaves both plannings open: the later one is no changed piece, and the offcut is its own."""
    async with running(path) as pilot:
        await press(pilot, "x")
        with Store.open(path) as store:
            one, two = (strip for strip in plan(path).strips if strip.cut.fabric == "Fern")
            first = store.book(plan(path).id, [one.id])
            (there,) = store.fabric("Fern").pieces
            later = replace(two.cut, rev=there.rev, piece_length=there.length, trim_length=0)
            store.plan_rest(plan(path).id, [two.id], [later])
            store.undo(first.op)
        await look_again(pilot)
        fern = [one for one in listed(pilot).rows if isinstance(one, PieceRow) and one.steps.cut.fabric == "Fern"]
        assert [(one.changed, one.offcut) for one in fern] == [
            (False, "cut on below"),
            (False, "keep 12 × 40 in"),
        ]
        await to(pilot, PieceRow)
        await press(pilot, "o", "enter")  # the offcut is the whole piece's: nothing is binned yet
        assert inches(path, "Fern") == 14.5
        await to(pilot, PieceRow, 1)
        await press(pilot, "enter")
        assert inches(path, "Fern") == 0


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
async def test_undo_stands_in_the_footer_and_the_place_beside_the_name(path: Path, size: tuple[int, int]) -> None:
    with Store.open(path) as store:
        store.edit(store.fabric("Fern").id, place="box 3")
    async with running(path, size) as pilot:
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


async def test_an_offcut_that_went_some_other_way_is_not_called_binned(path: Path) -> None:
    async with running(path) as pilot:
        await press(pilot, "x", "enter")
        assert "kept 12 × 40 in" in screen_text(pilot)
        with Store.open(path) as store:
            store.used(store.fabric("Fern").id, None)
        await look_again(pilot)
        assert "gone 12 × 40 in" in screen_text(pilot)


async def test_a_plan_let_go_half_cut_is_not_all_cut(path: Path) -> None:
    async with running(path) as pilot:
        await press(pilot, "x")
        await to(pilot, StripRow)
        await press(pilot, "enter", "l")
        assert "all cut" not in screen_text(pilot)
        await press(pilot, "s", "x")  # the star is planned whole again, from what is there
        assert "0 strips cut, 4 strips still to cut" in screen_text(pilot)
        await press(pilot, "a")
        assert "4 strips cut, all cut" in screen_text(pilot)


async def test_strips_of_a_star_changed_since_are_not_taken_for_its_own(path: Path) -> None:
    async with running(path) as pilot:
        await press(pilot, "x")
        await to(pilot, StripRow)
        await press(pilot, "enter")
    with Store.open(path) as store:
        store.set_star(1, replace(POND, strip=Fraction(2)))
    async with running(path) as pilot:
        await press(pilot, "x")
        assert "2 in strips" in screen_text(pilot)
        assert "0 strips cut, 4 strips still to cut" in screen_text(pilot)


async def test_part_of_a_plan_that_came_back_by_undo_is_said(path: Path) -> None:
    """Two strips cut, the others let go, one of the two taken back: three strips of the star are nowhere."""
    with Store.open(path) as store:
        strips = store.keep_plan(1, 1, check(POND, USES, store.fabrics()).cuts).strips
        first, second = (store.book(store.plan(1).id, [strip.id]) for strip in (strips[0], strips[-1]))
        store.let_go(1, 1)
        store.undo(second.op)
        assert first.op < second.op
        assert not is_whole(POND, store.plan(1))
    async with running(path) as pilot:
        await press(pilot, "x")
        assert "its other strips were let go" in screen_text(pilot)
        await press(pilot, "l", "r")
        assert "0 strips cut, 4 strips still to cut" in screen_text(pilot)


async def test_an_offcut_that_another_star_s_plan_holds_is_kept(path: Path) -> None:
    """6 1/4 in less an inch and two strips of 2 1/2 leave 1/4 in; of a piece of strips, straight, 1 1/4 in are left."""
    mill = Star(2, Fraction(5, 4), "AAA")
    with Store.open(path) as store:
        store.add(NewFabric("Sedge", (NewPiece(Kind.STRIPS, inch(6.25), inch(40)),), Colour(40, 0, 0)))
        colouring = Colouring({"A": ("Sedge",), "B": ("Fern",)})
        store.replace_colouring(1, 1, colouring)
        store.keep_plan(1, 1, check(POND, colouring, store.fabrics()).cuts)
        other = store.save_star("Mill", replace(mill, order="ABB"), colouring)
        held = hold_back(store.fabrics(), store.open_plans(), other.id, {1: "Pond"})
        store.keep_plan(other.id, 1, check(other.star, colouring, held).cuts)
    async with running(path) as pilot:
        await press(pilot, "x")
        await to(pilot, PieceRow)
        while not (isinstance(now := row(pilot), PieceRow) and now.steps.cut.fabric == "Sedge"):
            await press(pilot, "down")
        assert "keep 1 1/4" in detail(pilot)
        await press(pilot, "o")
        assert "The plan of Mill is to be cut from this offcut" in toasts(pilot)[-1]
        await press(pilot, "enter", "o")
        assert inches(path, "Sedge") == pytest.approx(1.25, abs=0.01)
