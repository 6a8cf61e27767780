"""The list of fabrics at 10,000 and 50,000 against Textual's DataTable: load, a key in the filter, another order.

Both stand alone in an app of their own, 120 x 40, without a terminal. A figure ends when the screen is drawn anew.
Making the lines, which the app does on a thread, is a figure of its own; the table always gets its cells ready made.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Sequence
from typing import Any

from textual.app import App, ComposeResult
from textual.widget import Widget
from textual.widgets import DataTable

from stash.model import Fabric
from stash.shelf import Order
from tests.bench.invented import fabrics
from tests.bench.measure import Figure, compared_async
from tui.widgets.fabric_lines import FabricLine, Lines, make_lines
from tui.widgets.fabric_list import FabricList

ROUNDS = {10_000: 5, 50_000: 2}
KEY = "7"  # as typed into an empty filter: a third of the invented names have it


class _Alone(App[None]):
    def __init__(self, widget: Widget) -> None:
        super().__init__()
        self.widget = widget

    def compose(self) -> ComposeResult:
        yield self.widget

    async def drawn(self, act: Callable[[], object]) -> float:
        """Seconds from the call until everything is drawn that it changed."""
        done = asyncio.Event()
        start = time.perf_counter()
        act()
        self.call_after_refresh(done.set)
        await done.wait()
        return time.perf_counter() - start


def figures() -> list[Figure]:
    return [one for count in ROUNDS for one in asyncio.run(_of(fabrics(count)))]


async def _of(stash: Sequence[Fabric]) -> list[Figure]:
    listed, table = FabricList(), DataTable[Any](cursor_type="row")
    ours, theirs = _Alone(listed), _Alone(table)
    async with ours.run_test(size=(120, 40)), theirs.run_test(size=(120, 40)):
        columns = table.add_columns("value", "name", "on hand", "place")
        lines = make_lines(stash)
        rows = [_cells(line) for line in lines.orders[Order.VALUE]]
        some = [_cells(line) for line in lines.matching(Order.VALUE, KEY)]

        def fill(cells: Sequence[tuple[str, ...]]) -> None:
            table.clear()
            table.add_rows(cells)

        acts = {
            "load, lines made too": (lambda: _show(listed, make_lines(stash), ""), lambda: fill(rows)),
            "load": (lambda: _show(listed, lines, ""), lambda: fill(rows)),
            "filter key": (lambda: _show(listed, lines, KEY), lambda: fill(some)),
            "other order": (
                lambda: listed.show(lines.orders[Order.NAME], 0),
                lambda: table.sort(columns[1], reverse=next(turns)),
            ),
        }
        turns = iter([True, False] * 50)
        found = []
        for what, (mine, reference) in acts.items():
            rounds = ROUNDS[len(stash)]
            if what == "other order":
                fill(rows)
                rounds = 9  # quick for both
            found.append(await compared_async(
                f"{len(stash):,} fabrics, {what}", lambda act=mine: ours.drawn(act),  # type: ignore[misc]
                "DataTable", lambda act=reference: theirs.drawn(act), rounds=rounds,  # type: ignore[misc]
            ))  # fmt: skip
        return found


def _show(listed: FabricList, lines: Lines, words: str) -> None:
    listed.show(lines.matching(Order.VALUE, words), 0)


def _cells(line: FabricLine) -> tuple[str, ...]:
    return f"{line.value:.0f}", line.name, line.hand, line.place
