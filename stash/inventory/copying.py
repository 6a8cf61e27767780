"""A copy of a stash file, made by SQLite's own means, and under its name only when it is whole and on the disk."""

from __future__ import annotations

import errno
import os
import sqlite3
from contextlib import closing, suppress
from math import inf
from pathlib import Path

from stash.inventory import schema
from stash.inventory.backup_files import digest, mark_of, state_of, sum_file, told, unready_name
from stash.inventory.opening import give_name, uri
from stash.inventory.troubles import BUSY_SECONDS, plain_fault, primary_code, said_of

_STEP = 2_000  # pages, some 8 MB
_STARTS = 3


def whole_copy(source: Path, target: Path) -> Path:
    """Copy the stash at `source` to `target`, and its SHA-256 beside it; gives `target`.

    Raises Fault where `source` is damaged or held by another program, and OSError where the copy cannot be written
    (FileExistsError for a `target` that is there). Then no part of it is left.
    """
    unready, unready_sum = unready_name(target), unready_name(sum_file(target))
    try:
        of = state_of(source)  # before the copy: a save between the two only makes another backup
        checked_copy(source, unready)
        unready_sum.write_text(told(digest(unready), target.name, mark_of(unready), of), encoding="utf-8")
        _on_disk(unready_sum)
        _give_names(unready, target, unready_sum)
    finally:
        for left in (unready, unready_sum):
            with suppress(OSError):
                left.unlink()
    return target


def checked_copy(source: Path, unready: Path) -> None:
    """Copy the stash at `source` to a file that nobody takes for one yet, verify it, and see it onto the disk.

    Raises as `whole_copy` does.
    """
    with closing(reader(source)) as conn:
        checked_copy_from(conn, unready, source)


def checked_copy_from(conn: sqlite3.Connection, unready: Path, source: Path) -> None:
    """As `checked_copy`, of what `conn` has open; that was at `source`."""
    unready.touch()
    copy_in_steps(conn, unready, source)
    check_copy(unready, source)
    _on_disk(unready)


def reader(path: Path) -> sqlite3.Connection:
    """A connection to copy from. It may write where it can: a save that was cut off is taken back first."""
    writable = os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)
    mode = "mode=rw" if writable else "mode=ro"
    return sqlite3.connect(uri(path, mode), uri=True, timeout=BUSY_SECONDS, isolation_level=None)


def copy_in_steps(conn: sqlite3.Connection, target: Path, source: Path) -> None:
    """As `copy_into`, some megabytes at a time, so that no other program's save waits for all of them. Each save
    makes it start over; after some of these it is done in one go."""
    for _ in range(_STARTS):
        try:
            copy_into(conn, target, source, _STEP)
        except StartedOver:
            os.truncate(target, 0)
        else:
            return
    copy_into(conn, target, source)


class StartedOver(Exception):
    """Another program saved while a copy was made in steps."""


def copy_into(conn: sqlite3.Connection, target: Path, source: Path, pages: int = -1) -> None:
    """Fill the new file `target` from an open stash, so many pages at a time (-1: in one go). What goes wrong on
    either side raises Fault or OSError; a save between two steps StartedOver."""
    with closing(sqlite3.connect(uri(target, "mode=rw"), uri=True, isolation_level=None)) as copy:
        try:
            copy.execute("PRAGMA journal_mode = OFF")  # the file has no name yet: nobody needs half of it back
            copy.execute("PRAGMA synchronous = OFF")
            back_up(conn, copy, source, pages)
            copy.execute("PRAGMA journal_mode = DELETE")  # a copy of a file in WAL mode is one file all the same
        except sqlite3.Error as error:
            raise _trouble(error, source, target) from error


def back_up(conn: sqlite3.Connection, into: sqlite3.Connection, held: Path, pages: int = -1) -> None:
    """SQLite's backup, so many pages at a time (-1: in one go). Waits as long as the connections do, then raises
    Fault; raises StartedOver where another program saved between two steps."""
    most_left: float = inf

    def seen(status: int, left: int, of: int) -> None:
        nonlocal most_left
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):  # the driver would try for ever
            raise said_of(sqlite3.SQLITE_BUSY, held)
        if left >= most_left:
            raise StartedOver
        most_left = left

    conn.backup(into, pages=pages, progress=seen)


def check_copy(path: Path, source: Path) -> None:
    """Raises Fault where the copy at `path` is no whole stash: then `source` is damaged."""
    try:
        with closing(sqlite3.connect(uri(path, "mode=ro&immutable=1"), uri=True)) as conn:
            application = conn.execute("PRAGMA application_id").fetchone()[0]
            sound = conn.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
            orphan = conn.execute("PRAGMA foreign_key_check").fetchone()
    except sqlite3.Error as error:
        raise plain_fault(error, source) from error
    if application != schema.APPLICATION_ID or not sound or orphan is not None:
        raise said_of(sqlite3.SQLITE_CORRUPT, source)


def _trouble(error: sqlite3.Error, source: Path, target: Path) -> Exception:
    if primary_code(error) == sqlite3.SQLITE_FULL:
        return OSError(errno.ENOSPC, "the disk is full", str(target))
    code = getattr(error, "sqlite_errorcode", None)
    if code in (sqlite3.SQLITE_IOERR_WRITE, sqlite3.SQLITE_IOERR_TRUNCATE):
        return OSError(errno.EIO, "the disk did not take it", str(target))
    return plain_fault(error, source)


def _on_disk(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def _give_names(unready: Path, target: Path, unready_sum: Path) -> None:
    """The checksum gets its name first, so that no copy stands under its own without one. It is the claim, too: of two
    programs that take the same name only one gets it."""
    give_name(unready_sum, sum_file(target))
    try:
        give_name(unready, target)
    except OSError:
        sum_file(target).unlink(missing_ok=True)
        raise
