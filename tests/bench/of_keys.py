"""The Stash screen with 10,000 fabrics, 120 x 40: how long a key holds the screen up, against a DataTable's filter.

While a key is worked off, a second task asks for its turn every millisecond; the longest it waits is how long no other
key and no drawing could come through. The reference is the same for a table widget that is filled anew.
"""

from __future__ import annotations

import asyncio
import tempfile
import time
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

from textual.app import App, ComposeResult
from textual.pilot import Pilot
from textual.widgets import DataTable

from stash.shelf import Order
from tests.bench.invented import fabrics
from tests.bench.measure import Figure, Goal, compared_async
from tests.bench.of_memory import COUNT, make_stash
from tui.app import StarcoverApp
from tui.widgets.fabric_lines import make_lines

KEYS = {"down": "down", "page down": "pagedown", "filter key": "7", "other order": "o", "grey": "v"}
BEFORE, AFTER = {"7": ("slash",)}, {"7": ("escape", "escape")}
WORKED_OFF = 0.3  # seconds after a key by which the details beside the list are there, too
EACH = 0.001  # seconds between two times that the second task wants its turn
LONGEST = Goal(seconds=0.015)


def figures() -> list[Figure]:
    with tempfile.TemporaryDirectory(prefix="starcover-bench-") as folder:
        path = Path(folder, "stash.db")
        make_stash(path)
        return asyncio.run(_of(path))


async def _of(path: Path) -> list[Figure]:
    app, table = StarcoverApp(path), _Table()
    async with app.run_test(size=(120, 40)) as pilot, table.run_test(size=(120, 40)):
        await _read(pilot)
        found = []
        for name, key in KEYS.items():

            async def ours(key: str = key) -> float:
                for one in BEFORE.get(key, ()):
                    await pilot.press(one)
                held = await _held(lambda: pilot.press(key))
                for one in AFTER.get(key, ()):
                    await pilot.press(one)
                return held

            what = f"{COUNT:,} fabrics, {name}: longest hold"
            found.append(await compared_async(what, ours, "DataTable filled", table.held, LONGEST, rounds=9))
        return found


async def _read(pilot: Pilot[None]) -> None:
    app = pilot.app
    assert isinstance(app, StarcoverApp)
    while not (app.loaded.ready and app.jobs.idle):
        await pilot.pause()
    await asyncio.sleep(1)  # lines are made on a thread


async def _held(act: Callable[[], Awaitable[object]]) -> float:
    """The longest that the loop was held up in one go by what `act` brings about, seconds."""
    longest = 0.0

    async def ask() -> None:
        nonlocal longest
        while True:
            asked = time.perf_counter()
            await asyncio.sleep(EACH)
            longest = max(longest, time.perf_counter() - asked - EACH)

    asking = asyncio.create_task(ask())
    await act()
    await asyncio.sleep(WORKED_OFF)
    asking.cancel()
    return longest


class _Table(App[None]):
    """A table widget of as many fabrics; the filter's key fills it with those that match."""

    def compose(self) -> ComposeResult:
        lines = make_lines(fabrics(COUNT))
        self.rows = [(line.name, line.hand, line.place) for line in lines.matching(Order.VALUE, KEYS["filter key"])]
        yield DataTable[Any](cursor_type="row")

    def on_mount(self) -> None:
        self.query_one(DataTable[Any]).add_columns("name", "on hand", "place")

    async def held(self) -> float:
        async def fill() -> None:
            table = self.query_one(DataTable[Any])
            table.clear()
            table.add_rows(self.rows)

        return await _held(fill)
