"""A save against a bare SQLite commit of one row, on the same disk and with the same pragmas.

A save of ours also reads the fabric, compares the header, writes the history's entry and its lines, and gives the
fabric back as it is then.
"""

from __future__ import annotations

import itertools
import sqlite3
import tempfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from stash.inventory.store import Store
from stash.lengths import TICKS_PER_INCH
from stash.model import Colour, Kind, NewFabric, NewPiece
from tests.bench.measure import Figure, Goal, compared

GOAL = Goal(ratio=3)
ROUNDS = 151  # a commit waits for the disk, now longer, now shorter
PRAGMAS = ("journal_mode = DELETE", "synchronous = EXTRA", "foreign_keys = ON", "trusted_schema = OFF")


def figures() -> list[Figure]:
    with tempfile.TemporaryDirectory(prefix="starcover-bench-") as folder:
        place = Path(folder)
        with Store.create(place / "stash.db") as store, closing(_bare(place / "bare.db")) as bare:
            for number in range(1, 301):
                store.add(_fabric(f"Cloth {number}"))
            return [
                compared(what, act, "a bare commit", _commit(bare), GOAL, rounds=ROUNDS)
                for what, act in _saves(store).items()
            ]


def _fabric(name: str) -> NewFabric:
    piece = NewPiece(Kind.YARDAGE, 18 * TICKS_PER_INCH, 40 * TICKS_PER_INCH)
    return NewFabric(name, (piece,), Colour(46, -30, 28))


def _saves(store: Store) -> dict[str, Callable[[], object]]:
    """The saves that a maker waits for most often, each with something new at each call."""
    numbers = itertools.count(1)
    return {
        "a place edited": lambda: store.edit(next(numbers) % 300 + 1, place=f"shelf {next(numbers)}"),
        "a value by eye": lambda: store.set_value_by_eye(next(numbers) % 300 + 1, 10 + next(numbers) % 8000 / 100),
        "a fabric added": lambda: store.add(_fabric(f"New cloth {next(numbers)}")),
    }


def _bare(path: Path) -> sqlite3.Connection:
    bare = sqlite3.connect(path, isolation_level=None)
    for pragma in PRAGMAS:
        bare.execute(f"PRAGMA {pragma}")
    bare.execute("CREATE TABLE fabric (id INTEGER PRIMARY KEY, name TEXT NOT NULL) STRICT")
    return bare


def _commit(bare: sqlite3.Connection) -> Callable[[], object]:
    def commit() -> None:
        bare.execute("BEGIN IMMEDIATE")
        bare.execute("INSERT INTO fabric (name) VALUES ('Fern')")
        bare.execute("COMMIT")

    return commit
