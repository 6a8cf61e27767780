"""Opening a stash: files that are missing, empty, foreign, newer, damaged, or no plain file."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from stash.errors import Fault
from stash.inventory.schema import APPLICATION_ID, SCHEMA_VERSION
from stash.inventory.store import Store
from stash.model import NewFabric
from tests.engine.stashes import digest, fern, inch, raw
from tests.posix import POSIX


def test_a_new_stash_is_made_with_its_folder(tmp_path: Path) -> None:
    path = tmp_path / "a" / "b ä %20 ?#" / "stash.db"
    with Store.create(path) as store:
        assert store.path == path
        assert not store.read_only
        fern(store)
    assert sorted(one.name for one in path.parent.iterdir()) == ["stash.db"]
    with Store.open(path) as store:
        assert store.fabric("Fern").pieces[0].length == inch(18)
    with raw(path) as conn:
        assert conn.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)
        assert conn.execute("PRAGMA user_version").fetchone() == (SCHEMA_VERSION,)
        assert conn.execute("PRAGMA journal_mode").fetchone() == ("delete",)


def test_a_connection_keeps_what_was_decided_for_safety(store: Store) -> None:
    """synchronous 3 is EXTRA (the SQLite manual, PRAGMA synchronous)."""
    with store.transactions.reading() as conn:
        for pragma, value in (("synchronous", 3), ("foreign_keys", 1), ("journal_mode", "delete")):
            assert conn.exec_driver_sql(f"PRAGMA {pragma}").scalar_one() == value


def test_a_new_stash_never_takes_the_place_of_anything(tmp_path: Path) -> None:
    for name, content in (("file", b"mine"), ("none", b"")):
        path = tmp_path / name
        path.write_bytes(content)
        with pytest.raises(Fault, match="something here already"):
            Store.create(path)
        assert path.read_bytes() == content
    with pytest.raises(Fault, match="something here already"):
        Store.create(tmp_path)
    assert sorted(one.name for one in tmp_path.iterdir()) == ["file", "none"]


def test_a_stash_that_is_made_twice_at_once_is_made_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "stash.db"
    link = os.link

    def other_was_first(source: Path, target: Path) -> None:
        path.write_bytes(b"the other's")
        link(source, target)

    monkeypatch.setattr(os, "link", other_was_first)
    with pytest.raises(Fault, match="something here already"):
        Store.create(path)
    assert path.read_bytes() == b"the other's"
    assert [one.name for one in tmp_path.iterdir()] == ["stash.db"]


def test_a_file_system_without_links_will_do(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    with Store.create(tmp_path / "stash.db") as store:
        fern(store)
    assert [one.name for one in tmp_path.iterdir()] == ["stash.db"]


def test_a_stash_that_cannot_be_made_leaves_nothing(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    for path in (tmp_path / "file" / "stash.db", tmp_path / ("x" * 300), tmp_path / "a\0b"):
        with pytest.raises(Fault):
            Store.create(path)
    assert [one.name for one in tmp_path.iterdir()] == ["file"]


def test_a_missing_stash_says_where_and_how_to_make_one(tmp_path: Path) -> None:
    for path in (tmp_path / "stash.db", tmp_path / "no" / "folder" / "stash.db"):
        with pytest.raises(Fault) as missing:
            Store.open(path)
        assert str(path) in missing.value.where
        assert "starcover new" in missing.value.do
    assert list(tmp_path.iterdir()) == [], "looking makes nothing"


def _foreign(path: Path) -> None:
    with raw(path) as conn:
        conn.execute("PRAGMA application_id = 1234")
        conn.execute("CREATE TABLE fabric (id INTEGER)")


def _nobodys(path: Path) -> None:
    with raw(path) as conn:
        conn.execute("CREATE TABLE t (id INTEGER)")


def _hot(path: Path) -> None:
    """Another program's file with a journal of a transaction that was cut off: opening it would roll it back."""
    _foreign(path)
    with raw(path) as conn:
        conn.execute("PRAGMA cache_size = 1")
        conn.execute("BEGIN")
        conn.executemany("INSERT INTO fabric VALUES (?)", [(n,) for n in range(20_000)])
        shutil.copy(path, path.with_name("copy"))
        shutil.copy(f"{path}-journal", path.with_name("journal"))
    os.replace(path.with_name("copy"), path)
    os.replace(path.with_name("journal"), f"{path}-journal")


