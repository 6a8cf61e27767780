"""What lies beside a stash when it is opened: the journal of a save that was cut off, or another file's.

SQLite takes a cut-off save back by itself when the file is opened, by whatever journal lies there under its name. One
that came from elsewhere (a file put back by hand over a stash that was cut off) would spoil the stash, so the file is
kept as it was until it is seen to be whole afterwards.
"""

from __future__ import annotations

import shutil
import sqlite3
import time
from contextlib import closing, suppress
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from stash.errors import Fault
from stash.inventory.backup_files import clear_leftovers, clear_unready, folder_of
from stash.inventory.opening import Found, cut_off, find, uri
from stash.inventory.schema import SCHEMA_VERSION
from stash.inventory.troubles import BUSY_SECONDS, NoStash, is_damage, plain_fault, primary_code, said_plainly

MOST_KEPT = 3
KEPT_DAYS = 30
_WAL_FORM = 2  # byte 18 of the file's header: 1 is a rollback journal (the SQLite file format, 1.3.3)


def settle(found: Found) -> Found:
    """As `take_back`, and our own half-written files are removed. Before anything else of this process works on it."""
    if not found.read_only:
        clear_unready(found.path.parent, found.path.name)
        clear_leftovers(folder_of(found.path))
    return take_back(found)


def take_back(found: Found) -> Found:
    """Take back a save that was cut off; gives the file as it is then.

    `taken_back` of what is given names the copy of the file as it was before, where a save was taken back. Raises Fault
    for a write-ahead file of another stash, with nothing changed, and where the file is not whole after the journal
    beside it was played back; then that copy is named.
    """
    wal = Path(f"{found.path}-wal")
    if _filled(wal) and not _in_wal_form(found.path):
        raise Fault(
            "a write-ahead file (-wal) lies beside this stash that is not its own; nothing was changed",
            str(wal),
            "move it to another folder; the stash is whole without it",
        )
    if found.read_only:
        return found
    left = [Path(f"{found.path}-journal")] if _is_hot(found.path) else []
    left += [wal] if _filled(wal) else []
    if not left:
        return found
    _clear_old(folder_of(found.path))
    return _taken_back(found.path, _keep(found.path, left), look=left[0] != wal)


def _is_hot(path: Path) -> bool:
    """Whether the journal beside the file is of a save that was cut off, not of a program that is saving right now.

    SQLite itself is asked, on a connection that may not play it back.
    """
    if not cut_off(path):
        return False
    try:
        with closing(sqlite3.connect(uri(path, "mode=ro"), uri=True, timeout=0)) as conn:
            conn.execute("PRAGMA schema_version").fetchone()
    except sqlite3.Error as error:
        return primary_code(error) != sqlite3.SQLITE_BUSY
    return False


def _taken_back(path: Path, kept: Path, look: bool) -> Found:
    """Let SQLite take the save back. look -- at what the stash holds, too: no program of ours leaves a -wal."""
    try:
        whole = _whole_afterwards(path)
    except Fault:
        if cut_off(path):  # as it was, so the next start will keep it again
            shutil.rmtree(kept.parent, ignore_errors=True)
        raise
    if not whole:
        raise _spoiled(path, kept)
    found = find(path)
    if look and found.version == SCHEMA_VERSION and (wrong := _first_trouble(found)):
        raise _mixed(path, kept, wrong)
    return replace(found, taken_back=kept)


def _first_trouble(found: Found) -> str:
    """What is wrong with what the stash holds ("" for nothing): pages of two states may well fit together."""
    from stash.inventory.transactions import make_engine
    from stash.inventory.verify import in_rows

    engine = make_engine(found.path, read_only=True)
    try:
        with said_plainly(found.path), engine.connect() as conn, conn.begin():
            return next((one.line() for one in in_rows(conn)), "")
    finally:
        engine.dispose()


def _clear_old(folder: Path) -> None:
    """Of the files as they were, the newest few stay, for a month."""
    with suppress(OSError):
        there = sorted(folder.glob("as-it-was-*"), reverse=True)
        for at, room in enumerate(there):
            if at >= MOST_KEPT - 1 or time.time() - room.stat().st_mtime > KEPT_DAYS * 24 * 3600:
                shutil.rmtree(room, ignore_errors=True)


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
    """Copies of the file and of what lies beside it, byte by byte, in the folder of its backups; gives the file's.

    What lay beside gets another end to its name, so that it is not played back into the copy, too.
    """
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%fZ")
    room = folder_of(path) / f"as-it-was-{stamp}"
    try:
        room.mkdir(parents=True)
        shutil.copyfile(path, room / path.name)
        for one in left:
            with suppress(FileNotFoundError):  # another program took it back meanwhile
                shutil.copyfile(one, room / f"{one.name}.left")
    except OSError as error:
        shutil.rmtree(room, ignore_errors=True)
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
    return NoStash(
        "this stash file is damaged: what lay beside it from a save that was cut off did not belong to it;"
        f" the file as it was before is kept as {kept}",
        str(path),
        f'put it back with: starcover --db "{path}" restore "{kept}"',
    )


def _mixed(path: Path, kept: Path, wrong: str) -> Fault:
    return Fault(
        f"a save to this stash was cut off and was taken back, but now not all agrees ({wrong});"
        f" the file as it was before is kept as {kept}",
        str(path),
        f'if the stash was put back by hand: starcover --db "{path}" restore "{kept}"; else go on with verify',
    )
