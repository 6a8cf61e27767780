"""The Intake screen: fabrics from photographs drawn here, one Enter each; leaving and going on."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from textual.widgets import Input

from stash.colour.lab import lab_from_srgb8
from stash.lengths import to_inches
from stash.model import Kind
from tests.tui.driving import SIZES, running, screen_text, settled, toasts, wait_for
from tests.tui.intake_screen import begin, enter, intake, photograph, stored, text_of
from tui.dialogs.form import Tick
from tui.screens.intake import IntakeScreen
from tui.screens.intake_form import FabricForm, pieces_from
from tui.screens.intake_start import Way, completed

COLOURS = {"moss.jpg": (90, 110, 60), "plum.jpg": (110, 50, 90), "sand.jpg": (200, 170, 120)}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Three fabrics, one of them twice, and a file that is no picture."""
    folder = tmp_path / "photos"
    folder.mkdir()
    for name, colour in COLOURS.items():
        photograph(folder / name, (colour, (100, 70, 200, 160)))
    shutil.copy(folder / "moss.jpg", folder / "moss-again.jpg")
    (folder / "broken.jpg").write_text("no picture", encoding="utf-8")
    return folder


async def test_an_intake_never_goes_on_in_another_stash(empty_path: Path, stash_path: Path, folder: Path) -> None:
    async with running(empty_path, make_demo=lambda: stash_path) as pilot:
        await begin(pilot, folder)
        await pilot.press("f2")
        await settled(pilot)
        await pilot.press("d")
        await wait_for(pilot, lambda: pilot.app.store_path == stash_path, "the other stash")  # type: ignore[attr-defined]
        await settled(pilot)
        await pilot.press("f2", "i")
        await settled(pilot)
        assert intake(pilot).has_class("-start")
        assert intake(pilot).current is None


@pytest.mark.parametrize("size", SIZES)
async def test_a_folder_becomes_fabrics_one_enter_each(empty_path: Path, folder: Path, size: tuple[int, int]) -> None:
    async with running(empty_path, size) as pilot:
        await begin(pilot, folder)
        assert "1 of 3" in screen_text(pilot)
        offered = text_of(pilot, "name")
        assert offered == "Moss again"  # one file twice: the first by name is taken
        assert pilot.app.focused is intake(pilot).query_one("#length", Input)
        await pilot.press(*"2 x fq")
        assert "18 × 21 in, fat quarter" in " ".join(screen_text(pilot).split())
        intake(pilot).query_one("#place", Input).value = "shelf 3"
        intake(pilot).query_one("#width", Input).value = "42"
        intake(pilot).query_one("#washed", Tick).value = True
        await enter(pilot)
        assert f"{offered} is saved" in screen_text(pilot)
        assert "2 of 3" in screen_text(pilot)
        assert (text_of(pilot, "name"), text_of(pilot, "length"), text_of(pilot, "place")) == ("Plum", "", "shelf 3")
        await enter(pilot)
        await enter(pilot, "1/2 yd")
        await wait_for(pilot, lambda: "broken.jpg" in screen_text(pilot), "the end")
        text = screen_text(pilot)
        assert "3 fabrics were saved" in text
        assert "the same photograph as" in text
        await enter(pilot)
        assert pilot.app.current_mode == "sizes"  # the first view after an intake
        await pilot.press("f")
        await settled(pilot)
    found = stored(empty_path)
    assert set(found) == {offered, "Plum", "Sand"}
    assert all((one.place, one.washed) == ("shelf 3", True) for one in found.values())
    assert [piece.kind for piece in found[offered].pieces] == [Kind.FAT_QUARTER] * 2
    assert not found["Plum"].recorded
    assert [(to_inches(one.length), to_inches(one.width)) for one in found["Sand"].pieces] == [(18, 42)]
    assert all(one.colour is not None and one.colour.source == "measured" for one in found.values())
    values = [one.colour.L for one in (found["Plum"], found[offered], found["Sand"]) if one.colour is not None]
    assert values == sorted(values)


async def test_left_half_way_nothing_is_lost_and_the_same_folder_goes_on(empty_path: Path, folder: Path) -> None:
    async with running(empty_path) as pilot:
        screen = await begin(pilot, folder)
        await enter(pilot, "fq")
        await pilot.press(*"1 yd", "escape")
        await settled(pilot)
        assert "Esc again leaves" in screen_text(pilot)
        assert text_of(pilot, "length") == "1 yd"
        await pilot.press("escape")
        await settled(pilot)
        assert pilot.app.current_mode == "stash"
        assert any("2 photographs are left" in text for text in toasts(pilot))
        assert len(stored(empty_path)) == 1
        assert text_of_path(screen) == str(folder)  # remembered
        await begin(pilot, folder)
        assert text_of(pilot, "name") == "Plum"
        assert "1 of 2" in screen_text(pilot)
        await pilot.press("f9")
        await settled(pilot)
        await enter(pilot)
        await wait_for(pilot, lambda: "plum.jpg: passed over" in screen_text(pilot), "the end")
        text = screen_text(pilot)
        assert "1 fabric was saved" in text
        assert "has it already" in text
        await pilot.press("enter", "u")
        await settled(pilot)
    assert len(stored(empty_path)) == 1


def text_of_path(screen: IntakeScreen) -> str:
    return screen.query_one("#path", Input).value


