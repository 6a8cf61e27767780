"""Connections and transactions: our own BEGIN, the header compared again in every write, plain faults.

The driver's own transactions are switched off (`isolation_level=None`): they lose updates between writers.
A write begins with BEGIN IMMEDIATE, so it waits for another writer before it reads anything.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from sqlalchemy import Connection, Engine, QueuePool, create_engine, event

from stash.errors import Fault
from stash.files import expanded, refuse_target
from stash.inventory import copying
from stash.inventory.backup_files import unready_name
from stash.inventory.opening import Found, check_header, give_name, identity, uri
from stash.inventory.schema import APPLICATION_ID
from stash.inventory.troubles import BUSY_SECONDS, StashGone, said_plainly


def make_engine(path: Path, *, read_only: bool, foreign_keys: bool = True) -> Engine:
    """An engine on an existing file. Never makes one."""

    def connect() -> sqlite3.Connection:
        mode = "mode=ro" if read_only else "mode=rw"
        raw = sqlite3.connect(
            uri(path, mode), uri=True, timeout=BUSY_SECONDS, isolation_level=None, check_same_thread=False
        )
        raw.execute(f"PRAGMA foreign_keys = {'ON' if foreign_keys else 'OFF'}")
        raw.execute("PRAGMA trusted_schema = OFF")
        raw.execute("PRAGMA synchronous = EXTRA")
        if not read_only:
            raw.execute("PRAGMA journal_mode = DELETE")  # a file left in WAL mode comes back to one file
        return raw

    engine = create_engine("sqlite://", creator=connect, poolclass=QueuePool)
    event.listen(engine, "begin", _begin)
    return engine


def _begin(conn: Connection) -> None:
    write = conn.get_execution_options().get("write", False)
    conn.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")


class Transactions:
    """Read and write transactions on one found file."""

    def __init__(self, found: Found) -> None:
        self.found = found
        self._engine = make_engine(found.path, read_only=found.read_only)
        self._writer = self._engine.execution_options(write=True)
        self._watcher: sqlite3.Connection | None = None
        self._token: tuple[int, ...] = (0,)
        self.saved = False

    def close(self) -> None:
        """Let all connections go."""
        if self._watcher is not None:
            self._watcher.close()
            self._watcher = None
        self._engine.dispose()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """One consistent view of the stash."""
        with said_plainly(self.found.path), self._engine.connect() as conn, conn.begin():
            yield conn

    @contextmanager
    def writing(self, *, keep: bool = True) -> Iterator[Connection]:
        """One write: all of it is saved, or nothing when anything is raised inside.

        keep -- False rolls back at the end all the same: a trial run of the very same code.
        """
        found = self.found
        if found.read_only:
            raise Fault(
                "this stash is open for reading only; nothing was changed",
                str(found.path),
                "look at the rights of the file and its folder, or work on a copy",
            )
        with said_plainly(found.path), self._writer.connect() as conn, conn.begin() as transaction:
            self._still_ours(conn)
            yield conn
            if not keep:
                transaction.rollback()
        self.saved = self.saved or keep

    def _still_ours(self, conn: Connection) -> None:
        """The file under the name is the one that was opened, and no other program upgraded it meanwhile."""
        path = self.found.path
        try:
            now = identity(path.stat())
        except OSError:
            now = None
        if now != self.found.identity:
            gone = "is no longer there" if now is None else "was replaced by another file"
            raise StashGone(
                f"the stash file {gone} since it was opened; nothing was saved",
                str(path),
                "close starcover, put the file back or see which one is right, and start again",
            )
        application = conn.exec_driver_sql("PRAGMA application_id").scalar_one()
        version = conn.exec_driver_sql("PRAGMA user_version").scalar_one()
        if application == APPLICATION_ID and version != self.found.version:
            raise Fault(
                f"another starcover changed the form of this stash (version {self.found.version} to {version})"
                " while it was open; nothing was saved",
                str(path),
                "close starcover and start it again",
            )
        check_header(application, version, path)

    def save_copy(self, path: Path) -> Path:
        """The stash as this program still has it open, written to a new file at `path`. Raises Fault."""
        target = expanded(path)
        refuse_target(target, overwrite=False)
        unready = unready_name(target)
        try:
            with said_plainly(self.found.path), self._engine.connect() as conn:
                held = conn.connection.driver_connection
                assert isinstance(held, sqlite3.Connection)
                copying.checked_copy_from(held, unready, self.found.path)
            give_name(unready, target)
        except OSError as error:
            what = f"no copy can be written here ({error.strerror}); nothing was written"
            raise Fault(what, str(path), "choose another place") from None
        finally:
            with suppress(OSError):
                unready.unlink()
        return target

    def change_token(self) -> tuple[int, ...]:
        """Differs from the last one when anybody, this program too, has saved since. Never waits.

        SQLite counts commits of *other* connections, so it is asked on one that never writes.
        """
        try:
            if self._watcher is None:
                watched = uri(self.found.path, "mode=ro")
                self._watcher = sqlite3.connect(watched, uri=True, timeout=0, check_same_thread=False)
            version = self._watcher.execute("PRAGMA data_version").fetchone()[0]
            self._token = (version, *identity(self.found.path.stat()))
        except sqlite3.OperationalError:
            pass  # somebody is saving right now: the next look will see it
        except OSError:
            self._token = (-1,)
        return self._token
