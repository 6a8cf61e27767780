"""What the app says in passing: it stands over the footer, hides nothing else, and goes with the next key."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets._toast import Toast

from stash.errors import Fault
from tests.tui.driving import SIZES, running, settled, toasts, wait_for
from tui.commands import BY_ID
from tui.saying import SayingApp

WIDEST = "Unwashed pieces are reckoned as they will be once washed: 5 % narrower"
FAULT = Fault("the disk is full", where="stash.db", do="make room, then try again")


@pytest.mark.parametrize("size", SIZES, ids=lambda size: str(size[0]))
@pytest.mark.parametrize("screen", ["stash", "star", "suggestions", "sizes", "cutting", "history"])
async def test_a_message_hides_the_footer_only(stash_path: Path, screen: str, size: tuple[int, int]) -> None:
    async with running(stash_path, size) as pilot:
        await pilot.press(BY_ID[f"app.{screen}"].key.split(",")[0])
        await settled(pilot)
        assert isinstance(pilot.app, SayingApp)
        pilot.app.say(WIDEST)
        await wait_for(pilot, lambda: [one.region.height for one in pilot.app.screen.query(Toast)] == [1])
        assert [one.region.y for one in pilot.app.screen.query(Toast)] == [size[1] - 1]


async def test_what_is_told_goes_with_the_next_key(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        await pilot.press("s", "p", "escape", "a")  # a small letter for a row: the maker is told
        await wait_for(pilot, lambda: toasts(pilot) == ["Rows are picked by capital letters: Shift+A"])
        await pilot.press("A")
        await wait_for(pilot, lambda: not toasts(pilot), "the message to go")


async def test_it_goes_with_a_click(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        assert isinstance(pilot.app, SayingApp)
        pilot.app.say("Saved")
        await wait_for(pilot, lambda: toasts(pilot))
        await pilot.click(offset=(40, 15))
        await wait_for(pilot, lambda: not toasts(pilot), "the message to go")


async def test_what_the_mouse_or_a_key_makes_the_app_say_stays(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        for _ in range(3):
            await pilot.press("s", "right_square_bracket")
            await settled(pilot)
            assert len(toasts(pilot)) == 1


async def test_a_fault_waits_for_escape(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        assert isinstance(pilot.app, SayingApp)
        pilot.app.show_fault(FAULT)
        await pilot.press("down", "down")
        assert toasts(pilot) == [FAULT.line()]
        await pilot.press("escape")
        await wait_for(pilot, lambda: not toasts(pilot), "the fault to go")


async def test_a_first_start_says_all_it_has_to_say(stash_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with running(stash_path, first_start=True) as pilot:
        await wait_for(pilot, lambda: toasts(pilot))
        assert "A stash was made at" in toasts(pilot)[0]
        assert "NO_COLOR" in toasts(pilot)[0]


async def test_what_is_told_leaves_a_fault_standing(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        assert isinstance(pilot.app, SayingApp)
        pilot.app.show_fault(FAULT)
        await wait_for(pilot, lambda: toasts(pilot) == [FAULT.line()], "the fault")
        pilot.app.say("Saved")
        await wait_for(pilot, lambda: toasts(pilot) == [FAULT.line(), "Saved"], "both")
        await pilot.press("down")
        await wait_for(pilot, lambda: toasts(pilot) == [FAULT.line()], "what was told to go")
