"""What the history says the rows of the stash are, held against what they are."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection, select

from stash.inventory import tables
from stash.inventory.tables import change

_ROWS = tuple(name for name in tables.PARENTS if name != "piece")


def facts_that_differ(conn: Connection) -> Iterator[tuple[str, int, str]]:
    """(table, row id, names of fields) of each row that is not what its changes, one after the other, made it.

    A row that is missing, or that no change speaks of, differs in "all of it".
    """
    told = _told(conn)
    for name in _ROWS:
        rows = {row["id"]: dict(row) for row in conn.execute(select(tables.metadata.tables[name])).mappings()}
        expected = told.get(name, {})
        for row_id in sorted(rows.keys() | expected.keys()):
            here, said = rows.get(row_id), expected.get(row_id)
            if here is None or said is None:
                yield name, row_id, "all of it"
                continue
            # Older versions had fewer fields: of the others the history knows nothing.
            differing = sorted(field for field in said if field in here and here[field] != said[field])
            if differing:
                yield name, row_id, ", ".join(differing)


def _told(conn: Connection) -> dict[str, dict[int, dict[str, Any]]]:
    told: dict[str, dict[int, dict[str, Any]]] = {}
    query = select(change.c.table_name, change.c.row_id, change.c.before, change.c.after).order_by(change.c.id)
    for table, row_id, before, after in conn.execute(query):
        rows = told.setdefault(table, {})
        if after == "null":
            rows.pop(row_id, None)
        elif before == "null":
            rows[row_id] = json.loads(after)
        else:
            rows.setdefault(row_id, {}).update(json.loads(after))
    return told
