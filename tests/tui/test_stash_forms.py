"""The forms of the Stash screen: a fabric added, edited, bought, used and counted, checked as it is typed."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Input

from stash.inventory.store import Store
from tests.tui.driving import SIZES, running, screen_text, settled, toasts, wait_for
from tests.tui.stash_screen import INCH, at, form, names, stored, texts, to_stash, type_text, under
from tui.dialogs.fabric import AddDialog, BoughtDialog, EditDialog


@pytest.mark.parametrize("size", SIZES)
async def test_add_is_checked_as_typed_and_saved_at_once(stash_path: Path, size: tuple[int, int]) -> None:
    async with running(stash_path, size) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("a")
        await type_text(pilot, "Mist")
        await pilot.press("tab")
        await type_text(pilot, "3")
        assert "inches or yards" in under(pilot, "pieces")
        await pilot.press("backspace")
        await type_text(pilot, "1/2 yd + fq")
        assert "18 × 40 in, yardage, 1/2 yd; 18 × 21 in, fat quarter" in under(pilot, "pieces")
        await pilot.press("tab")
        await type_text(pilot, "#8899")
        assert "is no colour" in under(pilot, "colour")
        await pilot.press("enter")  # refused: the form stays, with all that was typed
        assert isinstance(pilot.app.screen, AddDialog)
        await type_text(pilot, "aa")
        assert "value 62" in under(pilot, "colour")
        await pilot.press("enter")
        await wait_for(pilot, lambda: pilot.app.screen is screen, "the form to close")
        await settled(pilot)
        assert at(screen) == "Mist"
        assert any("Added Mist" in text and "u takes it back" in text for text in toasts(pilot))
        mist = stored(stash_path, "Mist")
        assert [(piece.length, piece.width) for piece in mist.pieces] == [
            (18 * INCH, 40 * INCH), (18 * INCH, 21 * INCH),
        ]  # fmt: skip
        await pilot.press("u")
        await settled(pilot)
        assert "Mist" not in names(screen)


async def test_a_name_taken_is_refused_and_nothing_typed_is_lost(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        await to_stash(pilot)
        await pilot.press("a")
        await type_text(pilot, "milk")
        await pilot.press("tab")
        await type_text(pilot, "1 yd")
        await pilot.press("enter")
        said = lambda: str(form(pilot).query_one("#said").render())  # noqa: E731
        await wait_for(pilot, lambda: "Milk" in said(), "the refusal")
        assert [field.value for field in form(pilot).query(Input)][:2] == ["milk", "1 yd"]
        assert "Milk" in screen_text(pilot)
        await pilot.press("shift+tab", "end")
        await type_text(pilot, "weed")
        await pilot.press("enter")
        await settled(pilot)
        assert stored(stash_path, "Milkweed").name == "milkweed"


async def test_escape_asks_once_before_it_drops_what_was_typed(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("a")
        await type_text(pilot, "Mist")
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, AddDialog)
        assert "Esc again" in screen_text(pilot)
        await pilot.press("escape")
        assert pilot.app.screen is screen
        await pilot.press("a", "escape")
        assert pilot.app.screen is screen  # nothing was typed, nothing to ask


async def test_a_double_press_saves_once(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("b")
        await type_text(pilot, "fq")
        dialog = form(pilot)
        assert isinstance(dialog, BoughtDialog)
        dialog.action_save()
        dialog.action_save()
        await wait_for(pilot, lambda: pilot.app.screen is screen)
        await settled(pilot)
    assert len(stored(stash_path, "Milk").pieces) == 2
    assert len(texts(stash_path)) == 9


async def test_bought_used_counted_and_undone(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)

        async def put(key: str, text: str) -> None:
            await pilot.press(key)
            await type_text(pilot, text)
            await pilot.press("enter")
            await wait_for(pilot, lambda: pilot.app.screen is screen, f"{key} {text}")
            await settled(pilot)

        await put("x", "1/4 yd")
        assert sum(piece.length for piece in stored(stash_path, "Milk").pieces) == 27 * INCH
        await put("b", "2 x fq")
        assert len(stored(stash_path, "Milk").pieces) == 3
        await put("c", "1/2 yd")
        assert [piece.length for piece in stored(stash_path, "Milk").pieces] == [18 * INCH]
        await put("c", "none")
        assert stored(stash_path, "Milk").pieces == ()
        assert "used up" in screen_text(pilot)
        for _ in range(4):
            await pilot.press("u")
            await settled(pilot)
        assert [piece.length for piece in stored(stash_path, "Milk").pieces] == [36 * INCH]


async def test_more_used_than_there_is_is_refused(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        await to_stash(pilot)
        await pilot.press("x")
        await type_text(pilot, "5 yd")
        await pilot.press("enter")
        await wait_for(pilot, lambda: str(form(pilot).query_one("#said").render()), "the refusal")
        assert form(pilot).query_one(Input).value == "5 yd"
    assert sum(piece.length for piece in stored(stash_path, "Milk").pieces) == 36 * INCH


async def test_edit_changes_what_was_changed(stash_path: Path) -> None:
    with Store.open(stash_path) as store:
        store.edit(store.fabric("Straw").id, note="one\ntwo")
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("down", "e")
        assert isinstance(pilot.app.screen, EditDialog)
        pilot.app.screen.query_one("#place", Input).focus()
        await pilot.pause()
        await pilot.press("end")
        await type_text(pilot, "0")
        pilot.app.screen.query_one("#washed").focus()
        await pilot.press("space", "enter")
        await wait_for(pilot, lambda: pilot.app.screen is screen)
        await settled(pilot)
    straw = stored(stash_path, "Straw")
    assert (straw.place, straw.washed, straw.name, straw.note) == ("shelf 10", True, "Straw", "one\ntwo")
    assert straw.colour is not None
    assert straw.colour.L == 82
    assert len(texts(stash_path)) == 10


async def test_a_new_colour_is_saved_and_shown(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("e", "tab", "ctrl+u")
        await type_text(pilot, "20 5 -5")
        await pilot.press("enter")
        await wait_for(pilot, lambda: pilot.app.screen is screen)
        await settled(pilot)
        assert names(screen)[-2:] == ["Milk", "Night"]
    milk = stored(stash_path, "Milk")
    assert milk.colour is not None
    assert (milk.colour.L, milk.colour.a, milk.colour.b) == (20, 5, -5)


async def test_tab_selects_what_stands_in_a_field_and_opening_a_form_does_not(stash_path: Path) -> None:
    """A name that is added to is not lost at the first letter; a field that is gone to is typed anew."""
    async with running(stash_path) as pilot:
        for key in ("f", "e", "!", "tab", "tab", *"box 7", "enter"):
            await pilot.press(key)
        await settled(pilot)
    with Store.open(stash_path) as store:
        (changed,) = (fabric for fabric in store.fabrics() if fabric.name.endswith("!"))
        assert changed.place == "box 7"
