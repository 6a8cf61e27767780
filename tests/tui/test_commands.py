"""The one table of commands: nothing is bound beside it; help, tooltips, and keys that the user changed."""

from __future__ import annotations

import json
import pkgutil
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from string import ascii_uppercase

import pytest
from textual.binding import Binding
from textual.command import CommandPalette
from textual.dom import DOMNode
from textual.widgets import Button, Input

import tui
from stash.cli import main
from stash.paths import keys_file
from tests.tui.driving import running, screen_text, settled, toasts, wait_for
from tui.commands import ALL, BY_ID, COMMANDS, footer_for
from tui.dialogs.base import Dialog
from tui.dialogs.fabric import AddDialog
from tui.dialogs.paper import PaperDialog
from tui.keys import key_name
from tui.parts import PARTS
from tui.remapping import read_keys
from tui.screens.help import HelpScreen
from tui.screens.help_notes import NOTES
from tui.screens.star import StarScreen
from tui.widgets.key_bar import KeyBar
from tui.widgets.title_bar import TitleBar

OF_THE_ROWS = {*ascii_uppercase[:25], *"23456789"}


def all_classes() -> set[type[DOMNode]]:
    """Every screen, dialog, widget and app of the interface."""
    names = [one.name for one in pkgutil.walk_packages(tui.__path__, "tui.")]
    for name in names:
        import_module(name)
    found, left = set(), [DOMNode]
    while left:
        for one in left.pop().__subclasses__():
            left.append(one)
            if one.__module__ in names:
                found.add(one)
    return found


def bound() -> Iterator[tuple[type[DOMNode], Binding]]:
    for one in all_classes():
        for binding in Binding.make_bindings(one.__dict__.get("BINDINGS", ())):
            yield one, binding


# -- the table


def test_nothing_is_bound_that_the_table_does_not_have() -> None:
    seen = set()
    for one, binding in bound():
        if one is StarScreen and binding.key in OF_THE_ROWS and binding.id is None:
            continue  # the letters of the rows, and further ways on: help tells them in words
        assert binding.id in BY_ID, (one, binding)
        keys = [each.key for each in Binding.make_bindings([BY_ID[binding.id].binding()])]
        assert binding.key in keys, (one, binding)
        seen.add(binding.id)
    assert seen == set(BY_ID)


def test_the_keys_of_the_rows_are_told_in_words() -> None:
    assert any("capital letter picks its row" in note for note in NOTES["star"])
    assert BY_ID["star.way"].help.startswith("1 to 9")


def test_every_command_of_a_dialog_or_widget_is_done_somewhere() -> None:
    classes = all_classes()
    for command in PARTS:
        name = command.action.partition("(")[0]
        doing = [one for one in classes if one.__dict__.get("HERE") == command.screen]
        assert doing, command
        done = command.action.startswith("app.") or all(hasattr(one, f"action_{name}") for one in doing)
        assert done, command
        assert command.name
        assert command.help


def test_every_dialog_has_a_place_in_the_table_a_name_and_a_footer() -> None:
    dialogs = [one for one in all_classes() if issubclass(one, Dialog) and one is not Dialog]
    assert len(dialogs) > 10
    for one in dialogs:
        assert one.HERE
        assert one.TITLE
        assert 0 < len(footer_for(one.HERE)) + 1


def test_no_two_commands_have_one_id() -> None:
    assert len({command.id for command in ALL}) == len(ALL)


# -- help


async def test_help_begins_with_what_has_the_cursor(stash_path: Path) -> None:
    async with running(stash_path, (100, 70)) as pilot:
        await pilot.press("f")
        await settled(pilot)
        await pilot.press("question_mark")
        lines = screen_text(pilot)
        assert lines.index("Here: the list") < lines.index("as many lines up as are seen") < lines.index("record a new")
        assert "take the newest change back" in lines
        await pilot.press("question_mark")
        assert not isinstance(pilot.app.screen, HelpScreen)