async def test_esc_stops_the_measuring_and_what_is_measured_can_be_saved(empty_path: Path, tmp_path: Path) -> None:
    folder = tmp_path / "many"
    folder.mkdir()
    for number in range(16):
        photograph(folder / f"cloth {number}.jpg", ((40 + 12 * number, 90, 60), (100, 70, 200, 160)))
    async with running(empty_path) as pilot:
        screen = await begin(pilot, folder, whole=False)
        assert screen.measuring is not None
        await pilot.press("escape")
        await settled(pilot)
        assert screen.measuring is None
        assert "stopped" in screen_text(pilot)
        left = len(screen.queue.to_measure)
        assert left
        while screen.has_class("-form"):
            await enter(pilot, "fq")
        await wait_for(pilot, lambda: f"{left} photograph" in screen_text(pilot), "the end")
        assert len(stored(empty_path)) == 16 - left


async def test_a_name_that_is_taken_and_a_length_that_is_none_lose_nothing(stash_path: Path, folder: Path) -> None:
    async with running(stash_path) as pilot:
        await begin(pilot, folder / "plum.jpg")
        screen = intake(pilot)
        screen.query_one("#name", Input).value = "poppy "
        await enter(pilot, "7 ells")
        assert "a fabric of that name is in the stash" in " ".join(screen_text(pilot).split())
        assert pilot.app.focused is screen.query_one("#name", Input)
        screen.query_one("#name", Input).value = "Plum"
        await enter(pilot)
        assert pilot.app.focused is screen.query_one("#length", Input)
        assert text_of(pilot, "length") == "7 ells"
        screen.query_one("#length", Input).value = "50cm"
        await enter(pilot)
    assert "Plum" in stored(stash_path)


async def test_a_sheet_of_four_gives_four_fabrics_and_goes_on_half_way(empty_path: Path, tmp_path: Path) -> None:
    colours = ((60, 60, 70), (170, 60, 50), (60, 110, 150), (210, 180, 90))
    places = ((50, 40), (230, 40), (50, 170), (230, 170))
    sheet = photograph(
        tmp_path / "reds.jpg", *((one, (*at, 120, 90)) for one, at in zip(colours, places, strict=True))
    )
    async with running(empty_path) as pilot:
        await begin(pilot, sheet, Way.SHEET)
        assert "1 of 4" in screen_text(pilot)
        await enter(pilot, "fq")
        await enter(pilot, "fq")
        await pilot.press("escape")
        await settled(pilot)
        assert len(stored(empty_path)) == 2
        await begin(pilot, sheet, Way.SHEET)
        assert "1 of 2" in screen_text(pilot)
        await enter(pilot)
        await enter(pilot)
        await wait_for(pilot, lambda: "2 fabrics were saved" in screen_text(pilot), "the end")
        await pilot.press("escape")
        await begin(pilot, sheet, Way.SHEET)
        await wait_for(pilot, lambda: "has it already" in screen_text(pilot), "the end")
    found = stored(empty_path)
    assert sorted(found) == ["Reds 1", "Reds 2", "Reds 3", "Reds 4"]
    # the order of their values is that of the colours laid down
    seen = sorted(found, key=lambda name: found[name].colour.L)  # type: ignore[union-attr]
    laid = sorted(range(4), key=lambda at: lab_from_srgb8(*colours[at]).L)
    assert seen == [f"Reds {at + 1}" for at in laid]


async def test_what_is_typed_ahead_while_a_photograph_is_measured_is_no_command(empty_path: Path, folder: Path) -> None:
    async with running(empty_path) as pilot:
        await begin(pilot, folder / "plum.jpg")
        screen = intake(pilot)
        screen.wait()
        await pilot.press("f", "q", "enter")
        assert pilot.app.current_mode == "intake"
        assert pilot.app.is_running
        screen.end()
        await pilot.press("f", "q")
        assert pilot.app.current_mode == "intake"
        assert pilot.app.is_running


def test_a_width_is_that_of_yardage_typed_without_one() -> None:
    sizes = [(to_inches(one.length), to_inches(one.width)) for one in pieces_from("1/2 yd + fq + 18 x 30", "42")]
    assert sizes == [(18, 42), (18, 21), (18, 30)]
    assert pieces_from("", "42") == ()


def test_folders_and_pictures_are_completed(folder: Path) -> None:
    assert completed(str(folder.parent / "pho")) == f"{folder}/"
    assert completed(f"{folder}/pl") == f"{folder}/plum.jpg"
    assert completed(f"{folder}/x") is None
    assert completed("nowhere/at all/x") is None


async def test_a_folder_that_is_not_there_is_said_under_the_field(empty_path: Path, tmp_path: Path) -> None:
    async with running(empty_path) as pilot:
        await pilot.press("i")
        await settled(pilot)
        intake(pilot).query_one("#path", Input).value = str(tmp_path / "none")
        await enter(pilot)
        assert "there is no such file or folder" in " ".join(screen_text(pilot).split())
        await pilot.press("escape")
        await settled(pilot)
        assert pilot.app.current_mode == "stash"


async def test_poor_terminals_have_words_in_place_of_the_picture(
    empty_path: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with running(empty_path) as pilot:
        screen = await begin(pilot, folder / "plum.jpg")
        assert "too few colours" in screen_text(pilot)
        assert "cloth" in screen_text(pilot)
        assert screen.query_one(FabricForm).display
        await enter(pilot, "fq")
    assert "Plum" in stored(empty_path)
