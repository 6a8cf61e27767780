"""Faults of the process and the machine: killed, cut off, stopped, out of room, out of time."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from stash.errors import Fault
from stash.inventory.backup import make
from stash.inventory.backup_files import backups_of, fault_of
from stash.inventory.store import Store
from stash.inventory.verify import verify
from stash.model import NewFabric
from tests.engine.older_files import NOW, filled, form, golden
from tests.engine.stashes import agrees, fern, inch, piece, raw, tables, visible
from tests.faults import shim
from tests.faults.conftest import Stopped, Trial, base_with
from tests.posix import POSIX


def booked(path: Path, uid: str) -> int:
    with raw(path) as conn:
        return int(conn.execute("SELECT count(*) FROM op WHERE uid = ?", (uid,)).fetchone()[0])


def test_01_kill_during_a_save(tmp_path: Path, stopped: Stopped) -> None:
    base = base_with(tmp_path, lambda store: fern(store, 3000))
    for trial in stopped("save", base):
        with Store.open(trial.stash) as store:
            saved = booked(trial.stash, "the save")
            assert saved in ((0, 1) if not trial.told else (1,))
            assert store.fabric("Fern").pieces[0].length == inch(3000) - saved * inch("1/8")
            agrees(trial.stash)
            store.add(NewFabric("Moss"))
        assert [one.name for one in trial.room.iterdir() if one.name.startswith("stash.db-")] == []


def test_02_kill_after_the_save_before_it_is_told(tmp_path: Path, stopped: Stopped) -> None:
    base = base_with(tmp_path, lambda store: fern(store, 3000))
    trials = stopped("save", base)
    assert any(not trial.told and booked(trial.stash, "the save") for trial in trials), "saved, and nobody was told"
    for trial in trials:
        with Store.open(trial.stash) as store:
            store.used(1, inch("1/8"), uid="the save")
            assert booked(trial.stash, "the save") == 1
            assert store.fabric("Fern").pieces[0].length == inch(3000) - inch("1/8")
            agrees(trial.stash)


WORKER = """
import sys
from stash.inventory.store import Store
with Store.open(sys.argv[1]) as store:
    for n in range(int(sys.argv[2]), 1_000_000):
        store.used(1, 1, uid=f"k{n}")
        print(n, flush=True)
