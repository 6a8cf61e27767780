"""Reading a whole stash for long without keeping any other program from saving: from a copy."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy import Connection

from stash.errors import Fault
from stash.files import temporary_room
from stash.inventory import copying, leftovers, opening, schema
from stash.inventory.opening import Found
from stash.inventory.transactions import Transactions
from stash.inventory.troubles import NoStash, said_of


@contextmanager
def reading(path: Path) -> Iterator[Connection]:
    """One view of the stash at `path` in its present form, of a copy where there is room for one. The file stays as
    it is, an older one too; only a save that was cut off is taken back. Raises Fault as opening a stash does."""
    found = leftovers.settle(opening.find(path))
    with temporary_room() as room:
        copy = room / "copy.db"
        with _told_of(found.path, copy), _open(copy if _copied(found, copy) else found.path) as conn:
            yield conn


def _copied(found: Found, copy: Path) -> bool:
    """Raises Fault where there is no room to bring a copy of an older form up to date."""
    try:
        copy.touch()
        with closing(copying.reader(found.path)) as conn:
            copying.copy_in_steps(conn, copy, found.path)
    except OSError as error:
        copy.unlink(missing_ok=True)
        if found.version == schema.SCHEMA_VERSION:
            return False
        what = f"there is no room for a copy of this older stash to look at ({error.strerror}); nothing was changed"
        raise Fault(what, str(found.path), "make room, or name another folder with TMPDIR") from None
    return True


@contextmanager
def _open(path: Path) -> Iterator[Connection]:
    found = opening.find(path)
    if found.version < schema.SCHEMA_VERSION:
        from stash.inventory.migrate import upgrade

        found = upgrade(found, is_copy=True)
    with closing(Transactions(found)) as transactions, transactions.reading() as conn:
        yield conn


@contextmanager
def _told_of(path: Path, copy: Path) -> Iterator[None]:
    """What is wrong with the copy is wrong with the file."""
    try:
        yield
    except Fault as fault:
        if fault.where != str(copy):
            raise
        if isinstance(fault, NoStash):
            raise said_of(sqlite3.SQLITE_CORRUPT, path) from fault
        raise Fault(fault.what, str(path), fault.do) from fault
