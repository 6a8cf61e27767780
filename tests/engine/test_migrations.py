"""A stash file brought to the next form: whole or not at all, its backup first, though a step fails or is killed."""

from __future__ import annotations

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from stash.errors import Fault
from stash.inventory import migrate, opening, schema
from stash.inventory.backup_files import backups_of
from stash.inventory.schema import TRIGGERS
from stash.inventory.store import Store
from tests.engine.older_files import NOW, backup_of, form, old_file
from tests.engine.stashes import agrees, fern, inch, raw
from tests.posix import POSIX

AFTER = NOW + 1

# A revision as a later version may have one: a table is rebuilt (which drops its triggers) and gets a column.
NEXT = '''
import sqlalchemy as sa
from alembic import op

revision = "{after:04d}"
down_revision = "{now:04d}"
branch_labels = None
depends_on = None


def upgrade():
    with op.batch_alter_table("line", recreate="always") as batch:
        batch.add_column(sa.Column("by", sa.Text, nullable=False, server_default=""))
    with op.batch_alter_table("fabric", recreate="always") as batch:
        batch.add_column(sa.Column("maker", sa.Text, nullable=False, server_default=""))
    {more}
'''


def next_revision(scripts: Path, more: str) -> None:
    """Write that revision into a folder of revisions."""
    text = NEXT.format(now=NOW, after=AFTER, more=more)
    (scripts / "versions" / f"r{AFTER:04d}_next.py").write_text(text, encoding="utf-8")


@pytest.fixture
def next_version(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """This program as it will be one version on; gives the folder of its revisions."""
    return _next_version(tmp_path, monkeypatch, "pass")


def _next_version(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, more: str) -> Path:
    scripts = tmp_path / "migrations of 100 %"
    shutil.copytree(migrate.SCRIPTS, scripts, ignore=shutil.ignore_patterns("__pycache__"))
    next_revision(scripts, more)
    monkeypatch.setattr(schema, "SCHEMA_VERSION", AFTER)
    return scripts


def test_an_older_file_is_brought_up_to_date_when_it_is_opened(tmp_path: Path) -> None:
    old_file(tmp_path / "old.db")
    with Store.open(tmp_path / "old.db") as store:
        fern(store)
        agrees(store.path)
    with raw(backup_of(tmp_path / "old.db")) as conn:
        assert conn.execute("PRAGMA user_version").fetchone() == (0,)


def test_rebuilt_tables_keep_their_rows_and_get_their_triggers_back(store: Store, next_version: Path) -> None:
    fern(store, 18)
    store.used(1, inch(5))
    store.close()
    found = migrate.upgrade(opening.find(store.path), next_version)
    assert found.version == AFTER
    agrees(store.path)
    with raw(store.path) as conn:
        assert conn.execute("SELECT name, maker FROM fabric").fetchall() == [("Fern", "")]
        assert conn.execute("SELECT count(*) FROM piece").fetchone() == (1,), "no child went with its parent"
        triggers = conn.execute("SELECT count(*) FROM sqlite_schema WHERE type = 'trigger'").fetchone()
        assert triggers == (len(TRIGGERS),)
        with pytest.raises(sqlite3.IntegrityError, match="only ever added to"):
            conn.execute("DELETE FROM line")
        assert conn.execute("SELECT version_num FROM revision").fetchall() == [(f"{AFTER:04d}",)]


@pytest.mark.parametrize(
    "more",
    [
        "raise RuntimeError('a fault of ours')",
        "op.execute('INSERT INTO nowhere VALUES (1)')",
        "op.execute('DELETE FROM fabric')",  # foreign keys are off: the check at the end must find it
    ],
)
def test_a_migration_that_fails_leaves_the_file_as_it_was(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, more: str
) -> None:
    fern(store, 18)
    store.close()
    before = store.path.read_bytes()
    scripts = _next_version(tmp_path, monkeypatch, more)
    with pytest.raises(Fault, match="it is as it was") as failed:
        migrate.upgrade(opening.find(store.path), scripts)
    assert store.path.read_bytes() == before
    copy = backup_of(store.path)
    assert str(copy) in failed.value.do
    monkeypatch.undo()
    with Store.open(copy) as kept, Store.open(store.path) as same:
        assert kept.fabrics() == same.fabrics()


KILLED = """
import os, signal, sys
from pathlib import Path
from stash.inventory import migrate, opening, schema
schema.SCHEMA_VERSION = int(sys.argv[3])
migrate.upgrade(opening.find(Path(sys.argv[1])), Path(sys.argv[2]))
"""


@POSIX
@pytest.mark.parametrize("when", ["rebuilt", "copied", "done"])
def test_a_migration_that_is_killed_leaves_the_old_or_the_new(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, when: str
) -> None:
    fern(store, 18)
    store.close()
    kill = "import os, signal; os.kill(os.getpid(), signal.SIGKILL)"
    scripts = _next_version(tmp_path, monkeypatch, kill if when == "rebuilt" else "pass")
    code = KILLED
    if when == "copied":
        dies = f"migrate.make_engine = lambda *a, **k: exec({kill!r})\n"
        code = code.replace("migrate.upgrade(", dies + "migrate.upgrade(")
    words = [str(store.path), str(scripts), str(AFTER)]
    done = subprocess.run([sys.executable, "-c", code, *words], check=False, cwd=Path.cwd())
    assert done.returncode == (0 if when == "done" else -signal.SIGKILL)
    found = opening.find(store.path)
    assert found.version == (AFTER if when == "done" else NOW)
    if when != "done":
        assert migrate.upgrade(found, _again(scripts)).version == AFTER
    agrees(store.path)
    with raw(store.path) as conn:
        assert conn.execute("SELECT name, maker FROM fabric").fetchall() == [("Fern", "")]
    assert [one.name for one in store.path.parent.iterdir() if one.name.endswith("-journal")] == []


def _again(scripts: Path) -> Path:
    next_revision(scripts, "pass")
    return scripts


def test_no_copy_no_migration(store: Store, next_version: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    fern(store)
    store.close()
    before = store.path.read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(Fault, match="No space left on device"):
        migrate.upgrade(opening.find(store.path), next_version)
    assert store.path.read_bytes() == before
    assert backups_of(store.path) == []


def test_an_older_file_that_may_not_be_written_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    old_file(tmp_path / "old.db")
    monkeypatch.setattr(os, "access", lambda path, mode: mode != os.W_OK)
    with pytest.raises(Fault, match=r"older form \(version 0\)"):
        Store.open(tmp_path / "old.db")
    assert [one.name for one in tmp_path.iterdir()] == ["old.db"]


def test_two_programs_may_bring_a_file_up_to_date_at_once(store: Store, next_version: Path) -> None:
    """The second finds the work done when its turn comes, and changes nothing."""
    store.close()
    found = opening.find(store.path)
    migrate.upgrade(found, next_version)
    made = form(store.path)
    assert migrate.upgrade(found, next_version).version == AFTER
    assert form(store.path) == made
