"""The files of a stash's backups: what they are called, which there are, which of them are whole.

Each stash has a folder of its own. A backup's name has a number, which tells the order whatever the clock said, the
time (UTC) and why it was made. Beside it stands its SHA-256; one without it, or with another one, is no backup. Beside
the SHA-256 stand marks that are cheap to compare, for what is asked after every save.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from stash.files import expanded
from stash.paths import backups_root

_NAME = re.compile(r"(\d{6})-(\d{8}T\d{6}Z)-([a-z-]{1,40})\.db")
_UNREADY = re.compile(r"\..*\.(\d+)\.new(-journal|-wal|-shm)?")
REASONS = {
    "asked": "made when asked for",
    "daily": "the day's own",
    "before-import": "made before an import",
    "before-restore": "made before another was restored",
    "before-repair": "made before a repair",
    "before-upgrade": "made before a newer starcover took the stash over",
}
_TIME = "%Y%m%dT%H%M%SZ"


@dataclass(frozen=True, slots=True)
class Backup:
    """One backup as its name tells it; `size` in bytes."""

    path: Path
    number: int
    at: datetime
    why: str
    size: int

    def when(self) -> str:
        """The time as a person reads it, on the clock of this machine."""
        return self.at.astimezone().strftime("%Y-%m-%d %H:%M")

    @property
    def reason(self) -> str:
        """Why it was made, in words."""
        return REASONS.get(self.why, self.why.replace("-", " "))


def folder_of(stash: Path) -> Path:
    """The folder with the backups of the stash at `stash`, there or not."""
    real = expanded(stash)
    with suppress(OSError, RuntimeError, ValueError):
        real = real.resolve()
    mark = hashlib.sha256(os.fsencode(real)).hexdigest()[:8]
    return expanded(backups_root()) / f"{real.stem or 'stash'}-{mark}"


def name_for(number: int, at: datetime, why: str) -> str:
    """What a backup is called."""
    return f"{number:06d}-{at.astimezone(UTC).strftime(_TIME)}-{why}.db"


def backups_of(stash: Path) -> list[Backup]:
    """The backups there are, newest first, by their names alone (see `fault_of`). None where nothing can be read."""
    return backups_in(folder_of(stash))


def backups_in(folder: Path) -> list[Backup]:
    """The backups in a folder, newest first, by their names alone."""
    found = []
    with suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            named = _NAME.fullmatch(entry.name)
            if named is None or not entry.is_file():
                continue
            with suppress(ValueError):  # a name of ours but for a day that is none
                at = datetime.strptime(named[2], _TIME).replace(tzinfo=UTC)
                found.append(Backup(Path(entry.path), int(named[1]), at, named[3], entry.stat().st_size))
    return sorted(found, key=lambda one: (one.number, one.path.name), reverse=True)


def sum_file(path: Path) -> Path:
    """Where the SHA-256 of a copy stands, in the form that sha256sum reads."""
    return path.with_name(path.name + ".sha256")


def digest(path: Path) -> str:
    """SHA-256 of a file in hex. Raises OSError."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def told(sum256: str, name: str, mark: str, of: str) -> str:
    """What stands in the file beside a copy: its SHA-256, and in comments (which sha256sum passes over) its mark and
    the state of the stash it was made of."""
    return f"{sum256}  {name}\n# written {mark}\n# of {of}\n"


def _words(path: Path) -> list[str] | None:
    """What stands in the file beside a copy, word by word."""
    try:
        return sum_file(path).read_text(encoding="utf-8", errors="replace").split()
    except OSError:
        return None


def told_sum(path: Path) -> str | None:
    """The SHA-256 written down beside a copy; None where there is none."""
    words = _words(path)
    return None if words is None else words[0] if words else ""


def mark_of(path: Path) -> str:
    """The size of a file and when it was last written: what nobody touched has the same mark."""
    status = path.stat()
    return f"{status.st_size}/{status.st_mtime_ns}"


def state_of(stash: Path) -> str:
    """As `mark_of`, and which file it is and when anything about it changed: another one put in its place differs."""
    status = stash.stat()
    return f"{mark_of(stash)}/{status.st_ino}/{status.st_ctime_ns}"


def is_untouched(backup: Backup) -> bool:
    """Whether nobody wrote to a backup since it was made, by its mark alone: what a bad disk did is not seen."""
    return _is_told(backup.path, "written", mark_of, backup.path)


def is_of(backup: Backup, stash: Path) -> bool:
    """Whether nothing was saved to the stash since this backup of it. No clock is asked."""
    return _is_told(backup.path, "of", state_of, stash)


def _is_told(copy: Path, word: str, what: Callable[[Path], str], path: Path) -> bool:
    words = _words(copy) or []
    with suppress(OSError, ValueError):
        return words[words.index(word) + 1] == what(path)
    return False


def fault_of(path: Path) -> str | None:
    """Why a file of the backups' folder does not count as a backup; None where it is just as it was written."""
    told = told_sum(path)
    if told is None:
        return "it has no checksum beside it"
    try:
        return None if digest(path) == told else "it is not as it was written (its checksum differs)"
    except OSError as error:
        return f"it cannot be read ({error.strerror})"


def newest_whole(stash: Path) -> Backup | None:
    """The newest backup that is as it was written."""
    return next((one for one in backups_of(stash) if fault_of(one.path) is None), None)


def way_back(stash: Path, otherwise: str) -> str:
    """What to do where the stash cannot be used: restore the newest whole backup, or `otherwise` where none is."""
    newest = newest_whole(stash)
    if newest is None:
        return otherwise
    return f'restore the newest backup, of {newest.when()}, with: starcover --db "{stash}" restore "{newest.path}"'


def remove(backup: Backup) -> None:
    """Take a backup away; its checksum last, so that no file without one is left that looks like a backup."""
    with suppress(OSError):
        backup.path.unlink()
        sum_file(backup.path).unlink()


def unready_name(path: Path, what: str = "") -> Path:
    """The name of a file that will be `path` once it is whole; the process is in it, so that it can be cleared."""
    return path.with_name(f".{path.name}{what}.{os.getpid()}.new")


def clear_leftovers(folder: Path) -> None:
    """Remove what programs that were stopped left in a folder of backups: unready copies, checksums of nothing."""
    clear_unready(folder)
    with suppress(OSError):
        for path in list(folder.glob("*.sha256")):
            if not path.with_suffix("").exists() and _is_old(path):
                path.unlink(missing_ok=True)


def clear_unready(folder: Path, name: str = "") -> None:
    """Remove files of ours that were to become `name` (any name in a folder of backups) when the program stopped."""
    with suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            unready = _UNREADY.fullmatch(entry.name)
            if unready is not None and entry.name.startswith(f".{name}") and not _runs(int(unready[1])):
                os.unlink(entry.path)


def _runs(process: int) -> bool:
    """Whether a process of that number is at work (this one is not: it makes its copies one after the other)."""
    if process == os.getpid():
        return False
    if os.name != "posix":
        return True  # asking would end it there
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except (PermissionError, OverflowError):
        return True
    return True


def _is_old(path: Path) -> bool:
    """Written over a day ago: no other program is about to put the backup beside it."""
    return datetime.now(UTC).timestamp() - path.stat().st_mtime > 24 * 3600