async def test_help_in_a_form_says_what_the_field_takes(stash_path: Path) -> None:
    async with running(stash_path, (100, 50)) as pilot:
        await pilot.press("f", "a")
        await settled(pilot)
        assert isinstance(pilot.app.screen, AddDialog)
        await pilot.press("down", *"3 x f")
        await pilot.press("f1")
        shown = screen_text(pilot)
        assert "Here: Pieces" in shown
        assert "It takes: 1/2 yd, 13 in, 50 cm" in shown
        assert "Now: 3 x f" in shown
        assert "✗" in shown  # what is wrong with it
        for command in ALL:
            if command.screen == "form":
                assert command.help[:30] in shown
        assert "take the newest change back" not in shown  # it does not work here
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, AddDialog)
        assert pilot.app.screen.query_one("#pieces", Input).value == "3 x f"


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        (["o"], "lay out a new star"),
        (["f12"], "back the stash up now"),
        (["A", "enter"], "ten fabrics down"),
        (["w"], "take what is typed"),
        (["p"], "the page twice as large"),
        (["e"], "what is typed"),
    ],
)
async def test_help_is_there_in_every_dialog(stash_path: Path, keys: list[str], words: str) -> None:
    async with running(stash_path, (100, 50)) as pilot:
        await pilot.press(*keys)
        await settled(pilot)
        assert isinstance(pilot.app.screen, Dialog)
        assert "F1 Help" in screen_text(pilot) or "? Help" in screen_text(pilot).split("\n", 1)[1]
        await pilot.press("f1")
        await wait_for(pilot, lambda: isinstance(pilot.app.screen, HelpScreen), "help")
        await settled(pilot)
        assert words in screen_text(pilot)


