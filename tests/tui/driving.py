"""Driving the app in a test: waiting for conditions instead of times, and reading what stands on the screen."""

from __future__ import annotations

import asyncio
import threading
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any, TypeVar

import pytest
from textual.pilot import Pilot
from textual.screen import Screen

import stash.match.sequence
from stash.inventory.store import Store
from stash.model import Suggestions
from tui.app import StarcoverApp

On = TypeVar("On", bound=Screen[Any])
SIZES = [(80, 24), (120, 40)]
PATIENCE = 60.0  # seconds until a condition that never comes true fails the test


def made(path: Path, fill: Callable[[Store], None]) -> Path:
    """A new stash at `path` with what `fill` puts into it, closed."""
    with Store.create(path) as store:
        fill(store)
    return path


async def wait_for(pilot: Pilot[None], condition: Callable[[], object], what: str = "") -> None:
    """Let the app work until `condition()` is true; fail after a while, showing `what`."""
    deadline = time.monotonic() + PATIENCE
    while not condition():
        if time.monotonic() > deadline:
            raise AssertionError(f"waited in vain for {what or condition}")
        await pilot.pause()
        await asyncio.sleep(0.005)  # leaves the worker threads some time; the condition decides, not the clock


async def settled(pilot: Pilot[None]) -> None:
    """Wait until nothing asked of the stash or the searches is under way and the screen is drawn."""
    app = pilot.app
    assert isinstance(app, StarcoverApp)
    await wait_for(pilot, lambda: app.loaded.ready and app.jobs.idle, "the app to settle")
    await pilot.pause()


def on_top(pilot: Pilot[None], kind: type[On]) -> On:
    """The screen or dialog on top, which must be of this kind."""
    found = pilot.app.screen
    assert isinstance(found, kind)
    return found


async def press(pilot: Pilot[None], *keys: str) -> None:
    """Press keys one after the other, each once all that the one before asked for is done."""
    for key in keys:
        await pilot.press(key)
        await settled(pilot)


async def edit_keys_do_nothing(pilot: Pilot[None]) -> None:
    """On the Stash screen every key that would change something leaves all as it is, and read only is said."""
    assert "read only" in screen_text(pilot)
    screen = pilot.app.screen
    for key in ("a", "e", "b", "x", "c", "r", "u"):
        await pilot.press(key)
        assert pilot.app.screen is screen


async def look_again(pilot: Pilot[None]) -> None:
    """Let the app notice what another program changed. It looks only while nothing else is under way."""
    app = pilot.app
    assert isinstance(app, StarcoverApp)
    await settled(pilot)
    app._look_again()
    await settled(pilot)


@asynccontextmanager
async def running(path: Path, size: tuple[int, int] = (80, 24), **options: Any) -> AsyncIterator[Pilot[None]]:
    """The app on the stash at `path`, settled, with toasts on."""
    app = StarcoverApp(path, **options)
    async with app.run_test(size=size, notifications=True) as pilot:
        await wait_for(pilot, lambda: app.current_mode != "_default", "the first screen")
        await settled(pilot)
        yield pilot


def held_searches(monkeypatch: pytest.MonkeyPatch) -> threading.Event:
    """From now on a search for runs has no answer until the event that this gives is set."""
    go, real = threading.Event(), stash.match.sequence.suggest

    def slow(*asked: Any, **more: Any) -> Suggestions:
        assert go.wait(PATIENCE)
        return real(*asked, **more)

    monkeypatch.setattr(stash.match.sequence, "suggest", slow)
    return go


def screen_text(pilot: Pilot[None]) -> str:
    """What stands on the terminal, line by line."""
    width, height = pilot.app.size
    strips = pilot.app.screen._compositor.render_strips()
    return "\n".join(strip.text.ljust(width)[:width] for strip in strips[:height])


def toasts(pilot: Pilot[None]) -> list[str]:
    return [notification.message for notification in pilot.app._notifications]
