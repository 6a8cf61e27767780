"""The one table of commands: nothing is bound beside it, each does something, and the mouse is told what."""

from __future__ import annotations

import pkgutil
from collections import Counter
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from string import ascii_uppercase

import pytest
from textual.binding import Binding
from textual.dom import DOMNode
from textual.widgets import Button, Input

import tui
import tui.keeping
import tui.logfile
from tests.tui.driving import running, settled
from tui.app import StarcoverApp
from tui.commands import ALL, BY_ID, COMMANDS, commands_for, footer_for
from tui.dialogs.base import Dialog
from tui.dialogs.paper import PaperDialog
from tui.parts import PARTS
from tui.screens.help_notes import NOTES
from tui.screens.modes import MODES
from tui.screens.star import StarScreen
from tui.widgets.key_bar import MORE, MOST_AT_80, KeyBar
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
        assert footer_for(one.HERE)


def test_no_two_commands_have_one_id() -> None:
    assert len({command.id for command in ALL}) == len(ALL)


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


def test_screens_commands_come_first_in_the_table() -> None:
    assert ALL[: len(COMMANDS)] == COMMANDS


def screen_class(name: str) -> type:
    """The class that must have the actions of a screen's commands."""
    if name == "app":
        return StarcoverApp
    modules = {"stash": "StashScreen", "star": "StarScreen", "suggestions": "SuggestionsScreen"}
    modules |= {"history": "HistoryScreen", "intake": "IntakeScreen", "cutting": "CuttingScreen"}
    modules |= {"sizes": "SizesScreen"}
    module = __import__(f"tui.screens.{name}", fromlist=[modules[name]])
    return getattr(module, modules[name])


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command.id)
def test_each_command_does_something(command) -> None:
    action = command.action.partition("(")[0]
    assert hasattr(screen_class(command.screen), f"action_{action}")
    assert command.name
    assert command.help


@pytest.mark.parametrize("screen", MODES)
def test_no_two_commands_share_a_key(screen: str) -> None:
    keys = [
        binding.key
        for command in (*commands_for(screen), *commands_for("app"))
        for binding in Binding.make_bindings([Binding(command.key, "x")])
    ]
    assert [key for key, number in Counter(keys).items() if number > 1] == []
    assert max(Counter(command.id for command in COMMANDS).values()) == 1


def test_capital_letters_on_the_star_belong_to_its_rows() -> None:
    for command in (*commands_for("star"), *commands_for("app")):
        assert not any(len(key) == 1 and key.isupper() for key in command.key.split(","))


@pytest.mark.parametrize("screen", MODES)
async def test_at_most_seven_footer_keys_at_80_columns_and_all_fit(stash_path: Path, screen: str) -> None:
    async with running(stash_path) as pilot:
        await pilot.app.switch_mode(screen)
        await settled(pilot)
        bar = pilot.app.screen.query_one(KeyBar)
        wanted = [command for command, _ in bar.shown()]
        bar.render()
        assert 0 < len(wanted) <= MOST_AT_80
        shown = [command for _, _, command in bar.spans]
        assert shown[: len(wanted)] == wanted  # none was cut off
        assert MORE in shown  # by the mouse all others are found there
        assert set(wanted) <= set(footer_for(screen))
