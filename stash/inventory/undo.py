"""Undoing an entry by a counter entry: the entry stays, and what it changed is set back, which is on record too."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, select

from stash.errors import Conflict, Fault, NotFound
from stash.inventory import history
from stash.inventory.builds_on import Change, Later
from stash.inventory.ledger import Book, State
from stash.inventory.tables import change, line, piece
from stash.model import Entry

_MOST_NAMED = 3
_piece_now = piece.alias("now")
_earlier = line.alias("earlier")


def undo(book: Book, op_id: int | None) -> str:
    """Undo entry `op_id` (None: the newest that is neither an undo nor undone).

    Raises Conflict, with nothing changed, where a later entry builds on it (they are named), where it is undone
    already, and where it is itself an undo.
    """
    target = _target(book.conn, op_id)
    lines = book.conn.execute(select(line).where(line.c.op == target.op).order_by(line.c.id)).all()
    rows = book.conn.execute(select(change).where(change.c.op == target.op).order_by(change.c.id.desc()))
    changes = [Change.of(row) for row in rows]
    later = Later(book.conn, target.op)
    builds = {found for one in lines for found in later.on_piece(one.piece, one.rev)}
    builds |= {found for one in changes for found in later.on_change(one)}
    if builds:
        raise _builds_on(book.conn, target, sorted(builds))
    _set_back_pieces(book, target.op)
    # No standing entry came after these changes, so each row is just as they left it: no need to read it again.
    for one in changes:
        _set_back_row(book, one)
    book.undo_of, book.empty_counts = target.op, True
    return f"Undid entry {target.op}: {target.text}"


def _target(conn: Connection, op_id: int | None) -> Entry:
    if op_id is None:
        op_id = history.newest_to_undo(conn)
        if op_id is None:
            raise Fault("there is nothing to undo", do="the history is empty, or all of it is undone")
    target = history.entry(conn, op_id)
    if target is None:
        raise NotFound(f"there is no entry {op_id} in the history", do="look at the history for its number")
    if target.undo_of is not None:
        raise Conflict(
            f"entry {op_id} is itself an undo (of entry {target.undo_of}); nothing was changed",
            do="do again what was undone",
        )
    if target.undone:
        raise Conflict(f"entry {op_id} is undone already; nothing was changed", do="look at the history")
    return target


def _builds_on(conn: Connection, target: Entry, later: list[int]) -> Conflict:
    named = []
    for one in later[-_MOST_NAMED:][::-1]:
        entry = history.entry(conn, one)
        named.append(f"entry {one} ({entry.text})" if entry else f"entry {one}")
    more = f" and {len(later) - _MOST_NAMED} more" if len(later) > _MOST_NAMED else ""
    builds = "builds" if len(later) == 1 else "build"
    return Conflict(
        f"entry {target.op} ({target.text}) cannot be undone, for {', '.join(named)}{more} {builds} on it;"
        " nothing was changed",
        do=f"undo entry {later[-1]} first",
    )


def _set_back_pieces(book: Book, op_id: int) -> None:
    """Each piece gets the state of the line before this entry's, or is withdrawn where there is none."""
    rows = book.conn.execute(
        select(line.c.piece, line.c.rev)
        .add_columns(*(column.label(f"now_{column.key}") for column in _piece_now.c))
        .add_columns(*(column.label(f"earlier_{column.key}") for column in _earlier.c))
        .select_from(
            line.join(_piece_now, _piece_now.c.id == line.c.piece).outerjoin(
                _earlier, (_earlier.c.piece == line.c.piece) & (_earlier.c.rev == line.c.rev - 1)
            )
        )
        .where(line.c.op == op_id)
        .order_by(line.c.id)
    )
    for row in rows.all():
        now = State.of(row, "now_")
        wanted = now.gone("withdrawn") if row.earlier_id is None else State.of(row, "earlier_")
        book.set_piece(row.piece, row.now_rev, now, wanted)


def _set_back_row(book: Book, one: Change) -> None:
    if one.before is None:
        _take_out(book, one, one.after or {})
    elif one.after is None:
        book.insert(one.table, {k: v for k, v in one.before.items() if k != "id"}, one.row_id)
    else:
        book.update(one.table, one.row_id, one.before, now=one.after)


def _take_out(book: Book, one: Change, now: dict[str, Any]) -> None:
    if one.table == "fabric":  # the ledger speaks of its pieces, so the row stays, unseen
        book.update("fabric", one.row_id, {"withdrawn": 1}, now)
    else:
        book.delete(one.table, one.row_id, now)