"""


@POSIX
def test_01_kills_in_a_row(tmp_path: Path, pytestconfig: pytest.Config) -> None:
    """--kills N of them, on one file; each right behind an answer, wherever the program is by then."""
    path = base_with(tmp_path, lambda store: fern(store, 3000)) / "stash.db"
    told = -1
    for _ in range(pytestconfig.getoption("--kills")):
        words = [sys.executable, "-c", WORKER, str(path), str(told + 1)]
        with subprocess.Popen(words, stdout=subprocess.PIPE, text=True, cwd=shim.ROOT) as worker:
            assert worker.stdout is not None
            answers = [int(worker.stdout.readline())]
            worker.send_signal(signal.SIGKILL)
            answers += [int(word) for word in worker.stdout.read().split()]
        told = answers[-1]
        with Store.open(path) as store:
            length = store.fabric("Fern").pieces[0].length
        saved = inch(3000) - length
        assert saved in (told + 1, told + 2), "all that was told, and at most the one after it"
        told = saved - 1
        agrees(path)


def test_04_kill_during_a_migration(
    tmp_path: Path, stopped: Stopped, backups_at: Callable[[Trial], None], stride: int
) -> None:
    base = tmp_path / "base"
    base.mkdir()
    seen = filled(base / "stash.db", 1)
    for trial in stopped("upgrade", base, stride=stride):
        backups_at(trial)
        kept = backups_of(trial.stash)
        assert [fault_of(one.path) for one in kept] == [None] * len(kept)
        with Store.open(trial.stash) as store:
            assert [*visible(store), store.history()] == seen
            assert form(trial.stash) == golden(NOW)
        old = backups_of(trial.stash)[-1].path
        assert form(old) == golden(1)


def test_05_kill_during_a_restore(
    tmp_path: Path, stopped: Stopped, backups_at: Callable[[Trial], None], stride: int
) -> None:
    base = base_with(tmp_path, lambda store: fern(store, 9))
    shutil.copy(base / "stash.db", base / "backup.db")
    with Store.open(base / "stash.db") as store:
        for n in range(25):
            store.add(NewFabric(f"Later {n}", (piece(9),), note="x" * 500))
    old, new = tables(base / "stash.db"), tables(base / "backup.db")
    came = []
    for trial in stopped("restore", base, stride=stride):
        backups_at(trial)
        with Store.open(trial.stash):
            now = tables(trial.stash)
        assert now in (old, new)
        assert verify(trial.stash) == []
        came.append(now == new)
        assert [one.name for one in trial.room.iterdir() if one.name.endswith(".new")] == [], "cleared at the start"
        if now == new:
            assert tables(backups_of(trial.stash)[0].path) == old
    assert came == sorted(came)
    assert not came[0]
    assert came[-1]


def test_06_kill_during_a_backup(
    tmp_path: Path, stopped: Stopped, backups_at: Callable[[Trial], None]
) -> None:
    base = base_with(tmp_path, lambda store: fern(store, 9))
    expected = tables(base / "stash.db")
    for trial in stopped("backup", base):
        backups_at(trial)
        for one in backups_of(trial.stash):
            assert fault_of(one.path) is None
            assert tables(one.path) == expected
        Store.open(trial.stash).close()
        left = {one.name for one in trial.room.rglob("backups/*/*")}
        there = {one.path.name for one in backups_of(trial.stash)}
        assert {name for name in left if not name.endswith(".sha256")} == there, "nothing half written is left"
        assert tables(make(trial.stash).path) == expected


def test_07_kill_during_an_import(tmp_path: Path, stopped: Stopped, stride: int) -> None:
    base = base_with(tmp_path, lambda store: fern(store, 9))
    (base / "in.csv").write_text("fabric,length\n" + "".join(f"Row {n},1 yd\n" for n in range(150)), encoding="utf-8")
    numbers = set()
    for trial in stopped("import", base, stride=stride):
        with Store.open(trial.stash) as store:
            numbers.add(len(store.fabrics()))
            assert booked(trial.stash, "the import") == (len(store.fabrics()) > 1)
        agrees(trial.stash)
        if trial.told:
            assert booked(trial.stash, "the import") == 1
    assert numbers == {1, 151}


def test_09_an_exception_inside_a_save(store: Store) -> None:
    fern(store, 9)
    before = tables(store.path)

    def save() -> None:
        with store.transactions.writing() as conn:
            conn.exec_driver_sql("UPDATE fabric SET name = 'half'")
            raise RuntimeError("a fault of ours")

    with pytest.raises(RuntimeError, match="of ours"):
        save()
    assert tables(store.path) == before
    store.add(NewFabric("Moss"))
    agrees(store.path)


def test_10_disk_full_during_a_save(tmp_path: Path, stopped: Stopped) -> None:
    """ENOSPC from each write and sync on, in turn."""
    base = base_with(tmp_path, lambda store: fern(store, 3000))
    before = tables(base / "stash.db")
    for trial in stopped("save", base, shim.FULL):
        if trial.ended == 0:
            continue
        with Store.open(trial.stash) as store:
            if "may be there or not" not in trial.fault:  # the last sync of all, of the folder
                assert "nothing was saved" in trial.fault
                assert tables(trial.stash) == before
            store.used(1, inch("1/8"), uid="the save")
        agrees(trial.stash)


@pytest.mark.parametrize("action", ["backup", "upgrade", "restore"])
def test_11_disk_full_during_a_backup(
    tmp_path: Path, stopped: Stopped, backups_at: Callable[[Trial], None], stride: int, action: str
) -> None:
    base = tmp_path / "base"
    base.mkdir()
    if action == "upgrade":
        filled(base / "stash.db", 1)
    else:
        with Store.create(base / "stash.db") as store:
            fern(store, 9)
        shutil.copy(base / "stash.db", base / "backup.db")
        with Store.open(base / "stash.db") as store:
            store.add(NewFabric("Later"))
    before = tables(base / "stash.db", ("fabric", "piece", "op", "line", "change"))
    for trial in stopped(action, base, shim.FULL, stride):
        if trial.ended == 0:
            continue
        backups_at(trial)
        assert trial.fault
        assert "Errno" not in trial.fault
        if "may be there or not" not in trial.fault:
            assert tables(trial.stash, ("fabric", "piece", "op", "line", "change")) == before
        assert [fault_of(one.path) for one in backups_of(trial.stash)] in ([], [None])
        assert [one.name for one in trial.room.rglob("*.new")] == [], "no part is left"


def test_12_a_huge_input_is_refused_by_limits_first(store: Store) -> None:
    fern(store, 9)
    before = tables(store.path)
    for act in (
        lambda: store.add(NewFabric("x" * 100_000)),
        lambda: store.add(NewFabric("Moss", note="x" * 10_000_000)),
        lambda: store.add(NewFabric("Moss", (piece(9),) * 100_000)),
        lambda: store.used(1, 10**400),
    ):
        with pytest.raises(Fault):
            act()
    assert tables(store.path) == before


@POSIX
def test_14_a_machine_without_a_locale(store: Store, tmp_path: Path) -> None:
    store.add(NewFabric("Grünlilie 東", (piece(9),)))
    environment = {
        **os.environ, "LC_ALL": "C", "LANG": "C", "TERM": "dumb", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0",
        "PYTHONPATH": str(shim.ROOT),
    }  # fmt: skip
    environment.pop("PYTHONIOENCODING", None)

    def run(*words: object) -> subprocess.CompletedProcess[bytes]:
        command = [sys.executable, "-m", "stash.cli", "--db", str(store.path), *map(str, words)]
        return subprocess.run(command, env=environment, cwd=tmp_path, capture_output=True, check=False)

    assert run("export", tmp_path / "out.csv").returncode == 0
    assert "Grünlilie 東" in (tmp_path / "out.csv").read_text(encoding="utf-8-sig")
    told = run("list")
    assert (told.returncode, told.stderr) == (0, b"")
    assert b"Gr\\xfcnlilie \\u6771" in told.stdout
    assert run("import", tmp_path / "out.csv").returncode == 0
    assert [one.name for one in store.fabrics()] == ["Grünlilie 東"]
    assert run("backup").returncode == 0
    assert [fault_of(one.path) for one in backups_of(store.path)] == [None] * 2


@POSIX
@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGHUP, signal.SIGINT])
def test_08_a_signal_in_the_middle_of_a_save(store: Store, tmp_path: Path, how: signal.Signals) -> None:
    """Half of a save is done when it comes: nothing of it is there afterwards."""
    fern(store, 9)
    before = tables(store.path)
    code = (
        "import sys; from stash.inventory.store import Store\n"
        "with Store.open(sys.argv[1]) as store, store.transactions.writing() as conn:\n"
        "    conn.exec_driver_sql('DELETE FROM colour')\n"
        "    print('half', flush=True); sys.stdin.read()\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code, str(store.path)], cwd=shim.ROOT, text=True,
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
    ) as worker:  # fmt: skip
        assert worker.stdout is not None
        assert worker.stdin is not None
        assert worker.stdout.readline() == "half\n"
        worker.send_signal(how)
        worker.stdin.close()  # or a signal that comes just before it begins to read is never looked at
        assert worker.wait() != 0
    assert tables(store.path) == before
    store.add(NewFabric("Moss"))
    agrees(store.path)
