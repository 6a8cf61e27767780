"""Programs stopped, or out of room, while a file gets the name of a stash: one restored where none was or where a
damaged one was, and a copy that is saved."""

from __future__ import annotations

import errno
from collections.abc import Callable
from pathlib import Path

import pytest

from stash.errors import Fault
from stash.inventory.restore import restore
from stash.inventory.store import Store
from tests.engine.stashes import fern, tables
from tests.faults import shim
from tests.faults.conftest import Stopped, Trial, base_with

SPOILED = b"not any more" * 900


def base_without(tmp_path: Path, there: bytes | None) -> Path:
    """A folder with a backup "backup.db", and a "stash.db" of these bytes, or none."""
    base = base_with(tmp_path, lambda store: fern(store, 9))
    (base / "stash.db").rename(base / "backup.db")
    if there is not None:
        (base / "stash.db").write_bytes(there)
        (base / "stash.db-journal").write_bytes(b"journal of it")
    return base


@pytest.mark.parametrize("how", [shim.KILL, shim.FULL])
@pytest.mark.parametrize("there", [None, SPOILED])
def test_05_a_restore_in_the_place_of_no_stash(
    tmp_path: Path, stopped: Stopped, backups_at: Callable[[Trial], None], stride: int, there: bytes | None, how: int
) -> None:
    """Nothing of the new one has the name before it is whole; a damaged file is under its name or kept beside it."""
    base = base_without(tmp_path, there)
    new = tables(base / "backup.db")
    for trial in stopped("restore", base, how, 1 if there else stride):
        backups_at(trial)
        path = trial.stash
        kept = [one for one in trial.room.glob("stash.damaged-*.db") if one.read_bytes() == there]
        at_its_name = there is not None and path.exists() and path.read_bytes() == there
        assert len(kept) + at_its_name == (there is not None)
        for one in (*kept, *([path] if at_its_name and how == shim.FULL else [])):
            assert Path(f"{one}-journal").read_bytes() == b"journal of it"
        if trial.ended == 1:
            assert "nothing was changed" in trial.fault
            assert [one.name for one in trial.room.rglob("*.new")] == []
            assert at_its_name == (there is not None)
        if path.exists() and not at_its_name:
            assert tables(path) == new
        elif kept and trial.ended != 0:
            with pytest.raises(Fault, match="kept as") as said:
                Store.open(path)
            assert str(kept[0]) in said.value.what
        if trial.ended != 0 and not (path.exists() and not at_its_name):
            restore(trial.room / "backup.db", path)
        with Store.open(path) as store:
            assert tables(store.path) == new
        assert [one.name for one in trial.room.rglob("*.new")] == []


def test_05_a_damaged_file_goes_back_under_its_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It was set aside, and then the restored one could not have its name; or another file had it by then."""
    base = base_without(tmp_path, SPOILED)
    before = {one.name: one.read_bytes() for one in base.iterdir()}

    def no_name(unready: Path, target: Path) -> None:
        raise OSError(errno.EIO, "the disk is gone")

    def taken(unready: Path, target: Path) -> None:
        target.write_bytes(b"another")
        raise FileExistsError(errno.EEXIST, "there already")

    monkeypatch.setattr("stash.inventory.opening.give_name", no_name)
    with pytest.raises(Fault, match=r"the disk is gone.; nothing was changed"):
        restore(base / "backup.db", base / "stash.db")
    assert {one.name: one.read_bytes() for one in base.iterdir()} == before
    monkeypatch.setattr("stash.inventory.opening.give_name", taken)
    with pytest.raises(Fault, match="kept as") as said:
        restore(base / "backup.db", base / "stash.db")
    kept = Path(said.value.what.rpartition("kept as ")[2])
    assert kept.read_bytes() == SPOILED
    assert (base / "stash.db").read_bytes() == b"another"


@pytest.mark.parametrize("how", [shim.KILL, shim.FULL])
def test_26_a_copy_is_whole_or_not_there(tmp_path: Path, stopped: Stopped, stride: int, how: int) -> None:
    base = base_with(tmp_path, lambda store: fern(store, 9))
    expected = tables(base / "stash.db")
    for trial in stopped("copy", base, how, stride):
        copy = trial.room / "copy.db"
        assert copy.exists() or not trial.told
        assert not copy.exists() or tables(copy) == expected
        assert tables(trial.stash) == expected
        if trial.ended == 1:
            assert "nothing was written" in trial.fault
            assert [one.name for one in trial.room.iterdir() if one.name.endswith(".new")] == []
