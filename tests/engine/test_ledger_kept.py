"""What nobody may do to a stash file, and what a kill leaves of it."""

from __future__ import annotations

import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from stash.errors import Fault
from stash.inventory.store import Store
from tests.engine.stashes import agrees, fern, inch, raw, tables
from tests.posix import POSIX

# --- nobody changes the history


@pytest.mark.parametrize("table", ["op", "line", "change"])
@pytest.mark.parametrize(
    "act",
    ["UPDATE {0} SET id = id", "DELETE FROM {0}", "REPLACE INTO {0} SELECT * FROM {0}"],
)
def test_the_history_is_only_ever_added_to(store: Store, table: str, act: str) -> None:
    fern(store, 18)
    before = tables(store.path)
    with raw(store.path) as conn, pytest.raises(sqlite3.IntegrityError, match="only ever added to"):
        conn.execute(act.format(table))
    with pytest.raises(Fault, match="only ever added to"), store.transactions.writing() as conn:
        conn.exec_driver_sql(act.format(table))
    assert tables(store.path) == before


@pytest.mark.parametrize(
    "act",
    [
        "DELETE FROM fabric",
        "DELETE FROM piece",
        "UPDATE fabric SET id = 99",
        "INSERT INTO piece VALUES (9, 99, 'yardage', 1, 1, 'here', 0, 0, 1)",
        "INSERT INTO piece VALUES (9, 1, 'rag', 1, 1, 'here', 0, 0, 1)",
        "INSERT INTO piece VALUES (9, 1, 'yardage', 0, 1, 'here', 0, 0, 1)",
        "INSERT INTO piece VALUES (9, 1, 'yardage', 1.5, 1, 'here', 0, 0, 1)",
        "INSERT INTO piece VALUES (9, 1, 'yardage', '1 in', 1, 'here', 0, 0, 1)",
        "INSERT INTO piece VALUES (9, 1, 'yardage', NULL, 1, 'here', 0, 0, 1)",
        "INSERT INTO piece VALUES (9, 1, 'yardage', 1, 1, 'used up', 0, 0, 1)",
        "UPDATE fabric SET washed = 2",
        "UPDATE fabric SET name = ''",
        "UPDATE colour SET lightness = 101",
        "INSERT INTO line SELECT 9, op, piece, rev, kind, length, width, state, 0, 0, taken FROM line",
        "INSERT INTO op SELECT 9, uid, kind, at, note, NULL FROM op",
        "INSERT INTO op VALUES (9, 'new', 'cut', 'yesterday', '', NULL)",
        "INSERT INTO fabric SELECT 9, name, name_key, 0, 0, '', '', '', '', 0, 0 FROM fabric",
    ],
)
def test_the_tables_refuse_what_is_none(store: Store, act: str) -> None:
    fern(store, 18)
    with pytest.raises(Fault), store.transactions.writing() as conn:
        conn.exec_driver_sql(act)
    assert store.fabric("Fern").pieces[0].length == inch(18)
    agrees(store.path)


# --- killed, or stopped by an error, in the middle

WORKER = """
import os, sys
from stash.inventory.store import Store
from stash.lengths import to_ticks
from fractions import Fraction
store = Store.open(sys.argv[1])
for n in range(10_000):
    store.used(1, to_ticks(Fraction(1, 8)), uid=f"k{n}")
    print(n, flush=True)
"""


@POSIX
@pytest.mark.parametrize("after", [0, 3, 7])
def test_a_program_killed_while_saving_leaves_a_whole_stash(store: Store, after: int) -> None:
    """Killed right behind an answer: all that was said to be saved is there, at most the next one too."""
    fern(store, 3000)
    store.close()
    with subprocess.Popen(
        [sys.executable, "-c", WORKER, str(store.path)], stdout=subprocess.PIPE, text=True, cwd=Path.cwd()
    ) as worker:
        assert worker.stdout is not None
        for _ in range(after + 1):
            said = int(worker.stdout.readline())
        worker.send_signal(signal.SIGKILL)
        rest = worker.stdout.read().split()
    said = int(rest[-1]) if rest else said
    with Store.open(store.path) as again:
        booked = [entry for entry in again.history(limit=20_000) if entry.kind == "used"]
        assert len(booked) in (said + 1, said + 2)
        left = again.fabric("Fern").pieces[0].length
        assert left == inch(3000) - len(booked) * inch("1/8")
        agrees(store.path)
        again.used(1, inch("1/8"), uid=f"k{said}")  # the retry of the last one that was told
        assert again.fabric("Fern").pieces[0].length == left
