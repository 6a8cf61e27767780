"""The Stash screen on a real stash: finding, adding, changing, moving by eye, and undoing, at both sizes."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from stash.inventory.store import Store
from stash.model import Fabric
from tests.tui.driving import SIZES, running, screen_text, settled, toasts, wait_for
from tui.dialogs.fabric import AddDialog, BoughtDialog, EditDialog
from tui.dialogs.form import FieldLine, FormDialog
from tui.screens.details import DetailsScreen
from tui.screens.stash import StashScreen
from tui.widgets.fabric_list import FabricHeader, FabricList

BY_VALUE = ["Milk", "Straw", "Pebble", "Poppy", "Fern", "Harbour", "Night"]
INCH = 8128


async def to_stash(pilot: Pilot[None]) -> StashScreen:
    await pilot.press("f")
    await settled(pilot)
    screen = pilot.app.screen
    assert isinstance(screen, StashScreen)
    return screen


def names(screen: StashScreen) -> list[str]:
    return [line.name for line in screen.query_one(FabricList).lines]


def at(screen: StashScreen) -> str:
    line = screen.query_one(FabricList).current
    return line.name if line else ""


async def type_text(pilot: Pilot[None], text: str) -> None:
    """Type into the field that has the focus."""
    field = pilot.app.focused
    assert isinstance(field, Input)
    await pilot.press(*[{" ": "space"}.get(sign, sign) for sign in text])


def form(pilot: Pilot[None]) -> FormDialog[str]:
    dialog = pilot.app.screen
    assert isinstance(dialog, FormDialog)
    return dialog


def under(pilot: Pilot[None], field: str) -> str:
    """What stands under a field of the form."""
    line = next(line for line in form(pilot).query(FieldLine) if line.field.id == field)
    return str(line.query_one(".under").render())


def stored(path: Path, name: str) -> Fabric:
    with Store.open(path) as store:
        return store.fabric(name)


def texts(path: Path) -> list[str]:
    with Store.open(path) as store:
        return [entry.text for entry in store.history(limit=50)]


@pytest.mark.parametrize("size", SIZES)
async def test_shows_by_value_all_that_a_line_needs(stash_path: Path, size: tuple[int, int]) -> None:
    async with running(stash_path, size) as pilot:
        screen = await to_stash(pilot)
        assert names(screen) == BY_VALUE
        shown = screen_text(pilot)
        for words in ("Poppy", "2 fq", "not measured", "shelf 1", " 92 ", "7 fabrics", "light to dark"):
            assert words in shown
        milk = next(line for line in shown.splitlines() if "Milk " in line and "━" in line)
        assert "A ✓ covered" in milk  # the star on the table uses it
        assert "/ Filter" in shown.splitlines()[-1]
        assert ("L* 92.0" in shown) == (size[0] == 120)


async def test_filter_as_typed(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("slash")
        await type_text(pilot, "box")
        await settled(pilot)
        assert names(screen) == ["Fern", "Harbour", "Night"]
        assert "3 of 7" in screen_text(pilot)
        assert screen_text(pilot).splitlines()[-1].split() == ["Esc", "Clear", "^p", "Commands"]
        await type_text(pilot, " blue")
        assert names(screen) == ["Harbour"]
        await pilot.press("enter")
        assert isinstance(pilot.app.focused, FabricList)
        await pilot.press("escape")
        assert names(screen) == BY_VALUE
        assert at(screen) == "Harbour"  # the cursor stays on what was found


async def test_letters_go_into_the_filter_and_do_nothing_else(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("slash")
        await type_text(pilot, "uraxq")
        await settled(pilot)
        assert screen.query_one("#filter", Input).value == "uraxq"
        assert pilot.app.screen is screen
    assert len(texts(stash_path)) == 8  # seven fabrics and a star, as made


async def test_sort_by_key_and_by_click(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        seen = []
        for _ in range(4):
            await pilot.press("o")
            await pilot.pause()
            seen.append((str(screen.order), names(screen)[0]))
        assert [order for order, _ in seen] == ["hue", "name", "length", "value"]
        assert seen[1][1] == "Fern"
        heads = screen_text(pilot).splitlines()[2]
        await pilot.click(FabricHeader, offset=(heads.index("name"), 0))
        await wait_for(pilot, lambda: str(screen.order) == "name")
        assert names(screen) == sorted(BY_VALUE)


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


async def test_archive_and_back(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("down", "r")
        await settled(pilot)
        assert names(screen) == [name for name in BY_VALUE if name != "Straw"]
        assert any("Archived Straw" in text for text in toasts(pilot))
        await pilot.press("u")
        await settled(pilot)
        assert names(screen) == BY_VALUE


async def test_the_archived_ones_can_be_seen_and_brought_back(stash_path: Path) -> None:
    with Store.open(stash_path) as store:
        store.archive(store.fabric("Fern").id)
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("w")
        await settled(pilot)
        assert names(screen) == ["Fern"]
        assert "1 archived" in screen_text(pilot)
        await pilot.press("r")
        await settled(pilot)
        assert names(screen) == []
        await pilot.press("w")
        await settled(pilot)
        assert names(screen) == BY_VALUE


async def test_value_by_eye_moves_past_the_neighbours_and_goes_back(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("down", "down")  # Pebble, 70
        await pilot.press("right_square_bracket", "right_square_bracket")
        await settled(pilot)
        assert names(screen) == ["Milk", "Straw", "Poppy", "Fern", "Pebble", "Harbour", "Night"]
        assert at(screen) == "Pebble"
        pebble = stored(stash_path, "Pebble")
        assert pebble.value_by_eye is not None
        assert 33 < pebble.value_by_eye < 46
        assert pebble.measured is not None
        assert pebble.measured.L == 70
        assert "*" in next(line for line in screen_text(pilot).splitlines() if "Pebble" in line)
        await pilot.press("left_square_bracket")
        await settled(pilot)
        assert names(screen).index("Pebble") == 3
        await pilot.press("equals_sign")
        await settled(pilot)
        assert names(screen) == BY_VALUE
        assert stored(stash_path, "Pebble").value_by_eye is None
        await pilot.press("home", "left_square_bracket")
        assert any("nothing lighter" in text for text in toasts(pilot))


async def test_details_on_a_screen_of_their_own_at_80_columns(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(pilot.app.screen, DetailsScreen)
        shown = screen_text(pilot)
        for words in ("L* 92.0", "36 × 40 in, yardage", "shelf 1", "In the star on the table: A", "Added Milk"):
            assert words in shown
        await pilot.press("escape")
        assert pilot.app.screen is screen
        for key, title in (("b", "Bought"), ("x", "Used"), ("c", "Count"), ("e", "Edit")):
            await pilot.press("enter")
            await settled(pilot)
            await pilot.press(key)
            await settled(pilot)
            assert type(pilot.app.screen).__name__ == f"{title}Dialog"
            await pilot.press("escape")
            await settled(pilot)


async def test_details_beside_the_list_follow_the_cursor(stash_path: Path) -> None:
    async with running(stash_path, (120, 40)) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("down")
        await wait_for(pilot, lambda: "Added Straw" in screen_text(pilot), "the history of Straw")
        assert "18 × 40 in" in screen_text(pilot)
        await pilot.press("enter")
        assert screen.query_one("#details").has_focus


async def test_footer_and_double_click(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        foot = screen_text(pilot).splitlines()[-1]
        await pilot.click(offset=(foot.index("Add") + 1, 23))
        await wait_for(pilot, lambda: isinstance(pilot.app.screen, AddDialog), "the form")
        await pilot.press("escape")
        await pilot.click(FabricList, offset=(30, 3), times=2)
        await wait_for(pilot, lambda: isinstance(pilot.app.screen, DetailsScreen), "the details")
        assert at(screen) == "Poppy"


async def test_grey_shows_the_value_alone(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        screen = await to_stash(pilot)
        await pilot.press("v")
        await pilot.pause()
        listed = screen.query_one(FabricList)
        poppy = listed.render_line(3)
        ground = poppy._segments[1].style
        assert ground is not None
        assert ground.bgcolor is not None
        red, green, blue = ground.bgcolor.get_truecolor()
        assert red == green == blue == 132  # L* 55, from the CIE 1976 formula and the sRGB curve


async def test_a_wider_terminal_shows_the_details(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        await to_stash(pilot)
        assert "L* 92.0" not in screen_text(pilot)
        await pilot.resize_terminal(120, 40)
        await wait_for(pilot, lambda: "L* 92.0" in screen_text(pilot), "the details")
        await pilot.resize_terminal(80, 24)
        await wait_for(pilot, lambda: "L* 92.0" not in screen_text(pilot), "the list alone")


@pytest.mark.parametrize(("term", "chips", "said"), [("xterm", False, "16 colours"), ("xterm-256color", True, "256")])
async def test_poor_colours_are_said_and_16_show_no_chip(
    stash_path: Path, monkeypatch: pytest.MonkeyPatch, term: str, chips: bool, said: str
) -> None:
    monkeypatch.setenv("TERM", term)
    monkeypatch.delenv("COLORTERM")
    async with running(stash_path, (120, 40)) as pilot:
        assert any(said in text for text in toasts(pilot))
        screen = await to_stash(pilot)
        poppy = screen.query_one(FabricList).render_line(3)
        grounds = {segment.style.bgcolor for segment in poppy if segment.style}
        assert (len(grounds) > 1) == chips
        assert "55 ━━━━" in poppy.text


@pytest.mark.parametrize("size", SIZES)
async def test_the_demo_tells_which_fabric_is_short_and_buying_it_mends_that(
    demo_path: Path, size: tuple[int, int]
) -> None:
    async with running(demo_path, size) as pilot:
        screen = await to_stash(pilot)
        assert len(names(screen)) == 60
        await pilot.press("slash", *"rosehip", "enter")
        await settled(pilot)
        assert "D ✗ short" in screen_text(pilot)
        await pilot.press("b")
        await type_text(pilot, "1/2 yd")
        await pilot.press("enter")
        await wait_for(pilot, lambda: "D ✓ covered" in screen_text(pilot), "the row to be covered")
        await pilot.press("u")
        await wait_for(pilot, lambda: "D ✗ short" in screen_text(pilot), "the row to be short again")


async def test_tab_selects_what_stands_in_a_field_and_opening_a_form_does_not(stash_path: Path) -> None:
    """A name that is added to is not lost at the first letter; a field that is gone to is typed anew."""
    async with running(stash_path) as pilot:
        for key in ("f", "e", "!", "tab", "tab", *"box 7", "enter"):
            await pilot.press(key)
        await settled(pilot)
    with Store.open(stash_path) as store:
        (changed,) = (fabric for fabric in store.fabrics() if fabric.name.endswith("!"))
        assert changed.place == "box 7"
