"""Writing the history: one entry (`op`) a request, with everything it changes.

An entry that is being written collects its changes and saves them at the end, so that the whole of it stands
in one transaction and many rows go in quickly. It changes a row at most once.
"""

from __future__ import annotations

import json
import uuid
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import groupby
from typing import Any

from sqlalchemy import Connection, Executable, bindparam, func, insert, select

from stash.errors import Conflict, Fault, UsageFault
from stash.inventory import tables
from stash.inventory.checks import bad_character, size_text
from stash.model import NewPiece

Row = dict[str, Any]
_TABLES = {name: tables.metadata.tables[name] for name in tables.PARENTS}  # parents before children
# Statements that every entry asks are made once: making one takes longer than asking it.
_ROW = {name: select(table).where(table.c.id == bindparam("row_id")) for name, table in _TABLES.items()}
_LAST_CHANGED = select(func.max(tables.change.c.row_id)).where(tables.change.c.table_name == bindparam("table"))
_LAST = {table.name: select(func.max(table.c.id)) for table in (tables.op, tables.piece)}
_BY_UID = select(tables.op.c.id).where(tables.op.c.uid == bindparam("uid"))


@dataclass(frozen=True, slots=True)
class State:
    """Everything about a piece that an entry can change. Sizes in ticks."""

    kind: str
    length: int
    width: int
    state: str = "here"  # or "used up", "withdrawn" (the entry that brought it was undone)
    cut_before: bool = False
    estimated: bool = False

    @property
    def area(self) -> int:
        """Square ticks."""
        return self.length * self.width

    @staticmethod
    def of(row: Any, prefix: str = "") -> State:
        """The state in a row of `piece` or `line`, whose labels may have a prefix."""
        kind, length, width, state, cut_before, estimated = (
            getattr(row, prefix + field)
            for field in ("kind", "length", "width", "state", "cut_before", "estimated")
        )
        return State(kind, length, width, state, bool(cut_before), bool(estimated))

    @staticmethod
    def new(piece: NewPiece) -> State:
        """The first state of a piece that comes in."""
        return State(str(piece.kind), piece.length, piece.width, "here", piece.cut_before, piece.estimated)

    def gone(self, state: str = "used up") -> State:
        """The same piece when nothing is left of it."""
        return State(self.kind, 0, 0, state, self.cut_before, self.estimated)

    def values(self) -> Row:
        """As columns of `piece` and `line`."""
        return {
            "kind": self.kind, "length": self.length, "width": self.width, "state": self.state,
            "cut_before": int(self.cut_before), "estimated": int(self.estimated),
        }  # fmt: skip


def new_uid() -> str:
    """A mark for an entry that nobody gave one: random."""
    return uuid.uuid4().hex


def by_uid(conn: Connection, uid: str) -> int | None:
    """The entry that was saved under `uid`. Raises UsageFault for one that could not be stored."""
    _check_uid(uid)
    return conn.scalar(_BY_UID, {"uid": uid})


def _check_uid(uid: str) -> None:
    if not 1 <= len(uid) <= 200 or bad_character(uid) is not None:
        raise UsageFault("a uid has 1 to 200 ordinary characters", do="leave it out, or use a random one")


