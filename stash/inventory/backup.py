"""Backups of a stash: made in its own folder, before whatever may go wrong and once a day, and few enough to keep.

Nothing that can lose cloth starts without one: bringing a file up to date, an import, a restore.
"""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

from stash.errors import Fault
from stash.files import expanded, refuse_target
from stash.inventory import leftovers, opening
from stash.inventory.backup_files import (
    Backup,
    backups_in,
    backups_of,
    clear_leftovers,
    fault_of,
    folder_of,
    is_of,
    is_untouched,
    name_for,
    newest_whole,
    sum_file,
)
from stash.inventory.copying import whole_copy
from stash.inventory.rotation import rotate

ASKED = "asked"
DAILY = "daily"
BEFORE_IMPORT = "before-import"
BEFORE_RESTORE = "before-restore"
BEFORE_REPAIR = "before-repair"
BEFORE_UPGRADE = "before-upgrade"
DAY = timedelta(days=1)
ELSEWHERE = "make room there or look at its rights, or name another folder with STARCOVER_BACKUPS"
_TRIES = 20  # other programs may take the name that was free a moment ago, and may not have filled it yet


def make(stash: Path, why: str = ASKED) -> Backup:
    """Back up the stash at `stash` in its own folder, and let old backups go; `why` stands in the name.

    The copy is verified before it gets its name. Raises Fault where the stash is damaged or held by another program,
    and NoBackup where the folder cannot take it; then no part of it is left.
    """
    made = add(stash, why)
    let_go(made)
    return made


def add(stash: Path, why: str) -> Backup:
    """As `make`, but all old backups stay: one of them may be the one to restore."""
    found = leftovers.take_back(opening.find(stash))
    folder = folder_of(found.path)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        clear_leftovers(folder)
        return _numbered(found.path, folder, datetime.now(UTC), why)
    except OSError as error:
        raise NoBackup(f"no backup can be written here ({error.strerror})", str(folder), ELSEWHERE) from None


def let_go(made: Backup, spare: Path | None = None) -> None:
    """Let old backups go now that `made` is there, but not `spare`."""
    rotate(made.path.parent, made.at, spare)


def before(stash: Path, why: str) -> Backup:
    """A backup of the stash as it is now: the newest, where it is whole and nothing was saved since, else a new one.

    Raises as `make` does.
    """
    newest = newest_whole(stash)
    return newest if newest is not None and is_of(newest, expanded(stash)) else make(stash, why)


class NoBackup(Fault):
    """The backups' folder is missing, full or may not be written, so there is no backup."""


def _numbered(stash: Path, folder: Path, now: datetime, why: str) -> Backup:
    number = 0
    for last in range(_TRIES):
        number = max(number, *(one.number for one in backups_in(folder)), 0) + 1
        try:
            path = whole_copy(stash, folder / name_for(number, now, why))
            return Backup(path, number, now, why, path.stat().st_size)
        except FileExistsError:
            if last == _TRIES - 1:
                raise
    raise AssertionError("never reached")


def make_at(stash: Path, path: Path) -> Path:
    """Back up the stash to a file of the maker's choosing, its SHA-256 beside it. Never over anything.

    Raises Fault as `make` does.
    """
    found = leftovers.take_back(opening.find(stash))
    path = expanded(path)
    try:
        for each in (path, sum_file(path)):
            refuse_target(each, overwrite=False)
        return whole_copy(found.path, path)
    except OSError as error:
        raise NoBackup(f"no backup can be written here ({error.strerror})", str(path), "choose another place") from None
    except ValueError:
        raise Fault("this is no path of a file", ascii(str(path)), "choose another name") from None


def daily(stash: Path) -> Backup | None:
    """The day's backup, where it is due. Raises as `make` does."""
    return make(stash, DAILY) if is_due(stash) else None


def is_due(stash: Path) -> bool:
    """Whether there is no whole backup of the last 24 hours, and something was saved since the newest.

    A backup of the future is none of the last 24 hours: the clock was ahead. Whether one that nobody touched is still
    whole on the disk is not read here, for this is asked after every save.
    """
    now = datetime.now(UTC)
    newest = next((one for one in backups_of(stash) if is_untouched(one) or fault_of(one.path) is None), None)
    if newest is None:
        return True
    return not (timedelta(0) <= now - newest.at < DAY or is_of(newest, expanded(stash)))


def is_wanted_at_the_end(stash: Path, made_before: bool) -> bool:
    """Whether to back up when the program ends: where the day's backup is due, or where it was `made_before`, while the
    program was open, and more was saved since the newest."""
    newest = next(iter(backups_of(stash)), None)
    return is_due(stash) or (made_before and newest is not None and not is_of(newest, expanded(stash)))


def trouble(stash: Path) -> Fault | None:
    """Why backups of this stash could not be made now, as far as can be seen without making one."""
    folder = folder_of(stash)
    there = folder
    while not there.exists() and there != there.parent:
        there = there.parent
    if there.is_dir() and os.access(there, os.W_OK | os.X_OK):
        return None
    return NoBackup("no backup can be written here", str(folder), ELSEWHERE)