async def test_arrows_go_through_the_fields_of_a_form_that_is_longer_than_the_terminal(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        await pilot.press("g", "e")
        await settled(pilot)
        dialog = pilot.app.screen
        fields = [field.id for field in dialog.query(Input)]
        seen = [pilot.app.focused.id]
        for _ in fields[1:]:
            await pilot.press("down")
            seen.append(pilot.app.focused.id)
            await settled(pilot)
            assert pilot.app.focused.region in dialog.query_one("#fields").region
        assert seen == fields
        await pilot.press("up")
        assert pilot.app.focused.id == fields[-2]


# -- tooltips and the mouse


async def test_the_mouse_is_told_what_a_key_of_the_footer_does(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        bar = pilot.app.screen.query_one(KeyBar)
        start, _, command = next(span for span in bar.spans if span[2].id == "star.grey")
        await pilot.hover(KeyBar, offset=(start + 2, 0))
        assert bar.tooltip == f"{command.name}: {command.help}"
        await pilot.hover(TitleBar, offset=(1, 0))
        assert pilot.app.screen.query_one(TitleBar).tooltip == "Stash: the fabrics you have"


async def test_a_click_on_the_footer_of_a_dialog_does_it(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        await pilot.press("o")
        await settled(pilot)
        bar = pilot.app.screen.query_one(KeyBar)
        start = next(start for start, _, command in bar.spans if command.id == "stars.leave")
        await pilot.click(KeyBar, offset=(start, 0))
        assert not isinstance(pilot.app.screen, Dialog)


async def test_buttons_of_dialogs_tell_what_they_do(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        await pilot.press("p")
        await settled(pilot)
        assert isinstance(pilot.app.screen, PaperDialog)
        assert all(button.tooltip for button in pilot.app.screen.query(Button))


# -- other keys


def write(text: str | bytes) -> None:
    keys_file().parent.mkdir(parents=True, exist_ok=True)
    keys_file().write_bytes(text.encode() if isinstance(text, str) else text)


async def test_a_key_of_the_users_own_works_and_is_shown_everywhere(stash_path: Path) -> None:
    write('"star.grey" = "f9"\n[star]\nbacking = ["ctrl+b"]\n[app]\nhistory = "ctrl+g,f5"\n')
    async with running(stash_path, (120, 50)) as pilot:
        assert not [text for text in toasts(pilot) if "keys.toml" in text]
        assert "F9 Grey" in screen_text(pilot).splitlines()[-1]
        assert "^g History" in screen_text(pilot).splitlines()[0]
        screen = pilot.app.screen
        assert isinstance(screen, StarScreen)
        assert screen.active_bindings["f9"].binding.id == "star.grey"
        assert "v" not in screen.active_bindings
        await pilot.press("question_mark")
        assert "F9" in screen_text(pilot)
        await pilot.press("escape", "ctrl+p", *"hist")
        await wait_for(pilot, lambda: "History  (^g)" in screen_text(pilot), "the palette")
        assert isinstance(pilot.app.screen, CommandPalette)
        await pilot.press("escape", "ctrl+g")
        await wait_for(pilot, lambda: pilot.app.current_mode == "history", "the history")


async def test_a_dialogs_keys_can_be_changed_too(stash_path: Path) -> None:
    write('"form.save" = "f10"\n')
    async with running(stash_path) as pilot:
        await pilot.press("f", "a", *"Dusk")
        await settled(pilot)
        assert "F10 Save" in screen_text(pilot)
        await pilot.press("f10")
        await wait_for(pilot, lambda: not isinstance(pilot.app.screen, Dialog), "the form saved")
        assert any(fabric.name == "Dusk" for fabric in pilot.app.loaded.fabrics)


async def test_faults_of_the_file_are_one_line_and_the_rest_works(stash_path: Path) -> None:
    write('"star.prnt" = "f9"\n"star.grey" = "f8"\n"app.history" = "ctrl+g"\n')
    async with running(stash_path, (120, 40)) as pilot:
        said = [text for text in toasts(pilot) if "keys.toml" in text]
        assert len(said) == 1
        assert "there is no command star.prnt, did you mean star.print?" in said[0]
        assert "and 1 more" in said[0]
        assert pilot.app.screen.active_bindings["v"].binding.id == "star.grey"
        assert pilot.app.screen.active_bindings["f8"].binding.id == "star.binding"
        await pilot.press("ctrl+g")
        await wait_for(pilot, lambda: pilot.app.current_mode == "history", "the history")


REFUSED = [
    ('"star.grey" = 7', "in quotes"),
    ('"star.grey" = []', "in quotes"),
    ('"star.grey" = ""', "no key"),
    ('"star.grey" = "F99"', "no key"),
    ('"star.grey" = "ctrl+"', "no key"),
    ('"star.grey" = "kontrol+x"', "no key"),
    ('"star.grey" = "A"', "picks a row"),
    ('"star.grey" = "3"', "picks a row"),
    ('"star.way" = "f9"', "keeps its keys"),
    ('"star.grey" = "c"', "is the key of star.chart"),
    ('"star.grey" = "?"', "is the key of app.help"),
    ('"stash.add" = "home"', "is the key of list.first"),
    ('"app.undo" = "/"', "is the key of stash.filter"),
    ('"form.save" = "s"', "is written into the field"),
    ('"paper.larger" = "+"', "is written into the field"),
    ("star.grey = ", "not TOML"),
    ("nothing", "not TOML"),
    (b"\xff\xfe", "not in UTF-8"),
    (b'"star.grey" = "\x1b[31m"', "not TOML"),
    (b"#" * 200_000, "longer"),
    (b"a=" + b"[" * 50_000, "not TOML"),
]


@pytest.mark.parametrize(("text", "said"), REFUSED)
def test_what_is_wrong_in_it_is_said(text: str | bytes, said: str) -> None:
    write(text)
    found = read_keys(keys_file())
    assert found.keys == {}
    assert len(found.faults) == 1
    assert said in found.faults[0]
    assert "\x1b" not in found.said(keys_file())
    assert "\n" not in found.said(keys_file())


TAKEN = [
    ('"star.grey" = "c"\n"star.chart" = "v"', {"star.grey": "c", "star.chart": "v"}),  # exchanged
    ('"stash.add" = "insert, a"', {"stash.add": "insert,a"}),
    ('"stash.add" = ","', {"stash.add": "comma"}),
    ('"stash.add" = "!"', {"stash.add": "!"}),
    ('"stash.grey" = "g"\n"app.suggestions" = "f4"', {"stash.grey": "g", "app.suggestions": "f4"}),
    ("", {}),
]


@pytest.mark.parametrize(("text", "keys"), TAKEN)
def test_what_is_right_is_taken(text: str, keys: dict[str, str]) -> None:
    write(text)
    assert read_keys(keys_file()).keys == keys
    assert read_keys(keys_file()).faults == ()


def test_no_file_is_no_fault() -> None:
    assert read_keys(keys_file()).faults == ()


def test_a_folder_in_its_place_is_one() -> None:
    keys_file().mkdir(parents=True)
    assert "cannot be read" in read_keys(keys_file()).faults[0]


# -- the command line


def test_keys_lists_every_command_with_its_keys(capsys: pytest.CaptureFixture[str]) -> None:
    write('"star.print" = "ctrl+r"\n')
    assert main(["keys", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert [one["command"] for one in said["commands"]] == [command.id for command in ALL]
    by_id = {one["command"]: one["keys"] for one in said["commands"]}
    assert by_id["star.print"] == ["^r"]
    assert by_id["star.cut"] == [key_name("x")]
    assert main(["where"]) == 0
    assert str(keys_file()) in capsys.readouterr().out


def test_keys_says_what_is_wrong_in_the_file(capsys: pytest.CaptureFixture[str]) -> None:
    write('"star.prnt" = "ctrl+r"\n')
    assert main(["keys"]) == 0
    assert "did you mean star.print?" in capsys.readouterr().err


def test_screens_commands_come_first_in_the_table() -> None:
    assert ALL[: len(COMMANDS)] == COMMANDS
