"""The form of a stash file: what is released stays, a new file has it at once, an older one is brought to it."""

from __future__ import annotations

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from stash.errors import Fault
from stash.inventory import migrate, opening, schema
from stash.inventory.backup_files import backups_of
from stash.inventory.schema import TRIGGERS
from stash.inventory.store import Store
from stash.model import Colour, Colouring, NewFabric
from tests.engine.stashes import (
    LEDGER,
    LIVE,
    agrees,
    fern,
    inch,
    photograph,
    piece,
    planned,
    raw,
    released,
    tables,
    two_row_star,
    visible,
)
from tests.posix import POSIX

NOW = schema.SCHEMA_VERSION
AFTER = NOW + 1
OLDEST = tuple(name for name in LIVE if name not in ("swatch", "spoiled"))  # the tables of the first version
PICTURES = ("picture", "thumbnail")
SINCE = {1: (*OLDEST, *LEDGER), 2: (*OLDEST, *LEDGER, *PICTURES, "swatch")}  # the tables of a version


def golden(version: int) -> list[str]:
    """The form of a released version, as `form` gives it."""
    return Path(__file__).with_name(f"schema_{version:04d}.sql").read_text(encoding="utf-8").splitlines()


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


def form(path: Path) -> list[str]:
    """Every statement that makes the file's form, in one order and spacing, and its two numbers."""
    with raw(path) as conn:
        rows = conn.execute("SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL").fetchall()
        revision = conn.execute("SELECT version_num FROM revision").fetchall()
        numbers = [conn.execute(f"PRAGMA {name}").fetchone()[0] for name in ("application_id", "user_version")]
    made = [" ".join(sql.split()) for (sql,) in rows]
    tight = [one.replace("( ", "(").replace(" )", ")").replace(" ,", ",") for one in made]
    return [*sorted(tight), f"-- revision {revision}, application and version {numbers}"]


def backup_of(path: Path) -> Path:
    """The one backup there is, made before the upgrade."""
    (copy,) = backups_of(path)
    assert copy.why == "before-upgrade"
    return copy.path


def old_file(path: Path) -> None:
    """A file of ours of version 0: nothing in it yet."""
    with raw(path) as conn:
        conn.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
        conn.execute("PRAGMA user_version = 0")


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


def filled(path: Path, version: int) -> list[Any]:
    """A stash of that version with fabrics, colours, cuts, a star with its plan, and undone entries in it.

    Its rows are those that today's program writes where there are no photographs (from version 2 on there is one)
    and no binding, backing or spoiled segments: they are the same in every version. Gives what is to be seen in it,
    and its history.
    """
    today = path.with_name("today.db")
    with Store.create(today) as store:
        two_row_star(store)
        store.edit(2, colour=Colour(30.1, -1 / 3, 1e-9, "measured"))
        store.set_value_by_eye(1, 40.5)
        store.add(NewFabric("Night", (piece(9),), Colour(10, 0, 0)))
        store.undo()
        store.used(1, inch(5))
        store.keep_plan(1, 1, [planned(store.fabric("Moss"), 2)])
        store.book(1, [1])
        store.archive(2)
        if version >= 2:
            store.add(NewFabric("Photographed", (piece(9),), swatch=photograph("night.jpg")))
        seen = [*visible(store), store.history()]
    released(path, version)
    with raw(path) as conn:
        conn.execute("ATTACH ? AS today", (str(today),))
        here = [name for (name,) in conn.execute("SELECT name FROM main.sqlite_schema WHERE type = 'table'")]
        for table in sorted(set(here) & {*LIVE, *LEDGER, *PICTURES}):
            conn.execute(f'INSERT INTO main."{table}" SELECT * FROM today."{table}"')
    today.unlink()
    return seen


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
