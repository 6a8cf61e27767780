"""Backups: when they are made, under which name, and that each is whole. Faults on the way are in tests/faults."""

from __future__ import annotations

import os
from datetime import timedelta
from pathlib import Path

import pytest

from stash.errors import Fault
from stash.inventory import backup
from stash.inventory.backup_files import Backup, backups_of, digest, fault_of, folder_of, name_for, sum_file
from stash.inventory.store import Store
from stash.model import NewFabric
from tests.engine.backups import NOW, at_clock
from tests.engine.conftest import CommandLine
from tests.engine.stashes import fern, inch, piece, tables, visible


def test_each_stash_has_a_folder_of_its_own(store: Store, tmp_path: Path, own_backups: Path) -> None:
    other = tmp_path / "elsewhere" / "stash.db"
    Store.create(other).close()
    first, second = backup.make(store.path), backup.make(other)
    assert first.path.parent != second.path.parent
    assert first.path.parent.parent == own_backups
    assert folder_of(store.path) == first.path.parent
    assert [one.path for one in backups_of(store.path)] == [first.path]


def test_a_backup_is_a_stash_with_its_sha256_beside_it(store: Store) -> None:
    fern(store, 9)
    made = backup.make(store.path)
    assert made.number == 1
    first, *more = sum_file(made.path).read_text(encoding="utf-8").splitlines()
    assert first == f"{digest(made.path)}  {made.path.name}", "as sha256sum reads it"
    assert [line[:2] for line in more] == ["# ", "# "], "and passes over"
    assert tables(made.path) == tables(store.path)
    with Store.open(made.path) as again:
        assert visible(again) == visible(store)
    assert backup.make(store.path).number == 2
    assert sorted(one.suffix for one in made.path.parent.iterdir()) == [".db", ".db", ".sha256", ".sha256"]


def test_one_a_day_and_only_when_something_was_saved(cli: CommandLine) -> None:
    assert cli("list").code == 0
    assert backups_of(cli.path) == [], "nothing was saved"
    for name in ("Hedge Rose", "Sloe Gin"):
        assert cli("add", name).code == 0
    assert [one.why for one in backups_of(cli.path)] == ["daily"]


def test_the_command_line_backs_up_restores_and_verifies(cli: CommandLine, tmp_path: Path) -> None:
    stick = tmp_path / "stick.db"
    made = cli.json("backup", stick)
    assert (made["backup"], made["sha256"]) == (str(stick), digest(stick))
    assert cli("backup", stick).code == 1, "never over a file"
    before = tables(cli.path)
    cli.json("add", "Hedge Rose")
    after = tables(cli.path)
    asked = cli("restore", stick)
    assert (asked.code, tables(cli.path)) == (1, after)
    assert "--yes" in asked.err
    done = cli.json("restore", stick, "--yes")
    assert tables(cli.path) == before
    assert tables(Path(done["before"])) == after
    sound = cli.json("verify")
    assert (sound["sound"], sound["troubles"]) == (True, [])
    told = cli.json("where")
    assert told["last_backup"]["why"] == "before restore"
    assert [one["why"] for one in told["all_backups"]] == ["before restore", "daily"]
    assert told["last_backup"]["file"] in cli.json("verify")["backup"]
    assert told["backups"] in cli("where").out


