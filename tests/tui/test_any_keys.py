"""Whatever is pressed and clicked, the app goes on and the stash is whole; `--presses 50000` tries that many."""

from __future__ import annotations

import asyncio
import logging
import random
import shutil
from pathlib import Path

import pytest
from textual import events
from textual.keys import _character_to_key
from textual.pilot import Pilot

from stash.inventory.store import Store
from stash.inventory.verify import verify
from tests.tui.driving import running, settled
from tests.tui.sights import make_fixed
from tui.app import StarcoverApp
from tui.commands import COMMANDS

NAMED = {"enter": "\r", "tab": "\t", "space": " ", "escape": None, "up": None, "down": None, "left": None,
         "right": None, "home": None, "end": None, "pageup": None, "pagedown": None, "backspace": None,
         "shift+tab": None}  # fmt: skip
SPELT = {"comma": ",", "slash": "/", "question_mark": "?", "left_square_bracket": "[", "right_square_bracket": "]",
         "equals_sign": "=", "plus": "+", "minus": "-", "less_than_sign": "<", "greater_than_sign": ">",
         "full_stop": "."}  # fmt: skip
OFTEN = ["enter", "down", "escape"] * 6 + ["up", "tab", "right", "left", "space"] * 3 + ["1", "2", "A", "B", "C"]
LEAVING = {"ctrl+q", "q"}  # not that it must not work; the others could not be tried any more
COMMAND_KEYS = [SPELT.get(key, key) for command in COMMANDS for key in command.key.split(",") if key not in LEAVING]
KEYS = [*COMMAND_KEYS, *OFTEN, *NAMED, *"0123456789", *"ABCDEFG", *"/.+ x[]", "ctrl+s", "ctrl+n"]
TOGETHER = 25  # presses that no answer is waited for between


def key_event(key: str) -> events.Key:
    if len(key) == 1:
        return events.Key(key if key.isalnum() else _character_to_key(key), key)
    return events.Key(key, NAMED.get(key))


async def pressed(pilot: Pilot[None], dice: random.Random, presses: int) -> list[str]:
    """Press that many keys, with a click now and then, waiting for answers only between whole handfuls."""
    app, done = pilot.app, list[str]()
    assert isinstance(app, StarcoverApp)
    while len(done) < presses:
        for key in dice.choices(KEYS, k=TOGETHER):
            done.append(key)
            assert app._driver is not None
            app._driver.send_message(key_event(key))
            await asyncio.sleep(0)
        if dice.random() < 0.3:
            spot = (dice.randrange(app.size.width), dice.randrange(app.size.height))
            done.append(f"click {spot}")
            await pilot.click(offset=spot)
        await settled(pilot)
        assert app.is_running, done[-60:]
        assert app.fault is None, done[-60:]
    return done


@pytest.mark.parametrize("keys", [("w", "enter", "enter"), ("o", "enter", "enter"), ("d", "enter", "enter"),
    ("e", "escape", "escape"), ("question_mark", "escape", "escape"), ("ctrl+p", "escape", "escape"),
    ("p", "escape", "escape")])  # fmt: skip
async def test_a_second_press_does_not_close_the_screen_below(keys: tuple[str, ...], tmp_path: Path) -> None:
    async with running(make_fixed(tmp_path / "small.db")) as pilot:
        first, *rest = keys
        await pilot.press(first)
        await settled(pilot)
        assert len(pilot.app.screen_stack) == 2
        for key in rest * 2:
            assert pilot.app._driver is not None
            pilot.app._driver.send_message(key_event(key))
        await settled(pilot)
        assert len(pilot.app.screen_stack) == 1
        assert pilot.app.current_mode in ("star", "suggestions")


@pytest.fixture
def stays(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The app is not left by the palette either, and what is written to files goes to a folder of the test's own."""

    async def stay(self: StarcoverApp) -> None:
        pass

    monkeypatch.setattr(StarcoverApp, "action_quit", stay)
    for home in ("HOME", "USERPROFILE"):
        monkeypatch.setenv(home, str(tmp_path))
    monkeypatch.chdir(tmp_path)


def make(kind: str, path: Path, demo: Path) -> Path:
    if kind == "demo":
        shutil.copy(demo, path)
    elif kind == "empty":
        Store.create(path).close()
    else:
        make_fixed(path)
    return path


@pytest.mark.usefixtures("stays")
@pytest.mark.parametrize(("kind", "seed", "size"), [
    ("fixed", 1, (80, 24)), ("fixed", 2, (120, 40)), ("fixed", 3, (60, 15)), ("demo", 4, (80, 24)),
    ("empty", 5, (80, 24)),
])  # fmt: skip
async def test_no_key_breaks_anything(
    kind: str, seed: int, size: tuple[int, int], tmp_path: Path, demo_made: Path,
    caplog: pytest.LogCaptureFixture, request: pytest.FixtureRequest,
) -> None:  # fmt: skip
    presses = request.config.getoption("--presses") // 5
    path = make(kind, tmp_path / "tried.db", demo_made)
    dice = random.Random(seed)
    with caplog.at_level(logging.ERROR):
        async with running(path, size, make_demo=lambda: make("fixed", tmp_path / "offered.db", demo_made)) as pilot:
            done = await pressed(pilot, dice, presses)
    assert len(done) >= presses
    assert [record.getMessage() for record in caplog.records] == [], [record.exc_text for record in caplog.records]
    assert verify(path) == []
