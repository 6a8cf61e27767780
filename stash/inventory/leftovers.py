"""What lies beside a stash when it is opened: the journal of a save that was cut off, or another file's.

SQLite takes a cut-off save back by itself when the file is opened, by whatever journal lies there under its name. One
that came from elsewhere (a file put back by hand over a stash that was cut off) would spoil the stash, so the file is
kept as it was until it is seen to be whole afterwards.
"""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing, suppress
from datetime import UTC, datetime
from pathlib import Path

from stash.errors import Fault
from stash.inventory.backup_files import clear_leftovers, clear_unready, folder_of
from stash.inventory.opening import Found, cut_off, find, uri
from stash.inventory.troubles import BUSY_SECONDS, NoStash, is_damage, plain_fault

_WAL_FORM = 2  # byte 18 of the file's header: 1 is a rollback journal (the SQLite file format, 1.3.3)


def settle(found: Found) -> Found:
    """Take back a save that was cut off, and remove our own half-written files; gives the file as it is then.

    Raises Fault for a write-ahead file of another stash, with nothing changed, and where the file is not whole after
    the journal beside it was played back; then the file as it was is kept, and named.
    """
    journal, wal = Path(f"{found.path}-journal"), Path(f"{found.path}-wal")
    if _filled(wal) and not _in_wal_form(found.path):
        raise Fault(
            "a write-ahead file (-wal) lies beside this stash that is not its own; nothing was changed",
            str(wal),
            "move it to another folder; the stash is whole without it",
        )
    if found.read_only:
        return found
    clear_unready(found.path.parent, found.path.name)
    clear_leftovers(folder_of(found.path))
    left = [one for one, there in ((journal, cut_off(found.path)), (wal, _filled(wal))) if there]
    if not left:
        return found
    kept = _keep(found.path, left)
    if not _whole_afterwards(found.path):
        raise _spoiled(found.path, kept)
    shutil.rmtree(kept.parent, ignore_errors=True)
    return find(found.path)


def _filled(path: Path) -> bool:
    try:
        return path.stat().st_size > 0
    except OSError:
        return False


def _in_wal_form(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            return file.read(20)[18:19] == bytes([_WAL_FORM])
    except OSError:
        return False


def _keep(path: Path, left: list[Path]) -> Path:
    """Copies of the file and of what lies beside it, byte by byte, in the folder of its backups."""
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%fZ")
    room = folder_of(path) / f"as-it-was-{stamp}"
    try:
        room.mkdir(parents=True)
        for one in (path, *left):
            with suppress(FileNotFoundError):  # a program that is at work finished its save
                shutil.copyfile(one, room / one.name)
    except OSError as error:
        raise Fault(
            f"a save to this stash was cut off, and there is no room to keep the file as it is ({error.strerror});"
            " nothing was changed",
            str(room),
            "make room there, or name another folder with STARCOVER_BACKUPS",
        ) from None
    return room / path.name


def _whole_afterwards(path: Path) -> bool:
    try:
        with closing(sqlite3.connect(uri(path, "mode=rw"), uri=True, timeout=BUSY_SECONDS)) as conn:
            conn.execute("PRAGMA synchronous = EXTRA")
            conn.execute("SELECT count(*) FROM sqlite_schema").fetchone()
            return bool(conn.execute("PRAGMA integrity_check").fetchone()[0] == "ok")
    except sqlite3.Error as error:
        if is_damage(error):
            return False
        raise plain_fault(error, path) from error


def _spoiled(path: Path, kept: Path) -> Fault:
    """The fault that names the file as it was. Without the journal it may well be whole: then it can be restored."""
    for beside in (f"{kept}-journal", f"{kept}-wal"):
        with suppress(OSError):
            Path(beside).rename(f"{beside}.left")
    return NoStash(
        "this stash file is damaged: what lay beside it from a save that was cut off did not belong to it;"
        f" the file as it was before is kept as {kept}",
        str(path),
        f'put it back with: starcover --db "{path}" restore "{kept}"',
    )
