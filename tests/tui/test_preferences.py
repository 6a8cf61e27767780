"""The theme is remembered; a terminal of few colours or none shows words that can be read."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest
from textual.pilot import Pilot

from stash.paths import theme_file, view_file
from tests.tui.driving import running, screen_text, settled, toasts, wait_for
from tui.preferences import keep_theme, kept_theme, kept_view
from tui.themes import DAYLIGHT, EVENING
from tui.widgets.star_picture import StarPicture


async def test_the_theme_chosen_by_f6_is_there_next_time(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        assert pilot.app.theme == EVENING.name
        await pilot.press("f6", *DAYLIGHT.name)
        await wait_for(pilot, lambda: screen_text(pilot).count(DAYLIGHT.name) == 2, "the one theme that is meant")
        await pilot.press("enter")
        await wait_for(pilot, lambda: pilot.app.theme == DAYLIGHT.name, "the other theme")
    async with running(stash_path) as pilot:
        assert pilot.app.theme == DAYLIGHT.name


async def test_a_theme_that_only_began_is_not_written_down(stash_path: Path) -> None:
    async with running(stash_path):
        pass
    assert not theme_file().exists()


async def test_the_view_chosen_by_f7_is_there_next_time(stash_path: Path) -> None:
    """A star that would be seen whole is seen as one point, and the other way round."""

    def seen(pilot: Pilot[None]) -> bool:
        return pilot.app.screen.query_one("#picture", StarPicture).one_point

    async with running(stash_path, (120, 40)) as pilot:
        await pilot.press("s")
        await settled(pilot)
        first = seen(pilot)
        assert not view_file().exists()
        await pilot.press("f7")
        await settled(pilot)
        assert seen(pilot) is not first
    async with running(stash_path, (120, 40)) as pilot:
        await pilot.press("s")
        await settled(pilot)
        assert seen(pilot) is not first
        await pilot.press("f7")
        await settled(pilot)
    async with running(stash_path, (120, 40)) as pilot:
        await pilot.press("s")
        await settled(pilot)
        assert seen(pilot) is first
    view_file().write_text("[bold]no such view")
    assert kept_view() == ""


@pytest.mark.parametrize("kept", [b"", b"no such theme", b"\xff\xfe\x00", b"[bold]" * 100])
async def test_a_broken_choice_is_the_default(stash_path: Path, kept: bytes) -> None:
    theme_file().parent.mkdir(parents=True)
    theme_file().write_bytes(kept)
    async with running(stash_path) as pilot:
        assert pilot.app.theme == EVENING.name


async def test_a_choice_that_cannot_be_kept_still_holds(stash_path: Path) -> None:
    theme_file().parent.mkdir(parents=True)
    theme_file().mkdir()
    async with running(stash_path) as pilot:
        pilot.app.theme = DAYLIGHT.name
        await settled(pilot)
        assert pilot.app.theme == DAYLIGHT.name
    assert kept_theme() == ""


async def test_without_colours_no_theme_of_the_terminals_own_is_used(
    stash_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    keep_theme("ansi-dark")
    async with running(stash_path) as pilot:
        assert pilot.app.theme == "ansi-dark"
    monkeypatch.setenv("NO_COLOR", "1")
    async with running(stash_path) as pilot:
        assert pilot.app.theme == EVENING.name
        assert not any(theme.ansi for theme in pilot.app.available_themes.values())


CASES = [
    ({"NO_COLOR": "1"}, "NO_COLOR"),
    ({"COLORTERM": ""}, "256 colours"),
    ({"COLORTERM": "", "TERM": "xterm"}, "16 colours"),
    ({}, ""),
]


@pytest.mark.parametrize(("environment", "said"), CASES)
@pytest.mark.parametrize("theme", [EVENING.name, DAYLIGHT.name])
async def test_what_the_terminal_cannot_show_is_said_once(
    stash_path: Path, monkeypatch: pytest.MonkeyPatch, environment: dict[str, str], said: str, theme: str
) -> None:
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    keep_theme(theme)
    async with running(stash_path) as pilot:
        about = [text for text in toasts(pilot) if "colours" in text]
        assert len(about) == (1 if said else 0)
        assert all(said in text for text in about)
        await pilot.press("f", "s")
        await settled(pilot)
        assert toasts(pilot) == []  # it went with the first key, and is not said again
        for words in ("Lantern", "Milk", "covered"):
            assert words in screen_text(pilot)
        assert unreadable(pilot.app) == []


def unreadable(app) -> list[str]:
    """Words whose colour is nearly that of the ground they stand on."""
    near = []
    for strip in app.screen._compositor.render_strips():
        for text, style, _ in strip:
            if style is None or style.color is None or style.bgcolor is None or not any(map(str.isalnum, text)):
                continue
            ink, ground = style.color.get_truecolor(), style.bgcolor.get_truecolor(foreground=False)
            if sum(abs(one - other) for one, other in zip(ink, ground, strict=True)) < 60:
                near.append(text)
    return near


def test_a_terminal_that_cannot_move_its_cursor_is_refused_in_one_line(stash_path: Path) -> None:
    ours, theirs = pty.openpty()
    environment = {**os.environ, "TERM": "dumb", "PYTHONPATH": str(Path(__file__).parents[2])}
    command = [sys.executable, "-m", "stash.cli", "--db", str(stash_path)]
    done = subprocess.run(
        command, stdin=theirs, stdout=theirs, stderr=subprocess.PIPE, env=environment, text=True, timeout=60
    )
    os.close(ours)
    os.close(theirs)
    assert done.returncode == 1
    assert len(done.stderr.splitlines()) == 1
    assert "TERM is dumb" in done.stderr