@pytest.mark.parametrize(
    ("write", "said"),
    [
        (lambda path: path.write_bytes(b""), "0 bytes"),
        (lambda path: path.write_bytes(b"fabric,length\nFern,1 yd\n"), "not a stash file"),
        (lambda path: path.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(5000)), "not a stash file"),
        (lambda path: path.write_bytes(b"SQLite format 3\0"), "not a stash file|another program"),
        (lambda path: path.write_bytes(bytes(4096)), "not a stash file"),
        (_foreign, "another program"),
        (_nobodys, "another program"),
        (_hot, "another program"),
    ],
)
def test_a_file_that_is_no_stash_is_refused_untouched(tmp_path: Path, write: object, said: str) -> None:
    path = tmp_path / "file"
    assert callable(write)
    write(path)
    before = {one.name: digest(one) for one in tmp_path.iterdir()}
    with pytest.raises(Fault, match=said) as refused:
        Store.open(path)
    assert str(path) in refused.value.where
    assert refused.value.do
    assert {one.name: digest(one) for one in tmp_path.iterdir()} == before


def test_a_stash_of_a_newer_version_is_refused_with_both_versions(store: Store) -> None:
    store.close()
    with raw(store.path) as conn:
        conn.execute(f"PRAGMA user_version = {SCHEMA_VERSION + 6}")
    before = digest(store.path)
    with pytest.raises(Fault, match=rf"version {SCHEMA_VERSION + 6} .* knows {SCHEMA_VERSION}\b"):
        Store.open(store.path)
    assert digest(store.path) == before


@pytest.mark.parametrize("damage", ["half", "page", "header"])
def test_a_damaged_stash_says_so_and_is_kept(store: Store, damage: str) -> None:
    for n in range(60):
        store.add(NewFabric(f"Fabric {n}"))
    store.close()
    data = bytearray(store.path.read_bytes())
    if damage == "half":
        data = data[: len(data) // 2]
    elif damage == "page":
        data[4096 * 3 :] = bytes(len(data) - 4096 * 3)
    else:
        data[16:24] = b"\xff" * 8
    store.path.write_bytes(data)
    before = digest(store.path)

    def act() -> None:
        with Store.open(store.path) as again:
            again.fabrics()
            again.history()
            again.add(NewFabric("One more"))

    with pytest.raises(Fault, match=r"damaged|not a stash file"):
        act()
    assert digest(store.path) == before


# --- paths that are no plain file


@POSIX
def test_a_path_that_is_no_plain_file_is_refused(tmp_path: Path, store: Store) -> None:
    (tmp_path / "dangling").symlink_to(tmp_path / "nowhere")
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    (tmp_path / "link").symlink_to(store.path)
    for path, said in (
        (tmp_path, "folder"),
        (Path("/dev/null"), "device"),
        (tmp_path / "dangling", "link to a file that is not there"),
        (tmp_path / "loop", "leads nowhere"),
        (store.path / "stash.db", "leads nowhere|no stash"),
        (Path("a\0b"), "no path"),
    ):
        with pytest.raises(Fault, match=said):
            Store.open(path)
    with Store.open(tmp_path / "link") as linked:
        assert linked.path == store.path, "a link leads to the one name of the file"
    (tmp_path / "second name").hardlink_to(store.path)
    with pytest.raises(Fault, match="2 names"):
        Store.open(store.path)


def test_a_file_left_in_wal_mode_comes_back_to_one_file(store: Store) -> None:
    fern(store)
    store.close()
    with raw(store.path) as conn:
        assert conn.execute("PRAGMA journal_mode = WAL").fetchone() == ("wal",)
        conn.execute("PRAGMA wal_autocheckpoint = 0")
        conn.execute("UPDATE fabric SET place = 'in the wal'")
        shutil.copy(store.path, store.path.with_name("killed.db"))
        shutil.copy(f"{store.path}-wal", store.path.with_name("killed.db-wal"))
    killed = store.path.with_name("killed.db")
    with Store.open(killed) as again:
        assert again.fabric("Fern").place == "in the wal"
        again.edit(1, place="box")
    assert not Path(f"{killed}-wal").exists()
    with raw(killed) as conn:
        assert conn.execute("PRAGMA journal_mode").fetchone() == ("delete",)


def test_opening_a_stash_imports_neither_alembic_nor_the_screen(store: Store) -> None:
    code = (
        "import sys; from stash.inventory.store import Store; s = Store.open(sys.argv[1]); s.fabrics(); s.close();"
        "print([m for m in sys.modules if m.split('.')[0] in"
        " ('alembic', 'textual', 'rich', 'numpy', 'PIL', 'colormath', 'mako')])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(store.path)], capture_output=True, text=True, cwd=Path.cwd(), check=True
    )
    assert done.stdout.strip() == "[]"


def test_sqlite_is_new_enough_for_strict_tables() -> None:
    """STRICT came with SQLite 3.37 (its release notes)."""
    assert sqlite3.sqlite_version_info >= (3, 37)
