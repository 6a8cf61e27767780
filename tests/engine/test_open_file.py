"""What happens to the file of a stash while it is open: moved, replaced, upgraded, copied, no room on the disk."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from stash.errors import Fault
from stash.inventory.schema import SCHEMA_VERSION
from stash.inventory.store import Store
from stash.model import NewFabric
from tests.engine.stashes import digest, fern, raw, tables


def test_a_file_moved_or_replaced_while_open_is_not_written(store: Store, tmp_path: Path) -> None:
    fern(store)
    moved = tmp_path / "moved.db"
    os.replace(store.path, moved)
    with pytest.raises(Fault, match="no longer there"):
        store.add(NewFabric("Moss"))
    assert not store.path.exists()
    with Store.create(tmp_path / "other.db") as other:
        fern(other)
    os.replace(tmp_path / "other.db", store.path)
    here, there = digest(store.path), digest(moved)
    with pytest.raises(Fault, match="replaced by another file"):
        store.add(NewFabric("Moss"))
    assert (digest(store.path), digest(moved)) == (here, there)


def test_the_token_notices_a_file_that_was_replaced(store: Store, tmp_path: Path) -> None:
    seen = store.change_token()
    shutil.copy(store.path, tmp_path / "copy.db")
    os.replace(tmp_path / "copy.db", store.path)
    assert store.change_token() != seen
    store.path.unlink()
    assert store.change_token() != seen


def test_a_file_brought_up_to_date_while_open_is_not_written(store: Store) -> None:
    fern(store)
    with raw(store.path) as conn:
        conn.execute(f"PRAGMA user_version = {SCHEMA_VERSION + 1}")
    before = tables(store.path)
    with pytest.raises(Fault, match="start it again") as refused:
        store.add(NewFabric("Moss"))
    assert f"version {SCHEMA_VERSION} to {SCHEMA_VERSION + 1}" in refused.value.what
    assert tables(store.path) == before
    with raw(store.path) as conn:
        conn.execute(f"PRAGMA user_version = {SCHEMA_VERSION}")
        conn.execute("PRAGMA application_id = 7")
    with pytest.raises(Fault, match="another program"):
        store.add(NewFabric("Moss"))


def test_a_full_disk_loses_nothing_and_saving_goes_on_when_there_is_room(store: Store) -> None:
    """A limit on the number of pages gives the very error of a full disk, SQLITE_FULL (the SQLite manual)."""
    fern(store)
    with store.transactions.reading() as conn:
        pages = conn.exec_driver_sql("PRAGMA page_count").scalar_one()
        conn.exec_driver_sql(f"PRAGMA max_page_count = {pages}")  # this pooled connection may not grow the file
    before = tables(store.path)
    with pytest.raises(Fault, match="disk is full; nothing was saved"):
        store.add(NewFabric("Moss", note="x" * 9000))
    assert tables(store.path) == before
    with store.transactions.reading() as conn:
        conn.exec_driver_sql("PRAGMA max_page_count = 1073741823")
    assert store.add(NewFabric("Moss", note="x" * 9000)).name == "Moss"
    with raw(store.path) as conn:
        assert conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def test_a_plain_copy_of_an_open_stash_is_whole(store: Store, tmp_path: Path) -> None:
    fern(store)
    shutil.copy(store.path, tmp_path / "copy.db")
    with Store.open(tmp_path / "copy.db") as copy:
        assert copy.fabrics() == store.fabrics()