def test_a_name_that_another_program_is_filling_is_left_to_it(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its checksum has its name already, its copy has not yet."""
    fern(store, 9)
    at_clock(monkeypatch, NOW)
    folder = folder_of(store.path)
    folder.mkdir(parents=True)
    theirs = sum_file(folder / name_for(1, NOW, "asked"))
    theirs.write_text("theirs\n", encoding="utf-8")
    made = backup.make(store.path)
    assert made.number == 2
    assert fault_of(made.path) is None
    assert theirs.read_text(encoding="utf-8") == "theirs\n"


def test_nothing_is_backed_up_twice_before_an_import(cli: CommandLine, tmp_path: Path) -> None:
    """The newest whole backup counts where nothing was saved since, whatever the clock said."""
    (tmp_path / "bad.csv").write_text("fabric,length\nNewcomer,long\n", encoding="utf-8")
    made = Path(cli.json("backup")["backup"])
    for _ in range(3):
        assert cli("import", tmp_path / "bad.csv").code == 1
    assert [one.path for one in backups_of(cli.path)] == [made]
    assert backup.before(cli.path, backup.BEFORE_IMPORT).path == made
    spoiled = bytearray(made.read_bytes())
    spoiled[-1] ^= 1
    made.write_bytes(spoiled)
    again = backup.before(cli.path, backup.BEFORE_IMPORT)
    assert again.why == "before-import", "a spoiled one does not count"
    cli.json("archive", "Flax")
    stamp = again.path.stat().st_mtime_ns - 10**9
    os.utime(cli.path, ns=(stamp, stamp))  # the clock went back meanwhile
    assert backup.before(cli.path, backup.BEFORE_IMPORT).number == again.number + 1


def test_a_backup_of_the_future_is_not_the_days(cli: CommandLine, monkeypatch: pytest.MonkeyPatch) -> None:
    """The clock was three years ahead when it was made."""
    ahead = NOW + timedelta(days=1096)
    at_clock(monkeypatch, ahead)
    made = backup.make(cli.path)
    os.utime(made.path, (ahead.timestamp(), ahead.timestamp()))
    at_clock(monkeypatch, NOW)
    assert backup.daily(cli.path) is None, "nothing was saved since"
    assert cli("add", "Sloe Gin").code == 0
    assert [one.why for one in backups_of(cli.path)] == ["daily", "asked"]


def test_a_save_does_not_read_the_days_backup_through(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    fern(store, 9)
    made = backup.daily(store.path)
    assert made is not None

    def read(path: Path) -> str:
        raise AssertionError(f"{path} is read")

    store.used(1, inch(1))
    monkeypatch.setattr("stash.inventory.backup_files.digest", read)
    assert backup.daily(store.path) is None


def test_a_name_for_a_day_that_is_none_is_no_backup(cli: CommandLine) -> None:
    assert cli("backup").code == 0
    (made,) = backups_of(cli.path)
    made.path.with_name("000009-99999999T999999Z-x.db").write_bytes(b"")
    assert cli("where").code == 0
    assert cli("add", "Sloe Gin").err == ""
    assert backups_of(cli.path) == [made]


def test_two_programs_that_back_up_at_once_get_two_numbers(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    made = backup.make(store.path)
    seen = backup.backups_in
    tries = iter([[], None])

    def late(folder: Path) -> list[Backup]:
        """The first look misses what another program has just written."""
        found = next(tries, None)
        return seen(folder) if found is None else found

    monkeypatch.setattr(backup, "backups_in", late)
    monkeypatch.setattr(backup, "name_for", lambda number, at, why: f"{number:06d}{made.path.name[6:]}")
    assert backup.make(store.path).number == 2
    assert [fault_of(one.path) for one in backups_of(store.path)] == [None, None]


def test_an_import_is_backed_up_first_and_a_dry_run_is_not(cli: CommandLine, tmp_path: Path) -> None:
    (tmp_path / "in.csv").write_text("fabric\nNewcomer\n", encoding="utf-8")
    before = tables(cli.path)
    assert cli("import", tmp_path / "in.csv", "--dry-run").code == 0
    assert backups_of(cli.path) == []
    assert cli("import", tmp_path / "in.csv").code == 0
    (made,) = backups_of(cli.path)
    assert (made.why, tables(made.path)) == ("before-import", before)


def test_a_copy_of_what_is_open_is_a_whole_stash(store: Store, tmp_path: Path) -> None:
    store.add(NewFabric("Moss", (piece(9),)))
    with Store.open(store.save_copy(tmp_path / "copy.db")) as copy:
        assert visible(copy) == visible(store)
    with pytest.raises(Fault, match="no copy can be written"):
        store.save_copy(tmp_path / "nowhere" / "copy.db")
