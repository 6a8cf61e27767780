"""What can still be read of a damaged stash, written to a new one. The damaged file is only read.

Its rows are taken one by one, from the front, from the back and between, into a scratch stash that checks nothing but
what a row is; what belongs to a row that is lost goes. From there fabrics and stars are entered anew, so that the new
stash is whole and has a history of its own.
"""

from __future__ import annotations

import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from stash.errors import Fault
from stash.files import expanded
from stash.inventory import opening, tables
from stash.inventory.store import Store
from stash.model import Fabric, NewFabric, NewPiece, NewSwatch

_WANTED = ("fabric", "piece", "colour", "eye", "picture", "thumbnail", "swatch", "star", "colouring", "letter")
_SINCE = {"binding_width": "42", "backing_width": "42"}  # what older versions had no column for
_MOST_IDS = 2_000_000
_GAP = 1_000  # ids in a row that cannot be read before the rest of a table is given up


@dataclass(frozen=True, slots=True)
class Rescued:
    """What was saved, and a sentence for each thing that was not."""

    path: Path
    fabrics: int
    stars: int
    lost: tuple[str, ...]


def rescue(damaged: Path, new: Path) -> Rescued:
    """Write what can be read of `damaged` to a new stash at `new`. Raises Fault where nothing can be read at all."""
    real = expanded(damaged)
    if os.path.lexists(expanded(new)):
        raise Fault("there is something here already; nothing was changed", str(new), "choose another name")
    with tempfile.TemporaryDirectory(prefix="starcover-rescue-") as room:
        scratch = Path(room) / "scratch.db"
        opening.make(scratch)
        lost = _take_rows(real, scratch)
        with Store.open(scratch) as old:
            fabrics = old.fabrics(archived=True)
            if not fabrics:
                raise Fault("nothing can be read of this file; nothing was written", str(damaged), "take a backup")
            with Store.create(new) as store:
                refused = [*_enter_fabrics(old, store, fabrics), *_enter_stars(old, store)]
                return Rescued(store.path, len(store.fabrics(archived=True)), len(store.stars()), (*lost, *refused))


def _take_rows(real: Path, scratch: Path) -> list[str]:
    lost = []
    with (
        closing(sqlite3.connect(opening.uri(real, "mode=ro&immutable=1"), uri=True)) as source,
        closing(sqlite3.connect(scratch, isolation_level=None)) as target,
    ):
        target.execute("PRAGMA foreign_keys = OFF")
        target.execute("BEGIN")
        source.text_factory = lambda raw: raw.decode("utf-8", "replace")
        for name in _WANTED:
            missed = _take_table(source, target, name)
            if missed:
                lost.append(f'{missed} of the table "{name}" cannot be read')
        _drop_orphans(target)
        target.execute("COMMIT")
    return lost


def _take_table(source: sqlite3.Connection, target: sqlite3.Connection, name: str) -> str:
    """Copy a table's rows that can be read; says how many cannot ("" for none)."""
    columns = [column.name for column in tables.metadata.tables[name].columns]
    try:
        known = {row[1] for row in source.execute(f'PRAGMA table_info("{name}")')}
    except sqlite3.Error:
        return "all rows"
    if not known:
        return "all rows"
    asked = ", ".join(f'"{one}"' if one in known else repr(_SINCE.get(one, "")) for one in columns)
    marks = ", ".join("?" * len(columns))
    missed = 0
    for row in _rows(source, f'SELECT {asked} FROM "{name}"'):
        try:
            if row is None:
                raise sqlite3.DataError
            target.execute(f'INSERT INTO "{name}" VALUES ({marks})', row)
        except sqlite3.Error:
            missed += 1
    return f"{missed} row{'' if missed == 1 else 's'}" if missed else ""


def _rows(source: sqlite3.Connection, query: str) -> Iterator[tuple[Any, ...] | None]:
    """Rows by their ids: from the front up to the damage, from the back down to it, and one by one between; None for
    one that cannot be read. The id is the first column."""
    first, last = 0, _MOST_IDS
    damaged = False
    try:
        for row in source.execute(f"{query} ORDER BY id"):
            yield row
            first = row[0]
    except sqlite3.Error:
        damaged = True
    if not damaged:
        return
    try:
        for row in source.execute(f"{query} WHERE id > ? ORDER BY id DESC", (first,)):
            yield row
            last = row[0]
    except sqlite3.Error:
        pass
    unread = 0
    for number in range(first + 1, last):
        try:
            row = source.execute(f"{query} WHERE id = ?", (number,)).fetchone()
        except sqlite3.Error:
            unread += 1
            if unread > _GAP:
                return
            yield None
            continue
        if row is not None:
            unread = 0
            yield row
        elif last == _MOST_IDS:  # past the end, as far as can be seen
            unread += 1
            if unread > _GAP:
                return


def _drop_orphans(conn: sqlite3.Connection) -> None:
    """Rows of lost parents go, and what belonged to those rows."""
    for (trigger,) in conn.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall():
        conn.execute(f'DROP TRIGGER "{trigger}"')
    while orphans := conn.execute("PRAGMA foreign_key_check").fetchall():
        for table, row_id, _, _ in orphans:
            conn.execute(f'DELETE FROM "{table}" WHERE rowid = ?', (row_id,))


def _enter_fabrics(old: Store, store: Store, fabrics: list[Fabric]) -> Iterator[str]:
    """All together, or one by one where one of them may not be entered; gives what was left out."""
    files = {owner: told for told, owner in old.photo_hashes().items()}
    new = [_new(one, old, files.get(one.name, "0" * 64)) for one in fabrics]
    try:
        store.add_many(new)
    except Fault:
        for one in new:
            try:
                store.add(one)
            except Fault as fault:
                yield f'"{one.name}" is left out: {fault.what}'
    made = {one.name: one.id for one in store.fabrics(archived=True)}
    for was in fabrics:
        if was.name not in made:
            continue
        if was.recorded and not was.pieces:  # nothing left, which is another thing than not measured
            store.count(made[was.name], ())
        if was.value_by_eye is not None:
            store.set_value_by_eye(made[was.name], was.value_by_eye)
        if was.archived:
            store.archive(made[was.name])


def _new(one: Fabric, old: Store, file_hash: str) -> NewFabric:
    pieces = tuple(NewPiece(p.kind, p.length, p.width, p.cut_before, p.estimated) for p in one.pieces)
    picture, small = old.picture(one.id), old.thumbnail(one.id)
    swatch = None
    if one.swatch is not None and picture and small:
        swatch = NewSwatch(one.swatch, one.photo or "photograph", file_hash, picture, small)
    return NewFabric(
        one.name, pieces, one.measured, directional=one.directional, washed=one.washed, place=one.place,
        note=one.note, price=one.price, photo=one.photo, swatch=swatch,
    )  # fmt: skip


def _enter_stars(old: Store, store: Store) -> Iterator[str]:
    try:
        saved = old.stars()
    except Exception:
        yield "the saved stars cannot be read"
        return
    for one in saved:
        try:
            store.save_star(one.name, one.star)
            for each in one.colourings:
                store.save_star(one.name, one.star, each.colouring)
        except Fault as fault:
            yield f'the star "{one.name}" is not whole: {fault.what}'
