"""What happens to a stash while it is open: gone, replaced, upgraded, held; and one that is huge."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from stash.errors import Fault
from stash.inventory import backup
from stash.inventory.backup_files import backups_of
from stash.inventory.store import Store
from stash.inventory.verify import verify
from stash.model import NewFabric
from tests.engine.older_files import NOW
from tests.engine.stashes import agrees, fern, inch, photograph, piece, raw, tables
from tests.posix import POSIX


@POSIX
def test_26_deleted_while_open(store: Store, tmp_path: Path) -> None:
    fern(store, 9)
    store.path.unlink()
    with pytest.raises(Fault, match="no longer there since it was opened; nothing was saved"):
        store.used(1, inch(1))
    assert not store.path.exists()
    copy = store.save_copy(tmp_path / "saved.db")
    with Store.open(copy) as again:
        assert again.fabric("Fern").pieces[0].length == inch(9)
        again.used(1, inch(1))
    agrees(copy)
    with pytest.raises(Fault, match=r"stash or another database|already"):
        store.save_copy(copy)


@POSIX
def test_27_replaced_while_open(store: Store, tmp_path: Path) -> None:
    fern(store, 9)
    with Store.create(tmp_path / "other.db") as other:
        fern(other, 20)
    os.replace(tmp_path / "other.db", store.path)
    before = store.path.read_bytes()
    with pytest.raises(Fault, match="replaced by another file since it was opened; nothing was saved"):
        store.used(1, inch(1))
    assert store.path.read_bytes() == before


def test_28_upgraded_while_open(store: Store) -> None:
    fern(store, 9)
    with raw(store.path) as conn:
        conn.execute(f"PRAGMA user_version = {NOW + 1}")
    before = tables(store.path)
    with pytest.raises(Fault, match="while it was open; nothing was saved") as said:
        store.used(1, inch(1))
    assert "start it again" in said.value.do
    assert tables(store.path) == before


def test_32_two_programs(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second waits as long as it may, then says so; afterwards both go on, and each sees the other's saves."""
    fern(store, 9)
    seen = store.change_token()
    monkeypatch.setattr("stash.inventory.transactions.BUSY_SECONDS", 0.05)
    with Store.open(store.path) as second:
        with store.transactions.writing() as conn:
            conn.exec_driver_sql("UPDATE fabric SET place = 'held'")
            with pytest.raises(Fault, match="another program is saving") as said:
                second.used(1, inch(1))
            assert "nothing was changed" in said.value.what
        second.used(1, inch(1))
    assert store.change_token() != seen
    assert store.fabric("Fern").pieces[0].length == inch(8)
    agrees(store.path)


HOLDER = """
import sqlite3, sys
conn = sqlite3.connect(sys.argv[1], isolation_level=None)
conn.execute("BEGIN EXCLUSIVE")
print("held", flush=True)
sys.stdin.read()
"""


@POSIX
def test_33_a_lock_that_is_held_for_ever(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Saving, reading, looking over, a backup and a restore: each waits as long as it may, then gives up with the
    same message."""
    from stash.inventory.restore import restore

    fern(store, 9)
    made = backup.make(store.path)
    store.close()
    wait = 0.3
    for module in ("transactions", "copying", "restore"):
        monkeypatch.setattr(f"stash.inventory.{module}.BUSY_SECONDS", wait)
    with subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(store.path)], text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as holder:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "held\n"

        def use(act: Callable[[Store], object]) -> None:
            with Store.open(store.path) as again:
                act(again)

        for act in (
            lambda: use(lambda again: again.used(1, inch(1))),
            lambda: use(lambda again: again.fabrics()),
            lambda: verify(store.path),
            lambda: backup.make(store.path),
            lambda: restore(made.path, store.path),
        ):
            began = time.monotonic()
            with pytest.raises(Fault, match="another program is saving"):
                act()
            assert time.monotonic() - began >= wait, "it was waited for"
        holder.kill()
    assert len(backups_of(store.path)) == 1
    with Store.open(store.path) as again:
        assert again.fabric("Fern").pieces[0].length == inch(9)
        again.used(1, inch(1))


def test_33_programs_wait_five_seconds(store: Store) -> None:
    """As SQLite itself tells it, of each kind of connection to a stash."""
    from stash.inventory import copying, restore

    with store.transactions.reading() as conn:
        assert conn.exec_driver_sql("PRAGMA busy_timeout").scalar_one() == 5_000
    for opened in (copying.reader(store.path), restore._writer(store.path)):
        with closing(opened) as conn:
            assert conn.execute("PRAGMA busy_timeout").fetchone() == (5_000,)


def cut_off(path: Path, into: Path) -> Path:
    """A copy of the stash as a program leaves it that is cut off in the middle of a save, its journal beside it."""
    into.mkdir()
    before = path.read_bytes()
    with raw(path) as conn:
        conn.execute("PRAGMA cache_size = 5")  # so that pages reach the file before the end
        conn.execute("BEGIN IMMEDIATE")
        conn.execute("UPDATE fabric SET place = place || 'torn'")
        conn.execute("INSERT INTO op SELECT id + 1000000, 'torn' || uid, kind, at, note, NULL FROM op LIMIT 5000")
        for name in (path.name, f"{path.name}-journal"):
            shutil.copy(path.with_name(name), into / name)
    assert (into / path.name).read_bytes() != before
    return into / path.name


@pytest.mark.parametrize("beside_a_journal", [False, True])
def test_34_a_huge_stash(store: Store, tmp_path: Path, beside_a_journal: bool) -> None:
    """100,000 movements and pictures: what a start reads looks at none of them. The plans of its questions say so."""
    for n in range(20):
        store.add(NewFabric(f"Fabric {n}", (piece(3000),), swatch=photograph(f"{n}.jpg")))
    store.close()
    with raw(store.path) as conn:
        conn.execute("BEGIN")
        conn.executemany(
            "INSERT INTO op VALUES (?, ?, 'used', '2026-01-01T00:00:00Z', 'Used some', NULL)",
            ((n, f"u{n}") for n in range(1_000, 101_000)),
        )
        conn.executemany(
            "INSERT INTO line SELECT ?, ?, 1 + ? % 20, 2 + ? / 20, kind, length, width, state, 0, 0, 0 FROM line"
            " WHERE id = 1",
            ((n, n, n, n - 1_000) for n in range(1_000, 101_000)),
        )
        conn.execute("UPDATE piece SET rev = 1 + (SELECT count(*) - 1 FROM line WHERE piece = piece.id)")
        conn.execute("COMMIT")
    path = cut_off(store.path, tmp_path / "torn") if beside_a_journal else store.path
    asked: list[str] = []
    with Store.open(path) as again:
        with again.transactions.reading() as conn:
            held = conn.connection.driver_connection
            assert isinstance(held, sqlite3.Connection)
            held.set_trace_callback(asked.append)
        there = again.fabrics(archived=True)
        assert len(there) == 20
        assert all(one.swatch and not one.place for one in there)
        again.stars()
        again.open_plans()
        assert len(again.history()) == 200
        again.change_token()
        held.set_trace_callback(None)
    with raw(path) as conn:
        for statement in asked:
            if not statement.lstrip().upper().startswith(("SELECT", "WITH")):
                continue
            for *_, step in conn.execute(f"EXPLAIN QUERY PLAN {statement}"):
                scans = step.startswith("SCAN") and step.split()[1] in ("line", "change", "picture", "thumbnail")
                assert not scans, (step, statement)
                assert not (step.startswith("SCAN op") and "LIMIT" not in statement), (step, statement)
    assert any("FROM fabric" in one for one in asked)
