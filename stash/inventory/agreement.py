"""What in a stash does not agree with itself, one sentence each: sizes and the history, pictures, texts, triggers.

The program never writes such a thing; another program's hand, a flipped bit or an edited file can. Nothing is
changed here.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable, Iterable, Iterator
from itertools import groupby
from operator import attrgetter
from typing import Any

from sqlalchemy import Column, Connection, Table, Text, select, text

from stash.errors import UsageFault
from stash.inventory.checks import bad_character, checked_name, size_text
from stash.inventory.schema import TRIGGERS
from stash.inventory.tables import change, fabric, line, metadata, op, picture, piece, star, strip, swatch, thumbnail
from stash.names import name_key

COUNTED = "counted"
_IN_A_TEXT = "\n\t"  # control characters that a note may have
_FRACTION = re.compile(r"[0-9]{1,30}(/[1-9][0-9]{0,29})?", re.ASCII)  # before Fraction() sees it
_FRACTIONS = ("strip", "width", "stagger", "seam", "bed_drop", "binding_width", "backing_width")
_MAY_BE_EMPTY = ("stagger", "bed_drop")
_JPEG = b"\xff\xd8\xff"
_STATE = ("kind", "length", "width", "state", "cut_before", "estimated")


def disagreements(conn: Connection) -> Iterator[str]:
    """Every one, found while it is asked for; reading all pictures comes last, as it takes longest."""
    yield from triggers(conn)
    yield from orphans(conn)
    yield from pieces(conn)
    yield from names(conn)
    yield from texts(conn)
    yield from stars(conn)
    yield from changes(conn)
    yield from pictures(conn)


def triggers(conn: Connection) -> Iterator[str]:
    """Guards of the history and the pictures that are gone."""
    there = set(conn.scalars(text("SELECT name FROM sqlite_schema WHERE type = 'trigger'")))
    for statement in TRIGGERS:
        name = statement.split()[2]
        if name not in there:
            yield f"the guard {name} is missing, so another program could change what is never changed"


def orphans(conn: Connection) -> Iterator[str]:
    """Rows that belong to one that is gone. Foreign keys refuse that, in every program that switches them on."""
    for table, row_id, parent, _ in conn.exec_driver_sql("PRAGMA foreign_key_check"):
        yield f"{table} {row_id} belongs to a {parent} that is gone"


def pieces(conn: Connection) -> Iterator[str]:
    """Each piece is its newest line; its lines count from 1; what each took is the area before less the one after.

    A `counted` entry says anew what a piece is, so what came before it is settled.
    """
    query = select(line, op.c.kind.label("op_kind")).join(op, op.c.id == line.c.op).order_by(line.c.piece, line.c.rev)
    history = {piece_id: list(lines) for piece_id, lines in groupby(conn.execute(query), key=attrgetter("piece"))}
    now = select(piece, fabric.c.name).join_from(piece, fabric).order_by(piece.c.id)
    for row in conn.execute(now):
        yield from _piece(row, history.get(row.id, []))


def _piece(row: Any, lines: list[Any]) -> Iterator[str]:
    where = f'piece {row.id} of "{row.name}"'
    if not lines:
        yield f"{where} is not in the history"
        return
    last = lines[-1]
    if any(getattr(row, field) != getattr(last, field) for field in (*_STATE, "rev")):
        here, said = size_text(row.length, row.width), size_text(last.length, last.width)
        differs = f"has {here} and {said} by its history" if here != said else "is not as its history has it"
        yield f"{where} {differs}"
    counted = max((at for at, one in enumerate(lines) if one.op_kind == COUNTED), default=-1)
    rev, area = (lines[counted].rev, _area(lines[counted])) if counted >= 0 else (0, 0)
    for one in lines[counted + 1 :]:
        rev += 1
        if one.rev != rev:
            yield f"the history of {where} has a gap"
            return
        if one.taken != area - _area(one):
            yield f"entry {one.op} took another area from {where} than it says"
        area = _area(one)


def _area(one: Any) -> int:
    return int(one.length * one.width)


def names(conn: Connection) -> Iterator[str]:
    """Names are such as may be stored, and are found by their keys."""
    for table, what in ((fabric, "fabric"), (star, "star")):
        for row in conn.execute(select(table.c.id, table.c.name, table.c.name_key).order_by(table.c.id)):
            try:
                good = checked_name(row.name, what) == row.name and row.name_key == name_key(row.name)
            except UsageFault as fault:
                yield f"{what} {row.id}: {fault.what}"
            else:
                if not good:
                    yield f"the name of {what} {row.id} is not stored as names are"


def texts(conn: Connection) -> Iterator[str]:
    """No text has a character that could steer a terminal or turn the writing."""
    for table in metadata.sorted_tables:
        fields = [column for column in table.c if isinstance(column.type, Text)]
        if fields:
            yield from _texts(conn, table, fields)


def _texts(conn: Connection, table: Table, fields: list[Column[Any]]) -> Iterator[str]:
    key = next(iter(table.primary_key))
    for row in conn.execute(select(key, *fields).order_by(key)):
        for field, value in zip(fields, row[1:], strict=True):
            if (bad := bad_character(value, _IN_A_TEXT)) is not None:
                yield f"{table.name} {row[0]} has {bad} in its {field.name}"


def stars(conn: Connection) -> Iterator[str]:
    """The lengths of stars on paper are fractions, and the runs of their strips lists of two whole numbers."""
    for row in conn.execute(select(star).order_by(star.c.id)):
        given = {field: getattr(row, field) for field in _FRACTIONS}
        empty = {field for field in _MAY_BE_EMPTY if not given[field]}
        lengths = [given[field] for field in _FRACTIONS if field not in empty] + row.borders.split()
        if not all(_FRACTION.fullmatch(one) for one in lengths):
            yield f"star {row.id} has a length that is no fraction"
    for row in conn.execute(select(strip.c.id, strip.c.runs).order_by(strip.c.id)):
        if not _readable(row.runs, _is_runs):
            yield f"the runs of strip {row.id} of a plan cannot be read"


def _is_runs(runs: Any) -> bool:
    return isinstance(runs, list) and all(
        isinstance(run, list) and len(run) == 2 and all(type(one) is int for one in run) for run in runs
    )


def changes(conn: Connection) -> Iterator[str]:
    """What the history says of rows before and after can be read, and names fields that there are."""
    for row in conn.execute(select(change).order_by(change.c.id)):
        table = metadata.tables.get(row.table_name)
        known = set(table.c.keys()) if table is not None else set()

        def is_row(value: Any, known: set[str] = known) -> bool:
            return value is None or (isinstance(value, dict) and set(value) <= known and _plain(value.values()))

        if not (known and _readable(row.before, is_row) and _readable(row.after, is_row)):
            yield f"a change of entry {row.op} cannot be read"
    for row in conn.execute(select(swatch.c.id, swatch.c.notes).order_by(swatch.c.id)):
        if not _readable(row.notes, lambda notes: isinstance(notes, list) and _plain(notes)):
            yield f"the notes on the photograph of fabric {row.id} cannot be read"


def _plain(values: Iterable[Any]) -> bool:
    """Only numbers, nothing, and texts that may be stored."""
    return all(
        bad_character(one, _IN_A_TEXT) is None if isinstance(one, str) else one is None or isinstance(one, int | float)
        for one in values
    )


def _readable(stored: str, good: Callable[[Any], bool]) -> bool:
    try:
        return good(json.loads(stored))
    except (ValueError, RecursionError):
        return False


def pictures(conn: Connection) -> Iterator[str]:
    """Each picture is what its hash says, and has its thumbnail."""
    rows = conn.execute(select(thumbnail.c.id, thumbnail.c.data))
    small = {row_id for row_id, data in rows if data.startswith(_JPEG)}
    for row_id, said, data in conn.execute(select(picture.c.id, picture.c.hash, picture.c.data)):
        if hashlib.sha256(data).hexdigest() != said:
            yield f"picture {row_id} is not the one that was kept"
        if not (data.startswith(_JPEG) and row_id in small):
            yield f"picture {row_id} or its thumbnail is no JPEG"


def first_of(conn: Connection) -> str | None:
    """The first disagreement; None where all agrees."""
    return next(disagreements(conn), None)
