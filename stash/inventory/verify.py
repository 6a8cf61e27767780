"""Looking a stash over: the file, its form, its history against its pieces and facts, its pictures, its backups.

Nothing is changed by looking, and no program that saves waits for it: it is done on a copy. What `mendable` troubles
need is in stash/inventory/mend.py.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, func, select

from stash.errors import Fault
from stash.inventory import at_leisure, schema, tables, unreadable
from stash.inventory.backup_files import backups_of, fault_of
from stash.inventory.checks import size_text
from stash.inventory.history_kept import facts_that_differ
from stash.inventory.ledger import State
from stash.inventory.tables import fabric, line, op, picture, piece, swatch, thumbnail
from stash.inventory.troubles import NoStash

COUNTED = "counted"  # the kind of entry that says anew what a piece is
_MOST_OF_A_KIND = 100


@dataclass(frozen=True, slots=True)
class Trouble:
    """One thing that is wrong. `where` names the piece, fabric, table or file; `mendable`: --repair sets it right."""

    what: str
    where: str = ""
    mendable: bool = False

    def line(self) -> str:
        """The whole of it on one line, without a final stop."""
        return f"{self.where}: {self.what}" if self.where else self.what


@dataclass(frozen=True, slots=True)
class PieceTrouble(Trouble):
    """A piece whose size and history do not agree. `right` is what its history says it is, after `rev` lines."""

    piece: int = 0
    right: State | None = None
    rev: int = 0
    untold: int = 0  # square ticks that no line accounts for


def verify(path: Path) -> list[Trouble]:
    """All that is wrong with the stash at `path` and its backups. Raises Fault for what cannot be read at all."""
    try:
        with at_leisure.reading(path) as conn:
            found = [*_file(conn), *_form(conn)]
            if not any(one.where == "the file" for one in found):
                found += in_rows(conn)
    except NoStash as damage:
        raise Fault(damage.what, damage.where, damage.do) from damage
    return [*found, *damaged_backups(path)]


def in_rows(conn: Connection) -> Iterator[Trouble]:
    """All that is wrong with what a stash holds. What cannot be read or shown comes first: the rest is told with the
    names it concerns, and of the history only what can be read is used."""
    lost = [Trouble(what) for what in unreadable.changes(conn)]
    yield from lost
    yield from (Trouble(what) for what in unreadable.said(conn))
    yield from _orphans(conn)
    yield from pieces(conn)
    if not lost:
        yield from facts_said(conn)
    yield from pictures(conn)


def _file(conn: Connection) -> Iterator[Trouble]:
    said = [row[0] for row in conn.exec_driver_sql(f"PRAGMA integrity_check({_MOST_OF_A_KIND})")]
    for one in said if said != ["ok"] else ():
        yield Trouble(f"it is damaged ({' '.join(str(one).split())})", "the file")


def _form(conn: Connection) -> Iterator[Trouble]:
    """Tables and triggers as they are made: a trigger that is missing lets the history be changed."""
    there = schema.form_of(conn)
    for name in tables.metadata.tables:
        if name not in there:
            yield Trouble(f'the table "{name}" is missing', "the file")
    for name, statement in schema.TRIGGERS.items():
        if there.get(name) != statement:
            amiss = "is missing" if name not in there else "is not as it was made"
            yield Trouble(f'the guard "{name}", which keeps the history and pictures as they are, {amiss}', "", True)


def _orphans(conn: Connection) -> Iterator[Trouble]:
    for table, row_id, parent, _ in conn.exec_driver_sql("PRAGMA foreign_key_check").fetchmany(_MOST_OF_A_KIND):
        yield Trouble(f'it belongs to a row of "{parent}" that is not there', f'row {row_id} of "{table}"')


def pieces(conn: Connection) -> Iterator[PieceTrouble]:
    """Each piece against its lines: sizes are what the newest says, revisions have no gap, areas add up.

    A `counted` entry begins a piece's account anew: what is wrong before it is known and settled.
    """
    rows = conn.execute(
        select(line, op.c.kind.label("op_kind")).join(op, op.c.id == line.c.op).order_by(line.c.piece, line.c.rev)
    )
    own: dict[int, list[Any]] = {}
    for row in rows:
        kept = own.setdefault(row.piece, [])
        if row.op_kind == COUNTED:
            kept.clear()
        kept.append(row)
    named = select(piece, fabric.c.name).join(fabric, fabric.c.id == piece.c.fabric).order_by(piece.c.id)
    for row in conn.execute(named):
        found = _piece(row, own.get(row.id, []))
        if found is not None:
            yield found


def _piece(row: Any, lines: list[Any]) -> PieceTrouble | None:
    where = f'piece {row.id} of "{row.name}"'
    now = State.of(row)
    if not lines:
        return PieceTrouble("its history is missing", where, False, row.id)
    newest, told = State.of(lines[-1]), _told(lines)
    broken = [one.op for one, before in zip(lines[1:], lines, strict=False) if not _follows(before, one)]
    right = now if newest.area != told and now.area == told else newest
    if broken or newest.area != told:
        entry = broken[0] if broken else lines[-1].op
        said = f"its history does not add up at entry {entry}"
    elif now != newest or row.rev != lines[-1].rev:
        said = "the stash and its history do not agree"
    else:
        return None
    sizes = f"{said}: the stash says {_size(now)}, its history {_size(newest)}"
    return PieceTrouble(sizes, where, True, row.id, right, lines[-1].rev, right.area - told)


def _told(lines: list[Any]) -> int:
    """The area that is left by what each line took; a counted one says it outright."""
    first = State.of(lines[0]).area if lines[0].op_kind == COUNTED else -lines[0].taken
    return first - sum(int(one.taken) for one in lines[1:])


def _follows(before: Any, one: Any) -> bool:
    return bool(one.rev == before.rev + 1 and one.taken == State.of(before).area - State.of(one).area)


def _size(state: State) -> str:
    return size_text(state.length, state.width) if state.area else state.state


def facts_said(conn: Connection) -> Iterator[Trouble]:
    """Every other row against the changes the history has of it."""
    for table, row_id, fields in facts_that_differ(conn):
        name = conn.scalar(select(fabric.c.name).where(fabric.c.id == row_id)) if table != "star" else None
        where = f'"{name}"' if name and table in ("fabric", "colour", "eye", "swatch") else f'row {row_id} of "{table}"'
        yield Trouble(f"the stash and its history do not agree in {fields}", where)


def pictures(conn: Connection) -> Iterator[Trouble]:
    """Each picture against its SHA-256, and whether it has its small picture."""
    used = select(func.min(fabric.c.name)).join(swatch, swatch.c.id == fabric.c.id)
    query = select(picture, thumbnail.c.id.label("small")).outerjoin(thumbnail, thumbnail.c.id == picture.c.id)
    for row in conn.execution_options(yield_per=20).execute(query):
        same = hashlib.sha256(row.data).hexdigest() == row.hash
        if same and row.small is not None:
            continue
        owner = conn.scalar(used.where(swatch.c.picture == row.id))
        where = f'the photograph of "{owner}"' if owner else f"picture {row.id}"
        yield Trouble("it is not as it was stored" if not same else "its small picture is missing", where)


def damaged_backups(path: Path) -> Iterator[Trouble]:
    """Backups that are not as they were written; none of them counts as one."""
    for one in backups_of(path):
        fault = fault_of(one.path)
        if fault is not None:
            yield Trouble(f"{fault}, so it does not count", f"the backup {one.path}")
