"""The rows of a table that can still be read of a damaged file."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import suppress
from typing import Any

_MOST_IDS = 2_000_000
_GAP = 1_000  # ids in a row that cannot be read before the rest of a table is given up

Row = tuple[Any, ...]


class Rows:
    """Iterates over the rows by their ids, the first of the columns asked for: from the front up to the damage, from
    the back down to it, and one by one between.

    `lost` are then the ids of the rows that cannot be read, and `all_known` says whether these are all: so they are
    where no page was damaged, or an index of the table or the history still tells which rows there were.
    """

    def __init__(self, source: sqlite3.Connection, table: str, columns: str) -> None:
        self._source = source
        self._table = table
        self._query = f'SELECT {columns} FROM "{table}"'
        self.lost: set[int] = set()
        self.all_known = True

    def __iter__(self) -> Iterator[Row]:
        first, last = 0, _MOST_IDS
        try:
            for row in self._source.execute(f"{self._query} ORDER BY id"):
                yield row
                first = row[0]
        except sqlite3.DatabaseError:
            pass
        else:
            return
        with suppress(sqlite3.DatabaseError):
            for row in self._source.execute(f"{self._query} WHERE id > ? ORDER BY id DESC", (first,)):
                yield row
                last = row[0]
        known = self._ids()
        self.all_known = known is not None
        between = range(first + 1, last) if known is None else sorted(one for one in known if first < one < last)
        yield from self._one_by_one(between)

    def _one_by_one(self, ids: range | list[int]) -> Iterator[Row]:
        unread = 0
        for number in ids:
            row = None
            with suppress(sqlite3.DatabaseError):
                row = self._source.execute(f"{self._query} WHERE id = ?", (number,)).fetchone()
            if row is not None:
                unread = 0
                yield row
                continue
            self.lost.add(number)
            unread += 1
            if unread > _GAP and not self.all_known:
                return

    def _ids(self) -> set[int] | None:
        """The ids of all rows there were, from an index or else from the history; None where neither can be read to
        its end."""
        with suppress(sqlite3.DatabaseError):
            for index in self._source.execute(f'PRAGMA index_list("{self._table}")').fetchall():
                with suppress(sqlite3.DatabaseError):  # an index of some rows only is refused here
                    query = f'SELECT rowid FROM "{self._table}" INDEXED BY "{index[1]}"'
                    return {number for (number,) in self._source.execute(query).fetchall()}
        with suppress(sqlite3.DatabaseError):
            query = "SELECT row_id, after FROM change WHERE table_name = ? ORDER BY id"
            after = dict(self._source.execute(query, (self._table,)).fetchall())
            return {number for number, value in after.items() if value != "null"} or None
        return None
