"""What lies beside a stash: journals of saves that were cut off, its own and others'."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from stash.errors import Fault
from stash.inventory import backup, leftovers
from stash.inventory.store import Store
from stash.inventory.verify import verify
from stash.model import NewFabric
from tests.engine.stashes import LEDGER, LIVE, fern, inch, piece, raw, tables
from tests.faults.conftest import CommandLine


def content(folder: Path) -> dict[str, bytes]:
    return {one.name: one.read_bytes() for one in folder.iterdir() if one.is_file()}


def test_29_left_in_wal_mode(store: Store, tmp_path: Path) -> None:
    fern(store, 9)
    store.close()
    with raw(store.path) as conn:
        conn.execute("PRAGMA journal_mode = WAL")
        conn.execute("PRAGMA wal_autocheckpoint = 0")
        conn.execute("UPDATE fabric SET place = 'in the wal'")
        for end in ("", "-wal"):
            shutil.copy(f"{store.path}{end}", tmp_path / f"killed.db{end}")
    with Store.open(tmp_path / "killed.db") as again:
        assert again.fabric("Fern").place == "in the wal"
    assert not (tmp_path / "killed.db-wal").exists()
    with raw(tmp_path / "killed.db") as conn:
        assert conn.execute("PRAGMA journal_mode").fetchone() == ("delete",)


def test_29_a_wal_from_elsewhere(store: Store, tmp_path: Path) -> None:
    """A write-ahead file of another stash under this one's name: played back, it would spoil this one."""
    fern(store, 9)
    store.close()
    with Store.create(tmp_path / "other.db") as other:
        fern(other, 20)
    with raw(tmp_path / "other.db") as conn:
        conn.execute("PRAGMA journal_mode = WAL")
        conn.execute("UPDATE fabric SET place = 'elsewhere'")
        shutil.copy(f"{tmp_path / 'other.db'}-wal", f"{store.path}-wal")
    before = content(store.path.parent)
    with pytest.raises(Fault, match="not its own; nothing was changed"):
        Store.open(store.path)
    kept = content(store.path.parent)
    assert kept["stash.db"] == before["stash.db"]
    assert kept["stash.db-wal"] == before["stash.db-wal"], "never deleted by us"
    Path(f"{store.path}-wal").rename(tmp_path / "moved-wal")
    with Store.open(store.path) as again:
        assert again.fabric("Fern").pieces[0].length == inch(9)
    assert verify(store.path) == []


