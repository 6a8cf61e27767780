"""Which later entries build on one that is to be undone.

Only entries that stand count: neither undone nor an undo. Such an entry builds on an earlier one when it changed
the same piece, the same field of the same row, a row that came or went, something that belongs to a row that
would go (or that would come back to a parent that is gone), or took over a name that would come back.
"""

from __future__ import annotations

import json
from collections import defaultdict
from typing import Any, NamedTuple

from sqlalchemy import Connection, exists, select

from stash.inventory.tables import PARENTS, change, line, metadata, op, piece

_KEYS = {
    "fabric": ("name_key",),
    "star": ("name_key",),
    "colouring": ("star", "number"),
    "letter": ("colouring", "letter", "place"),
    "spoiled": ("plan", "set_number"),
}

RowKey = tuple[str, int]


class Change(NamedTuple):
    """One change of one row, read back."""

    op: int
    table: str
    row_id: int
    before: dict[str, Any] | None
    after: dict[str, Any] | None

    @staticmethod
    def of(row: Any) -> Change:
        """From a row of the table `change`."""
        return Change(row.op, row.table_name, row.row_id, json.loads(row.before), json.loads(row.after))


class Later:
    """The standing entries after entry `target`, by what they touched."""

    def __init__(self, conn: Connection, target: int) -> None:
        self._conn = conn
        self._rows: defaultdict[RowKey, list[Change]] = defaultdict(list)
        self._children: defaultdict[RowKey, set[int]] = defaultdict(set)
        self._pieces: defaultdict[int, set[int]] = defaultdict(set)
        counter = op.alias("counter")
        standing = select(op.c.id).where(
            op.c.id > target, op.c.undo_of.is_(None), ~exists().where(counter.c.undo_of == op.c.id)
        )
        for row in conn.execute(select(change).where(change.c.op.in_(standing))):
            self._take(Change.of(row))
        lines = select(line.c.op, line.c.piece, piece.c.fabric).join(piece, piece.c.id == line.c.piece)
        for row in conn.execute(lines.where(line.c.op.in_(standing))):
            self._pieces[row.piece].add(row.op)
            self._children["fabric", row.fabric].add(row.op)

    def _take(self, one: Change) -> None:
        self._rows[one.table, one.row_id].append(one)
        if one.after is None:
            return
        for column, parent in PARENTS[one.table]:
            owner = one.row_id if column == "id" else one.after.get(column)
            if owner is not None:
                self._children[parent, owner].add(one.op)

    def on_piece(self, piece_id: int, rev: int) -> set[int]:
        """Entries that build on one that gave a piece its state number `rev`."""
        found = set(self._pieces[piece_id])
        if rev == 1:  # the piece would go: a plan may count on it
            found |= self._children["piece", piece_id]
        return found

    def on_change(self, one: Change) -> set[int]:
        """Entries that build on one change of a row."""
        came_or_went = one.before is None or one.after is None
        found = {
            later.op
            for later in self._rows[one.table, one.row_id]
            if came_or_went or _overlap(one, later)
        }
        if one.before is None:
            return found | self._children[one.table, one.row_id]
        if one.after is None:
            for column, parent in PARENTS[one.table]:
                changes = self._rows[parent, one.before[column]]
                found |= {later.op for later in changes if later.after is None}
        return found | self._took_its_place(one)

    def _took_its_place(self, one: Change) -> set[int]:
        key = _KEYS.get(one.table, ())
        if one.before is None or not key or not all(field in one.before for field in key):
            return set()
        rows = metadata.tables[one.table]
        query = select(rows.c.id).where(rows.c.id != one.row_id, *(rows.c[f] == one.before[f] for f in key))
        if one.table == "fabric":
            query = query.where(rows.c.withdrawn == 0)
        takers = self._conn.scalars(query).all()
        changes = (later for taker in takers for later in self._rows[one.table, taker])
        return {later.op for later in changes if later.after is not None and set(key) & set(later.after)}


def _overlap(one: Change, later: Change) -> bool:
    if later.before is None or later.after is None or one.after is None:
        return True
    return bool(set(one.after) & set(later.after))