class Book:
    """One entry being written."""

    def __init__(self, conn: Connection, kind: str, uid: str | None = None) -> None:
        if uid is not None:
            _check_uid(uid)
        self.conn = conn
        self.kind = kind
        self.uid = uid or new_uid()
        self._next: dict[str, int] = {}
        self.id = self._new_id("op")
        self._inserts: defaultdict[str, list[Row]] = defaultdict(list)
        self._updates: list[tuple[str, int, Row]] = []
        self._deletes: list[tuple[str, int]] = []
        self._changes: list[Row] = []
        self._lines: list[Row] = []
        self._resized: list[Row] = []
        self._touched: set[tuple[str, int]] = set()
        self.undo_of: int | None = None
        self.empty_counts = False

    @property
    def empty(self) -> bool:
        """Nothing is to be saved. A stock-take that found all as expected still is (`empty_counts`)."""
        return not (self._changes or self._lines or self.empty_counts)

    def _new_id(self, table: str) -> int:
        """An id that no row of the table ever had: a dropped row may come back under its own."""
        if table not in self._next:
            last = _LAST.get(table)  # of those whose rows are never dropped
            newest = self.conn.scalar(_LAST_CHANGED, {"table": table}) if last is None else self.conn.scalar(last)
            self._next[table] = (newest or 0) + 1
        self._next[table] += 1
        return self._next[table] - 1

    def _touch(self, table: str, row_id: int) -> None:
        assert (table, row_id) not in self._touched, f"{table} {row_id} changed twice in one entry"
        self._touched.add((table, row_id))

    def row(self, table: str, row_id: int) -> Row | None:
        """A row as it is in the stash now, without what this entry is about to change."""
        found = self.conn.execute(_ROW[table], {"row_id": row_id}).mappings().first()
        return dict(found) if found is not None else None

    def insert(self, table: str, values: Mapping[str, Any], row_id: int | None = None) -> int:
        """A new row, under `row_id` where that is given (a fabric's colour; a row that comes back)."""
        row_id = self._new_id(table) if row_id is None else row_id
        self._touch(table, row_id)
        row = {**values, "id": row_id}
        self._inserts[table].append(row)
        self._record(table, row_id, None, row)
        return row_id

    def update(self, table: str, row_id: int, values: Mapping[str, Any], now: Row | None = None) -> bool:
        """Set fields of a row; says whether that changes anything. The row must be there (`now`: as it is known)."""
        now = self.row(table, row_id) if now is None else now
        assert now is not None, f"no {table} {row_id}"
        differing = {field: value for field, value in values.items() if now[field] != value}
        if not differing:
            return False
        self._touch(table, row_id)
        self._updates.append((table, row_id, differing))
        self._record(table, row_id, {field: now[field] for field in differing}, differing)
        return True

    def put(self, table: str, row_id: int, values: Mapping[str, Any]) -> bool:
        """A row under a known id: set its fields, or make it."""
        if self.row(table, row_id) is not None:
            return self.update(table, row_id, values)
        self.insert(table, values, row_id)
        return True

    def delete(self, table: str, row_id: int, now: Row | None = None) -> bool:
        """Remove a row; says whether it was there (`now`: as it is known). Children go before their parents."""
        now = self.row(table, row_id) if now is None else now
        if now is None:
            return False
        self._touch(table, row_id)
        self._deletes.append((table, row_id))
        self._record(table, row_id, now, None)
        return True

    def _record(self, table: str, row_id: int, before: Row | None, after: Row | None) -> None:
        self._changes.append(
            {"op": self.id, "table_name": table, "row_id": row_id, "before": _json(before), "after": _json(after)}
        )

    def new_piece(self, fabric_id: int, state: State) -> int:
        """A piece that comes into the stash."""
        piece_id = self._new_id("piece")
        self._touch("piece", piece_id)
        self._inserts["piece"].append({"id": piece_id, "fabric": fabric_id, "rev": 1, **state.values()})
        self._line(piece_id, 1, state, -state.area)
        return piece_id

    def set_piece(self, piece_id: int, rev: int, before: State, after: State) -> None:
        """A piece's next state. `rev` is the one that was seen; a piece changed since is a Conflict on saving."""
        self._touch("piece", piece_id)
        row = {f"to_{field}": value for field, value in after.values().items()}
        self._resized.append({"piece_id": piece_id, "seen": rev, "to_rev": rev + 1, **row})
        self._line(piece_id, rev + 1, after, before.area - after.area)

    def recount(self, piece_id: int, rev: int, state: State, untold: int) -> None:
        """Say anew what a piece is whose row and `rev` lines do not agree. `untold` is the area (square ticks) that
        no line accounts for, so that they add up again."""
        self._touch("piece", piece_id)
        seen = self.conn.scalar(select(tables.piece.c.rev).where(tables.piece.c.id == piece_id))
        row = {f"to_{field}": value for field, value in state.values().items()}
        self._resized.append({"piece_id": piece_id, "seen": seen, "to_rev": rev + 1, **row})
        self._line(piece_id, rev + 1, state, -untold)

    def _line(self, piece_id: int, rev: int, state: State, taken: int) -> None:
        values = {"op": self.id, "piece": piece_id, "rev": rev, **state.values(), "taken": taken}
        self._lines.append(values)

    def finish(self, note: str) -> None:
        """Save the entry with its sentence `note`. Raises UsageFault for one that cannot be stored and shown."""
        if (bad := bad_character(note, "\n\t")) is not None:
            raise UsageFault(f"what is to be booked has {bad} in it", do="leave that character out")
        at = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        values = {"id": self.id, "uid": self.uid, "kind": self.kind, "at": at, "note": note, "undo_of": self.undo_of}
        self.conn.execute(insert(tables.op), values)
        self._save_rows()
        self._save_pieces()
        if self._lines:
            self.conn.execute(insert(tables.line), self._lines)
        if self._changes:
            self.conn.execute(insert(tables.change), self._changes)

    def _save_rows(self) -> None:
        for table, deletes in groupby(self._deletes, key=lambda one: one[0]):
            rows = _TABLES[table]
            self._run(rows.delete().where(rows.c.id == bindparam("at")), [{"at": row_id} for _, row_id in deletes])
        for table, rows in _TABLES.items():
            if self._inserts[table]:
                self.conn.execute(insert(rows), self._inserts[table])
        for (table, fields), updates in groupby(self._updates, key=lambda one: (one[0], tuple(one[2]))):
            rows = _TABLES[table]
            setting = rows.update().values({name: bindparam(f"to_{name}") for name in fields})
            self._run(
                setting.where(rows.c.id == bindparam("at")),
                [{"at": row_id} | {f"to_{name}": v for name, v in values.items()} for _, row_id, values in updates],
            )

    def _run(self, statement: Executable, values: list[Row]) -> None:
        """Run a statement for many rows, each of which must be there."""
        done = self.conn.execute(statement, values).rowcount
        if done != len(values):
            what = "the stash and its history do not agree; nothing was changed"
            raise Fault(what, do="report this, with a copy of the file")

    def _save_pieces(self) -> None:
        """One guarded UPDATE a piece: it does nothing where the piece is not as it was seen."""
        if not self._resized:
            return
        piece = tables.piece
        fields = [name for name in self._resized[0] if name.startswith("to_")]
        guarded = (
            piece.update()
            .where(piece.c.id == bindparam("piece_id"), piece.c.rev == bindparam("seen"))
            .values({name.removeprefix("to_"): bindparam(name) for name in fields})
        )
        for values in self._resized:
            if self.conn.execute(guarded, values).rowcount != 1:
                raise changed_since(self.conn, values["piece_id"])


def changed_since(conn: Connection, piece_id: int) -> Conflict:
    """The Conflict that names a piece, its fabric, and what is there now."""
    piece, fabric = tables.piece, tables.fabric
    row = conn.execute(
        select(piece.c.length, piece.c.width, fabric.c.name).join_from(piece, fabric).where(piece.c.id == piece_id)
    ).first()
    if row is None:
        return Conflict(f"there is no piece {piece_id}; nothing was changed", do="look at the stash again")
    now = f"now it has {size_text(row.length, row.width)}" if row.length else "it is there no longer"
    return Conflict(
        f'piece {piece_id} of "{row.name}" was changed since; {now}. Nothing was booked',
        row.name,
        "look at it again and cut from what is there",
    )


def _json(row: Row | None) -> str:
    return json.dumps(row, ensure_ascii=False, sort_keys=True)