def hot_journal(path: Path) -> bytes:
    """The journal of a transaction on `path` that was cut off when its pages were written; the file is put back.

    It touched every row, so it can bring back all of the file as it is now.
    """
    before = path.read_bytes()
    with raw(path) as conn:
        names = [name for (name,) in conn.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'")]
        conn.execute("PRAGMA cache_size = 1")
        conn.execute("BEGIN")
        for name in names:
            conn.execute(f'DROP TRIGGER "{name}"')
        for name in (*LIVE, *LEDGER):
            conn.execute(f'UPDATE "{name}" SET id = id')
        conn.execute("UPDATE fabric SET note = hex(zeroblob(9000))")  # more than it holds in memory
        journal = Path(f"{path}-journal").read_bytes()
        conn.execute("ROLLBACK")
    assert path.read_bytes() == before
    assert int.from_bytes(journal[8:12]), "it has pages to play back"
    return journal


def test_30_restored_by_hand_over_a_hot_journal(store: Store) -> None:
    store.add_many([NewFabric(f"Fabric {n}", (piece(9),)) for n in range(60)])
    store.close()
    journal = hot_journal(store.path)
    with Store.open(store.path) as grown:
        grown.add_many([NewFabric(f"Fabric {n}", (piece(9),), note="y" * 200) for n in range(60, 400)])
    by_hand = store.path.read_bytes()
    good = tables(store.path)
    Path(f"{store.path}-journal").write_bytes(journal)
    with pytest.raises(Fault, match="did not belong to it; the file as it was before is kept") as said:
        Store.open(store.path)
    kept = Path(said.value.do.rpartition('restore "')[2].rstrip('"'))
    assert kept.read_bytes() == by_hand
    from stash.inventory.restore import restore

    restore(kept, store.path)
    assert tables(store.path) == good
    assert verify(store.path) == []


def test_30_a_journal_whose_pages_fit(cli: CommandLine) -> None:
    """Played back, it makes a whole stash of a file that was put back by hand: the one from before, without a word from
    any check. So the file as it was is kept, and named."""
    kept = Path(cli.json("backup")["backup"])
    cli.json("archive", "Flax")
    later = tables(cli.path)
    journal = hot_journal(cli.path)
    good = tables(kept)
    shutil.copy(kept, cli.path)
    Path(f"{cli.path}-journal").write_bytes(journal)
    said = cli("list")
    assert said.code == 0
    assert tables(cli.path) == later, "SQLite did play it back"
    assert "A save to this stash was cut off" in said.err
    as_it_was = Path(said.err.rpartition('restore "')[2].partition('"')[0])
    assert tables(as_it_was) == good
    assert cli("list").err == "", "said once"
    assert cli("restore", as_it_was, "--yes").code == 0
    assert tables(cli.path) == good


def test_30_a_journal_whose_pages_fit_and_whose_rows_do_not(store: Store) -> None:
    """The file is whole afterwards, and the stash and its history do not agree."""
    fern(store, 9)
    store.close()
    with raw(store.path) as conn:
        conn.execute("UPDATE piece SET length = length + 1")
        journal = hot_journal(store.path)
        conn.execute("UPDATE piece SET length = length - 1")
    good = tables(store.path)
    Path(f"{store.path}-journal").write_bytes(journal)
    with pytest.raises(Fault, match=r"not all agrees .*Fern") as said:
        Store.open(store.path)
    assert tables(store.path) != good
    assert tables(Path(said.value.do.rpartition('restore "')[2].partition('"')[0])) == good
    Store.open(store.path).close()


def rooms() -> list[Path]:
    """The copies of files as they were that are kept."""
    return sorted(Path(os.environ["STARCOVER_BACKUPS"]).glob("*/as-it-was-*"))


def test_30_few_files_as_they_were_are_kept(store: Store) -> None:
    fern(store, 9)
    store.close()
    journal = hot_journal(store.path)
    for _ in range(leftovers.MOST_KEPT + 2):
        Path(f"{store.path}-journal").write_bytes(journal)
        Store.open(store.path).close()
    there = rooms()
    assert len(there) == leftovers.MOST_KEPT
    os.utime(there[-1], (0, 0))
    Path(f"{store.path}-journal").write_bytes(journal)
    Store.open(store.path).close()
    assert there[-1] not in rooms(), "after a month it goes"


@pytest.mark.parametrize("lock", ["IMMEDIATE", "EXCLUSIVE"])
def test_32_a_journal_of_a_program_that_is_saving_is_its_own(
    store: Store, monkeypatch: pytest.MonkeyPatch, lock: str
) -> None:
    """Nothing is copied, and nothing is left of the try."""
    fern(store, 9)
    monkeypatch.setattr("stash.inventory.transactions.BUSY_SECONDS", 0.1)
    with raw(store.path) as other:
        other.execute(f"BEGIN {lock}")
        other.execute("UPDATE fabric SET place = 'elsewhere'")
        assert Path(f"{store.path}-journal").stat().st_size > 0
        if lock == "IMMEDIATE":
            with Store.open(store.path) as again:
                assert again.fabric("Fern").place == ""
        else:
            with pytest.raises(Fault, match="another program is saving"), Store.open(store.path) as again:
                again.fabrics()
        other.execute("COMMIT")
    assert rooms() == []
    assert store.fabric("Fern").place == "elsewhere"


def test_30_our_own_restore_plays_no_journal_back(store: Store, tmp_path: Path) -> None:
    """The journal of a save that was cut off belongs to the present: it is taken back before that is replaced."""
    from stash.inventory.restore import restore

    fern(store, 9)
    made = backup.make(store.path)
    store.add(NewFabric("Moss", (piece(5),)))
    store.close()
    journal = hot_journal(store.path)
    Path(f"{store.path}-journal").write_bytes(journal)
    done = restore(made.path, store.path)
    assert tables(store.path) == tables(made.path)
    assert done.before is not None
    assert verify(done.before.path) == []
    assert not Path(f"{store.path}-journal").exists()


def saved_over(path: Path, held: Path) -> None:
    """What is open is saved as a copy at `path`."""
    with Store.open(held) as opened:
        opened.save_copy(path)


@pytest.mark.parametrize("act", ["restore", "new", "save_copy"])
def test_30_a_journal_that_was_left_behind(store: Store, tmp_path: Path, act: str) -> None:
    """A stash is taken away, and the journal of its cut-off save stays. What gets the name next is not changed by it:
    played back, this one would undo a restore without a word."""
    from stash.inventory.restore import restore

    fern(store, 9)
    kept = backup.make_at(store.path, tmp_path / "kept.db")
    store.used(1, inch(4))
    store.close()
    journal = hot_journal(store.path)
    store.path.unlink()
    Path(f"{store.path}-journal").write_bytes(journal)
    if act == "restore":
        restore(kept, store.path)
    elif act == "save_copy":
        saved_over(store.path, kept)
    else:
        Store.create(store.path).close()
    with Store.open(store.path) as now:
        assert [one.pieces[0].length for one in now.fabrics()] == ([] if act == "new" else [inch(9)])
    assert verify(store.path) == []
    assert [one.read_bytes() for one in tmp_path.glob("stash.db-journal.left-*")] == [journal], "nothing is lost"


def test_05_a_name_given_when_the_program_was_killed_is_the_only_one(store: Store) -> None:
    """A new file gets its name before it loses its unready one: a kill between leaves two, and one is cleared."""
    fern(store, 9)
    store.close()
    with subprocess.Popen([sys.executable, "-c", ""]) as gone:
        gone.wait()
    unready = store.path.with_name(f".stash.db.restore.{gone.pid}.new")
    os.link(store.path, unready)
    with Store.open(store.path) as again:
        assert again.fabric("Fern").pieces[0].length == inch(9)
    assert not unready.exists()
