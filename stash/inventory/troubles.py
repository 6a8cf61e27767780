"""What the database engine raises, said in plain words."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from stash.errors import Fault
from stash.inventory.backup_files import way_back

BUSY_SECONDS = 5.0  # how long another program's save is waited for

_PRIMARY = 0xFF  # the low byte of SQLite's extended result codes is the primary one (sqlite.org/rescode.html)

_SAID = {
    sqlite3.SQLITE_BUSY: (
        "another program is saving to this stash; nothing was changed",
        "try again in a moment, or close the other program",
    ),
    sqlite3.SQLITE_FULL: ("the disk is full; nothing was saved", "make room and try again"),
    sqlite3.SQLITE_READONLY: (
        "this stash can be read but not written; nothing was changed",
        "look at the rights of the file and its folder, or work on a copy",
    ),
    sqlite3.SQLITE_IOERR: (
        "the disk did not take or give what was asked; nothing was saved",
        "check that the disk or drive is still there and try again",
    ),
    sqlite3.SQLITE_CORRUPT: (
        "this stash file is damaged; nothing was changed",
        "write what can still be read to a new stash with: starcover verify --rescue NEW.db",
    ),
    sqlite3.SQLITE_NOTADB: ("this is not a stash file; nothing was changed", "look for the right file"),
    sqlite3.SQLITE_CANTOPEN: (
        "the stash file cannot be opened; nothing was changed",
        "look whether the file and its folder are still there and may be written",
    ),
}
_SAID[sqlite3.SQLITE_READONLY_ROLLBACK] = (
    "a save to this stash was cut off, and the file cannot be written to take it back; nothing was changed",
    "look at the rights of the file and its folder",
)
_SAID[sqlite3.SQLITE_IOERR_DIR_FSYNC] = (
    "the disk did not confirm this save, so it may be there or not",
    "look at the history before you do it again",
)
_SAID[sqlite3.SQLITE_LOCKED] = _SAID[sqlite3.SQLITE_BUSY]
_SAID[sqlite3.SQLITE_PERM] = _SAID[sqlite3.SQLITE_AUTH] = _SAID[sqlite3.SQLITE_READONLY]


class NoStash(Fault):
    """A file that is no whole stash: empty, damaged, or something else. It stays as it is."""


class StashGone(Fault):
    """The file that was opened is no longer under its name. What was read of it can still be saved as a copy."""


def said_of(code: int, path: Path) -> Fault:
    """The fault for one of SQLite's result codes that is known here; a damaged file is told its newest backup."""
    what, do = _SAID[code if code in _SAID else code & _PRIMARY]
    if code & _PRIMARY in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        back = way_back(path, "")
        return NoStash(what, str(path), f"{back}; or {do}" if back else do)
    return Fault(what, str(path), do)


def primary_code(error: BaseException | None) -> int | None:
    """SQLite's primary result code of an error of its driver; None for any other error."""
    code: int | None = getattr(error, "sqlite_errorcode", None)
    return None if code is None else code & _PRIMARY


def is_damage(error: BaseException | None) -> bool:
    """Whether SQLite said that the file is no whole database."""
    return primary_code(error) in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


_PASSING = {
    sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM, sqlite3.SQLITE_AUTH, sqlite3.SQLITE_NOMEM,
}  # fmt: skip


def of_the_machine(fault: Fault) -> bool:
    """Whether a fault told here is of the disk, the rights or another program, and not of what was to be saved."""
    cause = fault.__cause__
    return primary_code(getattr(cause, "orig", cause)) in _PASSING


def plain_fault(error: BaseException | None, path: Path) -> Fault:
    """The fault for an error of the database's driver."""
    code = getattr(error, "sqlite_errorcode", None)
    if code is not None and primary_code(error) in _SAID:
        return said_of(code, path)
    return Fault(
        f"the stash refused this ({error}); nothing was changed",
        str(path),
        "if it happens again, report it with these words",
    )


@contextmanager
def said_plainly(path: Path) -> Iterator[None]:
    """Turn whatever the database raises inside into a plain Fault."""
    try:
        yield
    except DBAPIError as error:
        raise plain_fault(error.orig, path) from error
    except sqlite3.Error as error:
        raise plain_fault(error, path) from error
