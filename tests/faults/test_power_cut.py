"""The power goes, at every step of saving, and of what was not synced the disk kept some."""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import pytest

from stash.inventory.backup_files import backups_in, fault_of
from stash.inventory.store import Store
from tests.engine.stashes import fern, tables
from tests.faults import power, shim

SAVES = 4
EACH = 3  # cuts after every step: some 500 in all

RECORDED = """
import sys
from pathlib import Path
from stash.inventory.store import Store
from tests.faults import shim
path, record, saves, how = Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3]), sys.argv[4]
with Store.open(path) as store:
    store.fabrics()
    shim.arm(shim.RECORD, 0, path.parent, record)
    if how != "EXTRA":
        raw = store.transactions._engine.raw_connection()
        raw.driver_connection.execute(f"PRAGMA synchronous = {how}")
        raw.close()
    for n in range(saves):
        store.used(1, 1000, uid=f"k{n}")
        shim.mark(str(n + 1))
    shim.disarm()
"""


def lost_and_torn(tmp_path: Path, layer: Path, how: str) -> tuple[int, int, int]:
    """How many cuts there were, how many lost a save that was told, and how many left a torn file."""
    room = tmp_path / f"power {how}"
    room.mkdir()
    path, record = room / "stash.db", tmp_path / f"record {how}"
    with Store.create(path) as store:
        fern(store, 3000)
    start = {str(path): path.read_bytes()}
    words = [sys.executable, "-c", RECORDED, str(path), str(record), str(SAVES), how]
    subprocess.run(words, env=shim.environment(layer), cwd=shim.ROOT, check=True)
    tried = lost = torn = 0
    for told, files in power.cuts(power.read_record(record), start, seed=1, each=EACH):
        after = tmp_path / "after"
        after.mkdir(exist_ok=True)
        for old in after.iterdir():
            old.unlink()
        for name, content in files.items():
            (after / Path(name).name).write_bytes(content)
        tried += 1
        saved = _saves(after / "stash.db")
        torn += saved is None
        lost += saved is not None and saved < int(told or 0)
    return tried, lost, torn


def _saves(path: Path) -> int | None:
    """How many saves are there; None where the file is not whole or the piece and its history do not agree."""
    try:
        with closing(sqlite3.connect(path)) as conn:
            if conn.execute("PRAGMA integrity_check").fetchone()[0] != "ok":
                return None
            saves = conn.execute("SELECT count(*) FROM op WHERE kind = 'used'").fetchone()[0]
            rev, length, width = conn.execute("SELECT rev, length, width FROM piece").fetchone()
            lines, taken = conn.execute("SELECT count(*), sum(taken) FROM line").fetchone()
    except sqlite3.Error:
        return None
    agree = rev == lines == saves + 1 and -taken == length * width
    return int(saves) if agree else None


def test_03_power_cut_at_any_write(tmp_path: Path, layer: Path) -> None:
    tried, lost, torn = lost_and_torn(tmp_path, layer, "EXTRA")
    assert tried > 200
    assert (lost, torn) == (0, 0)


def test_03_the_replay_finds_what_is_not_synced(tmp_path: Path, layer: Path) -> None:
    """The same cuts tear a file that is not synced, and lose saves where the folder is not: the test can fail."""
    assert lost_and_torn(tmp_path, layer, "OFF")[2] > 0
    _, lost, torn = lost_and_torn(tmp_path, layer, "FULL")
    assert lost > 0
    assert torn == 0


ACTED = """
import sys
from pathlib import Path
from tests.faults import driver, shim
room, record, action = Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3]
shim.arm(shim.RECORD, 0, room, record)
driver.ACTIONS[action](room, lambda text: shim.mark("done"))
shim.disarm()
"""


@dataclass(frozen=True)
class Cut:
    """What a cut left of a folder, and whether the action had been told as done before it."""

    told: bool
    room: Path


def cut_off(action: str, room: Path, layer: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Cut]:
    """An action of the driver on `room`, and cuts after every step of it."""
    monkeypatch.setenv("STARCOVER_BACKUPS", str(room / "backups"))
    record, after = room.with_name(f"{room.name}.record"), room.with_name(f"{room.name} after")
    start = {str(one): one.read_bytes() for one in room.iterdir()}
    words = [sys.executable, "-c", ACTED, str(room), str(record), action]
    subprocess.run(words, env=shim.environment(layer), cwd=shim.ROOT, check=True)
    for told, files in power.cuts(power.read_record(record), start, seed=1, each=1):
        shutil.rmtree(after, ignore_errors=True)
        after.mkdir()
        for name, content in files.items():
            path = after / Path(name).relative_to(room)
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
        yield Cut(told == "done", after)


def kept(cut: Cut) -> list[Path]:
    """The backups that a cut left."""
    return [one.path for folder in (cut.room / "backups").glob("*") for one in backups_in(folder)]


@pytest.fixture
def room(tmp_path: Path) -> Path:
    """A folder with a stash, and a backup of another one."""
    room = tmp_path / "room"
    room.mkdir()
    for name, inches in (("stash.db", 9), ("backup.db", 20)):
        with Store.create(room / name) as store:
            fern(store, inches)
    return room


def test_03_power_cut_during_a_backup(room: Path, layer: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    expected = tables(room / "stash.db")
    tried = [0, 0]
    for cut in cut_off("backup", room, layer, monkeypatch):
        tried[cut.told] += 1
        there = kept(cut)
        assert [fault_of(one) for one in there] == [None] * len(there)
        assert [tables(one) for one in there] == [expected] * (len(there) if not cut.told else 1)
    assert min(tried) > 0
    assert sum(tried) > 30


@pytest.mark.parametrize("present", ["a stash", "nothing", "damaged"])
def test_03_power_cut_during_a_restore(
    room: Path, layer: Path, monkeypatch: pytest.MonkeyPatch, present: str
) -> None:
    path = room / "stash.db"
    old, new = tables(path), tables(room / "backup.db")
    spoiled = b"not any more" * 900
    if present != "a stash":
        path.unlink()
    if present == "damaged":
        path.write_bytes(spoiled)
    tried = [0, 0]
    for cut in cut_off("restore", room, layer, monkeypatch):
        tried[cut.told] += 1
        file = cut.room / "stash.db"
        if present == "a stash":
            now = tables(file)
            assert now == new if cut.told else now in (old, new)
            assert (now != new) or [tables(one) for one in kept(cut)] == [old], "what was there is backed up"
        else:
            assert file.exists() or not cut.told
            assert not file.exists() or file.read_bytes() == spoiled or tables(file) == new
        if present == "damaged":
            there = [one.read_bytes() for one in cut.room.glob("stash*.db") if one.stat().st_size == len(spoiled)]
            assert there == [spoiled], "the damaged file is never lost"
    assert min(tried) > 0
    assert sum(tried) > 30


def test_03_power_cut_while_a_copy_is_saved(room: Path, layer: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    expected = tables(room / "stash.db")
    tried = [0, 0]
    for cut in cut_off("copy", room, layer, monkeypatch):
        tried[cut.told] += 1
        copy = cut.room / "copy.db"
        assert copy.exists() or not cut.told
        assert not copy.exists() or tables(copy) == expected
    assert min(tried) > 0
    assert sum(tried) > 30
