"""A backup put back: the stash becomes what it was, what it was before is kept, a file that is no backup is refused."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from stash.errors import Fault
from stash.inventory import backup
from stash.inventory.backup_files import Backup, backups_of
from stash.inventory.restore import restore
from stash.inventory.rotation import staying
from stash.inventory.store import Store
from tests.engine.backups import NOW, at_clock, whole
from tests.engine.conftest import CommandLine
from tests.engine.stashes import fern, inch, raw, released, tables


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
