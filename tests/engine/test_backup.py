"""Backups: which stay, when they are made, and putting one back. Faults on the way are in tests/faults."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from stash.errors import Fault
from stash.inventory import backup
from stash.inventory.backup_files import (
    Backup,
    backups_of,
    digest,
    fault_of,
    folder_of,
    name_for,
    newest_whole,
    sum_file,
)
from stash.inventory.restore import restore
from stash.inventory.rotation import MOST_BYTES, staying
from stash.inventory.store import Store
from stash.model import NewFabric
from tests.engine.conftest import CommandLine
from tests.engine.stashes import fern, inch, piece, raw, released, tables, visible

NOW = datetime(2026, 6, 30, 12, tzinfo=UTC)


def every(hours: float, count: int, size: int = 1) -> list[Backup]:
    """Backups each so many hours after the one before, the last one now."""
    return [
        Backup(Path(f"{n}"), n, NOW - timedelta(hours=hours * (count - n)), "daily", size) for n in range(1, count + 1)
    ]


def whole(_: Backup) -> bool:
    return True


def test_all_of_two_days_then_days_weeks_and_months_stay() -> None:
    """Four a day for 400 days: what the rule says, counted by hand.

    June 30 is a Tuesday. All of two days reaches back to the 28th, 18 h: 8. The 7 newest days begin with the 24th. The
    4 newest weeks end on June 30, 28, 21 and 14. The 6 newest months end on June 30, May 31, April 30, March 31,
    February 28 and January 31.
    """
    kept = staying(every(6, 1600), NOW, whole)
    days = [one.at.date().isoformat() for one in kept]
    assert kept[7].at == datetime(2026, 6, 28, 18, tzinfo=UTC)
    assert days[8:] == [
        "2026-06-27", "2026-06-26", "2026-06-25", "2026-06-24",
        "2026-06-21", "2026-06-14", "2026-05-31", "2026-04-30", "2026-03-31", "2026-02-28", "2026-01-31",
    ]  # fmt: skip


def test_what_stays_once_stays_the_next_time() -> None:
    """Going on day by day, a month is never left without its backup."""
    there: list[Backup] = []
    for n in range(1, 200):
        at = NOW + timedelta(days=n)
        there = staying([*there, Backup(Path(str(n)), n, at, "daily", 1)], at, whole)
    assert len(there) <= 2 + 7 + 4 + 6
    assert len({(one.at.year, one.at.month) for one in there}) >= 6
    assert there[0].number == 199


@pytest.mark.parametrize("size", [MOST_BYTES // 3 + 1, MOST_BYTES - 1, MOST_BYTES + 1])
def test_never_more_than_a_gigabyte_but_always_one(size: int) -> None:
    kept = staying(every(1, 10, size), NOW, whole)
    assert [one.number for one in kept] == ([10, 9] if size < MOST_BYTES // 2 else [10])
    spoiled = staying(every(1, 10, size), NOW, lambda one: one.number == 4)
    assert 4 in [one.number for one in spoiled], "the newest whole one stays, whatever comes after it"


def test_a_damaged_backup_takes_no_place_from_a_whole_one() -> None:
    kept = staying(every(6, 1600), NOW, lambda one: one.at.hour != 18)
    assert not [one for one in kept[8:] if one.at.hour == 18]


def test_a_clock_set_back_loses_no_backup() -> None:
    later = [Backup(Path("7"), 7, NOW + timedelta(days=900), "daily", 1), Backup(Path("8"), 8, NOW, "daily", 1)]
    assert [one.number for one in staying(later, NOW, whole)] == [8, 7]


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


def test_old_backups_go_when_a_new_one_is_made(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    for days in range(40, 0, -1):
        class Then(datetime):
            @classmethod
            def now(cls, tz: object = None, days: int = days) -> datetime:  # type: ignore[override]
                return NOW - timedelta(days=days)

        monkeypatch.setattr("stash.inventory.backup.datetime", Then)
        backup.make(store.path)
    left = backups_of(store.path)
    assert 7 < len(left) < 20
    assert newest_whole(store.path) == left[0]
    names = {one.name for one in left[0].path.parent.iterdir()}
    assert names == {one.path.name for one in left} | {sum_file(one.path).name for one in left}


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


def test_a_whole_stash_in_json_is_restored_like_a_backup(cli: CommandLine, tmp_path: Path) -> None:
    """Into its own stash, which is backed up first, and into one that is not there; an edited file changes nothing."""
    whole = tmp_path / "whole.json"
    cli.json("export", whole)
    before = tables(cli.path)
    cli.json("archive", "Flax")
    assert tables(cli.path) != before
    assert cli.json("restore", whole, "--yes")["restored"] == str(whole)
    cli.bare("--db", tmp_path / "new.db", "restore", whole)
    assert tables(cli.path) == tables(tmp_path / "new.db") == before
    whole.write_text(whole.read_text().replace("Flax", "Flux", 1))
    said = cli("restore", whole, "--yes")
    assert said.code == 1
    assert "Traceback" not in said.err
    assert tables(cli.path) == before


def test_a_restore_makes_a_stash_that_is_not_there(cli: CommandLine, tmp_path: Path) -> None:
    new = tmp_path / "a folder" / "new.db"
    assert cli.bare("--db", new, "restore", cli.path, "--json").json["before"] is None
    assert tables(new) == tables(cli.path)
    assert [one.name for one in new.parent.iterdir()] == ["new.db"]


def test_a_plain_copy_without_a_checksum_is_restored_too(store: Store, tmp_path: Path) -> None:
    fern(store, 9)
    shutil.copy(store.path, tmp_path / "copy.db")
    store.used(1, inch(1))
    restore(tmp_path / "copy.db", store.path)
    assert store.fabric("Fern").pieces[0].length == inch(9)
    store.used(1, inch(2))


def test_a_backup_of_an_older_version_is_brought_up_to_date_when_it_is_opened(store: Store, tmp_path: Path) -> None:
    fern(store, 9)
    released(tmp_path / "old.db", 1)
    done = restore(tmp_path / "old.db", store.path)
    assert done.version == 1
    with pytest.raises(Fault, match="while it was open"):
        store.used(1, inch(1))
    with Store.open(store.path) as again:
        assert again.fabrics() == []
    assert [one.why for one in backups_of(store.path)] == ["before-upgrade", "before-restore"]


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda path: path.write_bytes(b"fabric\n"), "not a stash file"),
        (lambda path: path.write_bytes(b""), "empty"),
        (lambda path: path.unlink(), "no such backup; .*starcover where lists"),
        (lambda path: path.write_bytes(path.read_bytes()[:9000]), "damaged"),
    ],
)
def test_what_is_no_whole_backup_is_not_restored(
    store: Store, tmp_path: Path, spoil: Callable[[Path], object], said: str
) -> None:
    fern(store, 9)
    before = store.path.read_bytes()
    copy = Path(shutil.copy(store.path, tmp_path / "copy.db"))
    spoil(copy)
    with pytest.raises(Fault, match=said):
        restore(copy, store.path)
    assert store.path.read_bytes() == before
    with pytest.raises(Fault, match="the stash itself"):
        restore(store.path, store.path)
    assert sorted(one.name for one in tmp_path.iterdir() if one.name != "copy.db") == ["stash.db"]


def at_clock(monkeypatch: pytest.MonkeyPatch, at: datetime) -> None:
    """Backups are made at this time from now on."""

    class Then(datetime):
        @classmethod
        def now(cls, tz: object = None) -> datetime:  # type: ignore[override]
            return at

    monkeypatch.setattr("stash.inventory.backup.datetime", Then)


@pytest.mark.parametrize("held", [False, True])
def test_the_backup_that_is_restored_is_not_let_go(
    store: Store, monkeypatch: pytest.MonkeyPatch, held: bool
) -> None:
    """Of ten days, the restore's own backup takes the place of the oldest: just that one is restored, or cannot be."""
    fern(store, 9)
    for days in range(10, 0, -1):
        at_clock(monkeypatch, NOW - timedelta(days=days))
        backup.make(store.path)
    at_clock(monkeypatch, NOW)
    there = backups_of(store.path)
    new = Backup(Path("new"), there[0].number + 1, NOW, "before-restore", 1)
    going = next(one for one in there if one not in staying([*there, new], NOW, whole))
    before = tables(going.path)
    store.used(1, inch(1))
    monkeypatch.setattr("stash.inventory.restore.BUSY_SECONDS", 0.1)
    with raw(store.path) as other:
        if held:
            other.execute("BEGIN IMMEDIATE")
            with pytest.raises(Fault, match="another program is saving"):
                restore(going.path, store.path)
        else:
            restore(going.path, store.path)
            assert tables(store.path) == before
    assert going in backups_of(store.path)


def test_two_backups_of_one_number_are_two(tmp_path: Path) -> None:
    """Two programs took the same number in the same second; one of the two files was spoiled since."""
    day = NOW - timedelta(days=5)
    pair = [Backup(tmp_path / name, 1, day, why, 1) for name, why in (("a", "asked"), ("b", "daily"))]
    newest = Backup(tmp_path / "c", 2, NOW, "daily", 1)
    for spoiled in pair:
        kept = staying([*pair, newest], NOW, lambda one, spoiled=spoiled: one != spoiled)  # type: ignore[misc]
        assert kept == [newest, *(one for one in pair if one != spoiled)]


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
