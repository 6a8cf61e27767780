"""What in a stash cannot be read, shown or found by its name, one sentence each.

The program never writes such a thing; another program's hand, a flipped bit or an edited file can. Nothing is
changed here. Sizes, facts and pictures against the history: stash/inventory/verify.py.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from sqlalchemy import Column, Connection, LargeBinary, Table, Text, func, select

from stash.errors import UsageFault
from stash.inventory.checks import bad_character, checked_name
from stash.inventory.swatch_checks import JPEG_HEAD
from stash.inventory.tables import change, fabric, metadata, picture, star, strip, swatch, thumbnail
from stash.names import name_key

_IN_A_TEXT = "\n\t"  # control characters that a note may have
_FRACTION = re.compile(r"[0-9]{1,30}(/[1-9][0-9]{0,29})?", re.ASCII)  # before Fraction() sees it
_FRACTIONS = ("strip", "width", "stagger", "seam", "bed_drop", "binding_width", "backing_width")
_MAY_BE_EMPTY = ("stagger", "bed_drop")


def said(conn: Connection) -> Iterator[str]:
    """Every one but `changes`, found while it is asked for."""
    yield from names(conn)
    yield from texts(conn)
    yield from stars(conn)
    yield from notes(conn)
    yield from pictures(conn)


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


def notes(conn: Connection) -> Iterator[str]:
    """Notes on photographs are lists of texts."""
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
    """Pictures and thumbnails are JPEG, so that nothing else is ever handed to a reader of pictures."""
    for table in (picture, thumbnail):
        head = func.substr(table.c.data, 1, len(JPEG_HEAD), type_=LargeBinary)
        for row_id, begins in conn.execute(select(table.c.id, head).order_by(table.c.id)):
            if begins != JPEG_HEAD:
                yield f"{table.name} {row_id} is no JPEG"
