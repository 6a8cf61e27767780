"""Reading the history."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Select, exists, select, union

from stash.inventory.tables import change, line, op, piece
from stash.model import Entry

_undo = op.alias("undo")
_ENTRIES: Select[Any] = select(op, _undo.c.id.label("undone_by")).select_from(
    op.outerjoin(_undo, _undo.c.undo_of == op.c.id)
)


def _entry(row: Any) -> Entry:
    return Entry(row.id, row.kind, row.at, row.note, row.undone_by is not None, row.undo_of, row.uid)


def entry(conn: Connection, op_id: int) -> Entry | None:
    """The entry of that number, if there is one."""
    row = conn.execute(_ENTRIES.where(op.c.id == op_id)).first()
    return _entry(row) if row is not None else None


def known_entry(conn: Connection, op_id: int) -> Entry:
    """An entry that is sure to be there."""
    found = entry(conn, op_id)
    assert found is not None, f"no entry {op_id}"
    return found


def history(conn: Connection, limit: int, before: int | None, fabric_id: int | None) -> list[Entry]:
    """Entries, newest first; older than entry `before`; only those that touched a fabric."""
    query = _ENTRIES.order_by(op.c.id.desc()).limit(limit)
    if before is not None:
        query = query.where(op.c.id < before)
    if fabric_id is not None:
        of_pieces = select(line.c.op).join(piece, piece.c.id == line.c.piece).where(piece.c.fabric == fabric_id)
        of_rows = select(change.c.op).where(
            change.c.table_name.in_(("fabric", "colour", "eye", "swatch")), change.c.row_id == fabric_id
        )
        query = query.where(op.c.id.in_(union(of_pieces, of_rows)))
    return [_entry(row) for row in conn.execute(query)]


def newest_to_undo(conn: Connection) -> int | None:
    """The newest entry that is neither an undo nor undone."""
    undone = exists().where(_undo.c.undo_of == op.c.id)
    return conn.scalar(
        select(op.c.id).where(op.c.undo_of.is_(None), ~undone).order_by(op.c.id.desc()).limit(1)
    )
