"""Putting a backup in the place of a stash: whole or not at all, and what was there is kept.

The backup is copied and the copy verified before anything else. A stash in use is never replaced as a file: the copy
goes into it in one transaction of SQLite, so that a kill leaves the old or the new, and other programs see the change.
"""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path

from stash.errors import Fault
from stash.files import BESIDE, expanded, sync_folder
from stash.inventory import backup, leftovers, opening
from stash.inventory.backup_files import Backup, digest, told_sum, unready_name
from stash.inventory.copying import back_up, checked_copy, reader
from stash.inventory.troubles import BUSY_SECONDS, NoStash, is_damage, plain_fault, said_plainly


@dataclass(frozen=True, slots=True)
class Restored:
    """What a restore did. `before` is the backup of what was there; `kept` is the file that was there, where it was
    no stash that could be backed up; `version` is the form of the file that was put there."""

    path: Path
    version: int
    before: Backup | None = None
    kept: Path | None = None
    made: bool = False


def restore(file: Path, stash: Path, *, without_backup: bool = False) -> Restored:
    """Make the stash at `stash` what the backup at `file` is; one that is not there is made.

    Raises Fault, with all as it was, where `file` is no whole stash, where the present cannot be backed up (unless
    `without_backup`), and where another program holds the stash.
    """
    file = expanded(file)
    source = verified(file)
    target = expanded(stash)
    if target.exists() and source.path.samefile(target):
        raise Fault("this is the stash itself; nothing was changed", str(file), "name a backup of it")
    if os.path.lexists(target):
        present = _present(target)
        return _aside(source, target) if present is None else _into(source, present, without_backup)
    _make_folder(target)
    copy = _copy_beside(source, target)
    try:
        opening.give_name(copy, target)
    except OSError as error:
        raise _cannot(error, target) from None
    finally:
        copy.unlink(missing_ok=True)
    return Restored(target, source.version, made=True)


def verified(file: Path) -> opening.Found:
    """The backup at `file`, where it is a whole stash and as it was written. Raises Fault where it is not."""
    if not os.path.lexists(expanded(file)):
        raise Fault("there is no such backup; nothing was changed", str(file), "starcover where lists those there are")
    found = opening.find(file)
    told = told_sum(found.path)
    if told is not None and told != digest(found.path):
        raise Fault(
            "this backup is not as it was written (its checksum differs); nothing was changed",
            str(file),
            "take the backup before it: starcover where lists them",
        )
    return found


def _present(target: Path) -> opening.Found | None:
    """The stash that is there; None for what is no whole stash, and may be set aside.

    Raises Fault for what is no damaged stash: a folder, another program's file, a stash of a newer version, one that
    another program holds.
    """
    try:
        found = leftovers.take_back(opening.find(target))
        with closing(reader(found.path)) as conn:
            sound = conn.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    except NoStash:
        return None
    except sqlite3.Error as error:
        if not is_damage(error):
            raise plain_fault(error, found.path) from error
        return None
    return found if sound else None


def _into(source: opening.Found, present: opening.Found, without_backup: bool) -> Restored:
    """The backup's pages into the live file, in one transaction."""
    if present.read_only:
        raise Fault(
            "this stash can be read but not written; nothing was changed",
            str(present.path),
            "look at the rights of the file and its folder",
        )
    copy = _copy_beside(source, present.path)
    try:
        before = None if without_backup else backup.add(present.path, backup.BEFORE_RESTORE)
        with said_plainly(present.path), closing(_writer(present.path)) as live, closing(_copy_of(copy)) as conn:
            back_up(conn, live, present.path)
    finally:
        copy.unlink(missing_ok=True)
    if before is not None:
        backup.let_go(before, spare=source.path)
    return Restored(present.path, source.version, before)


def _writer(path: Path) -> sqlite3.Connection:
    conn = sqlite3.connect(opening.uri(path, "mode=rw"), uri=True, timeout=BUSY_SECONDS, isolation_level=None)
    conn.execute("PRAGMA synchronous = EXTRA")
    conn.execute("PRAGMA journal_mode = DELETE")
    return conn


def _copy_of(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(opening.uri(path, "mode=ro&immutable=1"), uri=True)


def _aside(source: opening.Found, target: Path) -> Restored:
    """The backup in place of a file that is no whole stash, which is kept beside it under another name."""
    real = target.resolve()
    kept = opening.aside_name(real)
    copy = _copy_beside(source, real)
    try:
        _keep(real, kept)
        opening.give_name(copy, real)
    except OSError as error:
        if not _put_back(kept, real):
            what = f"the backup cannot be put here ({error.strerror}); the damaged file that was here is kept as {kept}"
            raise Fault(what, str(real), "look what is here now, and try again") from None
        raise _cannot(error, real) from None
    finally:
        copy.unlink(missing_ok=True)
    return Restored(real, source.version, kept=kept)


def _keep(real: Path, kept: Path) -> None:
    """Give a file another name, with what a cut-off save left beside it: that belongs to it and to no other."""
    for left in BESIDE:
        with suppress(FileNotFoundError):
            os.rename(f"{real}{left}", f"{kept}{left}")
    os.rename(real, kept)
    sync_folder(real.parent)


def _put_back(kept: Path, real: Path) -> bool:
    """Undo `_keep` as far as it went. False where something else has the name by now."""
    if os.path.lexists(kept) and os.path.lexists(real):
        return False
    try:
        for end in ("", *BESIDE):
            with suppress(FileNotFoundError):
                os.rename(f"{kept}{end}", f"{real}{end}")
    except OSError:
        return False
    sync_folder(real.parent)
    return True


def _copy_beside(source: opening.Found, target: Path) -> Path:
    """A verified copy of the backup in the target's folder, not under a name of its own yet."""
    path = unready_name(target, ".restore")
    try:
        checked_copy(source.path, path)
    except OSError as error:
        path.unlink(missing_ok=True)
        raise _cannot(error, target) from None
    except Fault:
        path.unlink(missing_ok=True)
        raise
    return path


def _make_folder(target: Path) -> None:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _cannot(error, target) from None


def _cannot(error: OSError, target: Path) -> Fault:
    what = f"the backup cannot be put here ({error.strerror}); nothing was changed"
    return Fault(what, str(target), "make room, or look at the rights of the folder")
