"""A whole stash as one JSON file, out and in: every row of every table, pictures too, so that it comes back the same.

It comes into an empty stash only. Either all of it is taken or nothing: each row is checked by the tables as it goes
in, and then all of them against each other.
"""

from __future__ import annotations

import base64
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

from sqlalchemy import Column, Connection, Table, func, insert, select
from sqlalchemy.exc import IntegrityError

from stash.errors import Fault
from stash.files import expanded, try_target, write_whole
from stash.inventory import at_leisure, json_text
from stash.inventory.json_text import Checksum, TableText
from stash.inventory.schema import SCHEMA_VERSION
from stash.inventory.store import Store
from stash.inventory.tables import fabric, metadata, op, picture, star, thumbnail
from stash.inventory.verify import in_rows
from stash.lengths import shown

_AT_ONCE = 500  # rows, so that not all pictures are bytes at one time


@dataclass(frozen=True, slots=True)
class Contents:
    """How much a stash holds: fabrics and archived ones, saved stars, pictures, entries of its history."""

    fabrics: int
    stars: int
    pictures: int
    entries: int


def _contents(conn: Connection) -> Contents:
    def many(table: Table) -> int:
        return conn.scalar(select(func.count()).select_from(table)) or 0

    fabrics = conn.scalar(select(func.count()).select_from(fabric).where(fabric.c.withdrawn == 0)) or 0
    return Contents(fabrics, many(star), many(picture), many(op))


# --- out


def export_json(store: Store, path: Path | str, *, overwrite: bool = False) -> Contents:
    """Write the whole stash, its history and pictures too, as JSON. One view of it, whoever saves meanwhile.

    Raises Fault as `write_whole` does, and for a stash of more than could be read again; an old file then stays.
    """
    try_target(path, overwrite=overwrite)
    with store.transactions.reading() as conn:
        if _least_bytes(conn) > json_text.MOST_BYTES:
            raise _too_much(path)
    with at_leisure.reading(store.path) as conn:
        held = _contents(conn)

        def write(file: BinaryIO) -> None:
            written = 0
            for part in _parts(conn):
                written += file.write(part.encode())
                if written > json_text.MOST_BYTES:
                    raise _too_much(path)

        write_whole(path, write, overwrite=overwrite)
    return held


def _least_bytes(conn: Connection) -> int:
    """What the pictures alone take in base64; asked without reading them."""
    sizes = (conn.scalar(select(func.sum(func.length(table.c.data)))) or 0 for table in (picture, thumbnail))
    return sum(sizes) * 4 // 3


def _too_much(path: Path | str) -> Fault:
    return Fault(
        f"this stash makes over {json_text.MOST_BYTES // 1_000_000} MB of JSON, which could not be read again;"
        " nothing was written",
        str(path),
        "close starcover and copy the stash file itself",
    )


def _parts(conn: Connection) -> Iterator[str]:
    """The text of the file, piece by piece."""
    summed = Checksum(SCHEMA_VERSION)
    yield json_text.head(SCHEMA_VERSION)
    for number, table in enumerate(metadata.sorted_tables):
        columns = table.c.keys()
        summed.add([table.name, columns])
        yield f"{',' if number else ''}\n{json_text.table_head(table.name, columns)}"
        key = next(iter(table.primary_key))
        found = conn.execution_options(yield_per=_AT_ONCE).execute(select(table).order_by(key))
        yield from json_text.lines(summed.add([_out(value) for value in row]) for row in found)
        yield "\n]}"
    yield json_text.tail(summed.hex())


def _out(value: Any) -> json_text.Value:
    return base64.b64encode(value).decode() if isinstance(value, bytes) else value


# --- in


def import_json(
    store: Store, path: Path | str, *, dry_run: bool = False, first: Callable[[], object] | None = None
) -> Contents:
    """Take a whole stash in from JSON. A dry run is the same code, rolled back at the end. `first` is called when the
    file has proved good and the stash empty, before anything is written: a backup, for one.

    Raises Fault, and then nothing is changed, for a stash that has anything in it, and for a file that is cut short,
    edited, of a newer form, or whose rows do not agree with each other.
    """
    path = expanded(Path(path))
    tables = json_text.read(path)
    _known(tables, path)
    if first is not None:
        with store.transactions.reading() as conn:
            _refuse_unless_empty(conn, store.path)
        first()
    with store.transactions.writing(keep=not dry_run) as conn:
        _refuse_unless_empty(conn, store.path)
        for table in metadata.sorted_tables:
            _take(conn, table, tables[table.name], path)
        wrong = next(in_rows(conn), None)
        if wrong is not None:
            raise json_text.damaged(f"this stash does not agree with itself: {wrong.line()}", path)
        return _contents(conn)


def _known(tables: dict[str, TableText], path: Path) -> None:
    """Just the tables and columns that a stash has."""
    wanted = {table.name: tuple(table.c.keys()) for table in metadata.sorted_tables}
    for name in [*tables, *wanted]:
        if name not in wanted:
            what = f'there is no table "{shown(name)}" in a stash'
        elif name not in tables:
            what = f'the table "{name}" is missing'
        elif tables[name].columns != wanted[name]:
            what = f'the table "{name}" has not the columns of a stash'
        else:
            continue
        raise json_text.damaged(what, path)


def _refuse_unless_empty(conn: Connection, stash: Path) -> None:
    for table in metadata.sorted_tables:
        if conn.execute(select(table.c.id).limit(1)).first() is not None:
            raise Fault(
                "a whole stash comes into an empty one, and this one is not empty; nothing was changed",
                str(stash),
                "name a stash that is not there yet with --db, and it is made",
            )


def _take(conn: Connection, table: Table, given: TableText, path: Path) -> None:
    columns = list(table.c)
    for start in range(0, len(given.rows), _AT_ONCE):
        rows = given.rows[start : start + _AT_ONCE]
        try:
            conn.execute(insert(table), [_row(columns, row) for row in rows])
        except (_NoValue, UnicodeEncodeError, OverflowError) as error:  # half a character, a number past 64 bits
            column = f" in {error}" if isinstance(error, _NoValue) else ""
            what = f'the table "{table.name}" has a value{column} that cannot be'
            raise json_text.damaged(what, path) from None
        except IntegrityError as error:
            what = f'a row of the table "{table.name}" is refused ({error.orig})'
            raise json_text.damaged(what, path) from None


class _NoValue(ValueError):
    """A value of another type than its column's, which is named."""


def _row(columns: list[Column[Any]], row: list[json_text.Value]) -> dict[str, Any]:
    return {column.key: _in(column, value) for column, value in zip(columns, row, strict=True)}


def _in(column: Column[Any], value: json_text.Value) -> Any:
    """A value as the table takes it."""
    wanted = column.type.python_type
    if value is None and column.nullable:
        return None
    if wanted is bytes and isinstance(value, str):
        try:
            return base64.b64decode(value, validate=True)
        except ValueError:  # binascii.Error is one
            raise _NoValue(column.key) from None
    if wanted is float and type(value) is int:
        return float(value)
    if type(value) is not wanted:
        raise _NoValue(column.key)
    return value
