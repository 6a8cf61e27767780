"""The power goes, at every step of saving, and of what was not synced the disk kept some."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

from stash.inventory.store import Store
from tests.engine.stashes import fern
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
    for told, files in power.cuts(power.read_record(record), room, start, seed=1, each=EACH):
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
