"""Files of every released version: their form as it was kept, and a stash of each with something in it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from stash.inventory import schema
from stash.inventory.backup_files import backups_of
from stash.inventory.store import Store
from stash.model import Colour, NewFabric
from tests.engine.stashes import LEDGER, LIVE, inch, photograph, piece, planned, raw, released, two_row_star, visible

NOW = schema.SCHEMA_VERSION
OLDEST = tuple(name for name in LIVE if name not in ("swatch", "spoiled"))  # the tables of the first version
PICTURES = ("picture", "thumbnail")
SINCE = {1: (*OLDEST, *LEDGER), 2: (*OLDEST, *LEDGER, *PICTURES, "swatch")}  # the tables of a version


def golden(version: int) -> list[str]:
    """The form of a released version, as `form` gives it."""
    return Path(__file__).with_name(f"schema_{version:04d}.sql").read_text(encoding="utf-8").splitlines()


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
