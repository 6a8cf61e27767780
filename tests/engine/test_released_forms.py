"""The form of a stash file: what is released stays, a new file has it at once, an older stash keeps all it has."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from stash.inventory import migrate, opening, schema
from stash.inventory.store import Store
from stash.model import Colour, Colouring, NewFabric
from tests.engine.older_files import NOW, SINCE, backup_of, filled, form, golden, old_file
from tests.engine.stashes import agrees, photograph, piece, released, tables, visible
from tests.posix import POSIX


def test_a_new_file_has_the_form_that_was_released(store: Store) -> None:
    """What users have on their disks never changes; a new form is a new revision and a new file beside this one."""
    assert form(store.path) == golden(NOW)


def test_the_migrations_make_the_very_same(tmp_path: Path) -> None:
    old_file(tmp_path / "old.db")
    migrate.upgrade(opening.find(tmp_path / "old.db"))
    assert form(tmp_path / "old.db") == golden(NOW)


@pytest.mark.parametrize("version", range(1, NOW))
def test_each_released_form_is_brought_to_the_present_one(tmp_path: Path, version: int) -> None:
    """Made by the statements of its golden file, so that no later change of ours can touch what was released."""
    released(tmp_path / "old.db", version)
    assert form(tmp_path / "old.db") == golden(version)
    assert migrate.upgrade(opening.find(tmp_path / "old.db")).version == NOW
    assert form(tmp_path / "old.db") == golden(NOW)


@pytest.mark.parametrize("version", range(1, NOW))
def test_a_stash_of_an_older_version_keeps_all_it_has(tmp_path: Path, version: int) -> None:
    seen = filled(tmp_path / "old.db", version)
    before = tables(tmp_path / "old.db", SINCE[version])
    with Store.open(tmp_path / "old.db") as store:
        assert [*visible(store), store.history()] == seen
        assert tables(store.path, SINCE[version]) == before
        agrees(store.path)
        copy = backup_of(store.path)
        assert tables(copy, SINCE[version]) == before
        assert form(copy) == golden(version)
        store.add(NewFabric("Sky", (piece(9),), swatch=photograph("sky.jpg")))
        store.edit(1, colour=Colour(46, -30, 28, "relative"))
        uses = {"A": ("Fern",), "B": ("Moss",)}
        store.replace_colouring(1, 1, Colouring(uses, "Moss", binding="Fern", backing="Sky"))
        store.spoil(1, 1, 2)
        assert tables(store.path, ("spoiled",)) == {"spoiled": [(1, 1, 1, 2)]}
        while any(not entry.undone and entry.undo_of is None for entry in store.history()):
            store.undo()
            agrees(store.path)
        assert visible(store) == ([], [], [])
    with Store.open(copy) as old:
        assert [*visible(old), old.history()] == seen


KILLED_AT_THE_END = """
import os, signal, sys
from pathlib import Path
from stash.inventory import migrate, opening
migrate._check = lambda conn: os.kill(os.getpid(), signal.SIGKILL)
migrate.upgrade(opening.find(Path(sys.argv[1])))
"""


@POSIX
def test_a_stash_of_an_older_version_is_whole_after_a_kill_with_all_done_but_the_end(tmp_path: Path) -> None:
    seen = filled(tmp_path / "old.db", 1)
    done = subprocess.run(
        [sys.executable, "-c", KILLED_AT_THE_END, str(tmp_path / "old.db")], check=False, cwd=Path.cwd()
    )
    assert done.returncode == -signal.SIGKILL
    assert form(tmp_path / "old.db") == golden(1)
    with Store.open(tmp_path / "old.db") as store:
        assert [*visible(store), store.history()] == seen
        assert form(store.path) == golden(NOW)


def test_every_revision_is_numbered_as_the_version_it_makes() -> None:
    names = sorted(one.name for one in (migrate.SCRIPTS / "versions").glob("r*.py"))
    assert [int(name[1:5]) for name in names] == list(range(1, schema.SCHEMA_VERSION + 1))
