"""What can still be read of a damaged stash, written to a new one. The damaged file is only read.

Its rows are taken one by one, from the front, from the back and between, into a scratch stash that checks nothing but
what a row is; what belongs to a row that is lost goes. From there fabrics and stars are entered anew, so that the new
stash is whole and has a history of its own.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path

from stash.errors import Fault
from stash.files import expanded, temporary_room
from stash.inventory import making, opening, tables
from stash.inventory.rows_left import Rows
from stash.inventory.store import Store
from stash.inventory.troubles import NoStash, of_the_machine, said_plainly
from stash.model import Fabric, NewFabric, NewPiece, NewSwatch
from stash.wording import counted

_WANTED = ("fabric", "piece", "colour", "eye", "picture", "thumbnail", "swatch", "star", "colouring", "letter")
_SINCE = {"binding_width": "42", "backing_width": "42"}  # what older versions had no column for
_AS_IT_IS = "mode=ro&immutable=1"  # no lock, no journal, no byte changed
_AT_ONCE = 100  # fabrics entered together: their pictures are in memory meanwhile


@dataclass(frozen=True, slots=True)
class Rescued:
    """What was saved, and a sentence for each thing that was not."""

    path: Path
    fabrics: int
    stars: int
    lost: tuple[str, ...]


def rescue(damaged: Path, new: Path) -> Rescued:
    """Write what can be read of `damaged` to a new stash at `new`, whole or not at all.

    Raises Fault where there is no such file, where nothing can be read at all, and where the disk does not take it.
    """
    real = _file(damaged)
    making.refuse_taken(new)
    with temporary_room() as room, making.in_the_making(new) as unready:
        scratch = room / "scratch.db"
        making.make(scratch)
        with said_plainly(scratch):
            lost = _take_rows(_to_read(real, room), scratch)
        with Store.open(scratch) as old:
            fabrics = old.fabrics(archived=True)
            if not fabrics:
                raise Fault("nothing can be read of this file; nothing was written", str(damaged), "take a backup")
            with Store.open(unready) as store:
                refused = [*_enter_fabrics(old, store, fabrics), *_enter_stars(old, store)]
                many = len(store.fabrics(archived=True)), len(store.stars())
    return Rescued(expanded(new), *many, (*lost, *refused))


def _file(damaged: Path) -> Path:
    """The file itself, whatever its bytes say. Raises Fault where it is no file, or may not be read."""
    try:
        return opening.find(damaged).path
    except Fault:
        real = expanded(damaged)
        if not real.is_file() or not os.access(real, os.R_OK):
            raise
        return real.resolve()


def _to_read(real: Path, room: Path) -> str:
    """The file for SQLite to read, never to change. Beside the journal of a save that was cut off it is a copy, where
    that is taken back; a journal that spoils the copy is another file's, and is left out."""
    journal, wal = opening.cut_off(real), Path(f"{real}-wal")
    beside = [*(["-journal"] if journal else []), *(["-wal"] if wal.exists() and wal.stat().st_size else [])]
    if beside:
        copy = room / "copy.db"
        try:
            for end in (*beside, ""):
                shutil.copyfile(f"{real}{end}", f"{copy}{end}")
        except OSError as error:
            what = f"there is no room for a copy to read from ({error.strerror}); nothing was written"
            raise Fault(what, str(room), "make room there, or name another folder with TMPDIR") from None
        taken_back = opening.uri(copy, "mode=rw")
        if _sound(taken_back) or not _sound(opening.uri(real, _AS_IT_IS)):
            return taken_back
    return opening.uri(real, _AS_IT_IS)


def _sound(file: str) -> bool:
    try:
        with closing(sqlite3.connect(file, uri=True)) as conn:
            return bool(conn.execute("PRAGMA integrity_check").fetchone()[0] == "ok")
    except sqlite3.DatabaseError:
        return False


def _take_rows(file: str, scratch: Path) -> list[str]:
    lost = []
    with (
        closing(sqlite3.connect(file, uri=True)) as source,
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
    rows = Rows(source, name, asked)
    refused = 0
    for row in rows:
        try:
            target.execute(f'INSERT INTO "{name}" VALUES ({marks})', row)
        except (sqlite3.IntegrityError, sqlite3.DataError):  # of the row; anything else is of the disk
            refused += 1
    if not rows.all_known:
        return "an unknown number of rows"
    missed = refused + len(rows.lost)
    return counted(missed, "row") if missed else ""


def _drop_orphans(conn: sqlite3.Connection) -> None:
    """Rows of lost parents go, and what belonged to those rows."""
    for (trigger,) in conn.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall():
        conn.execute(f'DROP TRIGGER "{trigger}"')
    while orphans := conn.execute("PRAGMA foreign_key_check").fetchall():
        for table, row_id, _, _ in orphans:
            conn.execute(f'DELETE FROM "{table}" WHERE rowid = ?', (row_id,))


def _enter_fabrics(old: Store, store: Store, fabrics: list[Fabric]) -> Iterator[str]:
    """Some at a time, or one by one where one of them may not be entered; gives what was left out."""
    files = {owner: told for told, owner in old.photo_hashes().items()}
    for start in range(0, len(fabrics), _AT_ONCE):
        new = [_new(one, old, files.get(one.name, "0" * 64)) for one in fabrics[start : start + _AT_ONCE]]
        try:
            store.add_many(new)
        except Fault as fault:
            _only_of_what_is_saved(fault)
            for one in new:
                yield from _enter(store, one)
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


def _enter(store: Store, one: NewFabric) -> Iterator[str]:
    """A fabric, without its photograph where that may not be entered, or not at all."""
    try:
        store.add(one)
    except Fault as fault:
        _only_of_what_is_saved(fault)
        if one.swatch is None:
            yield f'"{one.name}" is left out: {fault.what}'
            return
        without = list(_enter(store, replace(one, swatch=None)))
        yield from without or [f'the photograph of "{one.name}" is left out: {fault.what}']


def _only_of_what_is_saved(fault: Fault) -> None:
    """Go on only where the fabric or star itself is at fault: what a full disk refuses is not lost."""
    if of_the_machine(fault) or isinstance(fault, NoStash):
        raise fault


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
    """One by one: what one of them has wrong does not keep the others back."""
    for name in old.unreadable_stars():
        yield f'the star "{name}" cannot be read'
    for one in old.stars():
        try:
            store.save_star(one.name, one.star)
            for each in one.colourings:
                store.save_star(one.name, one.star, each.colouring)
        except Fault as fault:
            _only_of_what_is_saved(fault)
            yield f'the star "{one.name}" is not whole: {fault.what}'
