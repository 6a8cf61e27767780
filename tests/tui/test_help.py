"""Help: it begins with what has the cursor, and is there in every form and dialog."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Input

from tests.tui.driving import running, screen_text, settled, wait_for
from tui.commands import ALL
from tui.dialogs.base import Dialog
from tui.dialogs.fabric import AddDialog
from tui.screens.help import HelpScreen


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
