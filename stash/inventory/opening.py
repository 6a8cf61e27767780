"""Finding a stash file, looking at its header before anything else touches it, and giving a new one its name."""

from __future__ import annotations

import errno
import os
import sqlite3
import stat
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import quote

from stash.errors import Fault
from stash.files import BESIDE, SQLITE_HEAD, expanded, sync_folder
from stash.inventory import schema
from stash.inventory.backup_files import clear_unready, way_back
from stash.inventory.troubles import NoStash, is_damage, plain_fault

_DAMAGED = ".damaged-"


@dataclass(frozen=True, slots=True)
class Found:
    """A stash file that may be opened. `identity` is its device and inode, `version` its schema's; `taken_back` is a
    copy of it as it was, where a save that was cut off was just taken back."""

    path: Path
    identity: tuple[int, int]
    version: int
    read_only: bool
    taken_back: Path | None = None


def uri(path: Path, options: str) -> str:
    """`path` as SQLite's URI with `options` (like `mode=rw`)."""
    return f"file:{quote(str(path))}?{options}"


def identity(status: os.stat_result) -> tuple[int, int]:
    """Device and inode: the same for one file, whatever it is called."""
    return status.st_dev, status.st_ino


def find(path: Path) -> Found:
    """Look at the file at `path` without changing a byte of it. Raises Fault where it is no stash of ours."""
    real, status = _resolved(path)
    if status.st_nlink > 1:  # one may be the name under which a program of ours that was stopped made the file
        clear_unready(real.parent, real.name)
        status = real.stat()
    _ordinary(real, status)
    if status.st_size == 0:
        raise NoStash(
            "this file is empty (0 bytes), so it is no stash; nothing was changed",
            str(real),
            way_back(real, "put a backup in its place, or remove it and make a new stash"),
        )
    if not os.access(real, os.R_OK):
        raise _no_right(real, status)
    version = _version(real)
    writable = os.access(real, os.W_OK) and os.access(real.parent, os.W_OK)
    return Found(real, identity(status), version, read_only=not writable)


def _resolved(path: Path) -> tuple[Path, os.stat_result]:
    try:
        real = expanded(path).resolve(strict=True)
        return real, real.stat()
    except FileNotFoundError:
        if path.is_symlink():
            what, do = "this is a link to a file that is not there", "mend the link, or name the file itself"
        else:
            what = "there is no stash here"
            if kept := set_aside(path):
                what += f"; the damaged file that was here is kept as {kept}"
            do = way_back(path, f'make one with: starcover new "{path}"')
        raise Fault(what, str(path), do) from None
    except PermissionError:
        raise Fault("this folder may not be read", str(path.parent), "look at the rights of the folder") from None
    except (OSError, RuntimeError) as error:  # RuntimeError: a loop of links, before Python 3.13
        raise Fault(
            f"this path leads nowhere ({getattr(error, 'strerror', None) or 'links in a circle'})",
            str(path),
            "name the stash file itself",
        ) from None
    except ValueError:
        raise Fault("this is no path of a file", ascii(str(path)), "name the stash file") from None


def aside_name(real: Path) -> Path:
    """Another name for a damaged file at `real`, which a restore sets aside."""
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    return real.with_name(f"{real.stem}{_DAMAGED}{stamp}-{os.getpid()}{real.suffix}")


def set_aside(path: Path) -> Path | None:
    """The damaged file that was last set aside from this name, if any."""
    real = expanded(path)
    with suppress(OSError):
        names = [one.name for one in real.parent.iterdir() if one.suffix == real.suffix]
        newest = max((name for name in names if name.startswith(f"{real.stem}{_DAMAGED}")), default=None)
        return real.with_name(newest) if newest else None
    return None


def _ordinary(real: Path, status: os.stat_result) -> None:
    if stat.S_ISDIR(status.st_mode):
        raise Fault("this is a folder, not a stash file", str(real), "name the file in it")
    if not stat.S_ISREG(status.st_mode):
        raise Fault("this is a device, not a stash file", str(real), "name an ordinary file")
    if status.st_nlink > 1:  # the journal stands beside one name only, so the other would miss it
        raise Fault(
            f"this file goes by {status.st_nlink} names (hard links), so a save could be lost",
            str(real),
            "copy it to a file of its own and open the copy",
        )


def _no_right(real: Path, status: os.stat_result) -> Fault:
    owner = str(status.st_uid)
    try:
        import pwd

        owner = pwd.getpwuid(status.st_uid).pw_name
    except (ImportError, KeyError):
        pass
    return Fault(f"this file may not be read; it belongs to {owner}", str(real), "ask for the right to read it")


def _version(real: Path) -> int:
    """The schema version from the header. Opened immutable: no lock, no journal, no byte changed."""
    try:
        raw = sqlite3.connect(uri(real, "mode=ro&immutable=1"), uri=True, timeout=0)
        try:
            application = raw.execute("PRAGMA application_id").fetchone()[0]
            version = raw.execute("PRAGMA user_version").fetchone()[0]
        finally:
            raw.close()
    except sqlite3.Error as error:
        if not cut_off(real) or (is_damage(error) and not _is_sqlite(real)):
            raise plain_fault(error, real) from None
        application, version = _raw_header(real)
    check_header(application, version, real)
    return int(version)


def cut_off(path: Path) -> bool:
    """Whether a journal lies beside the file, so that its pages are not to be trusted before it is taken back."""
    try:
        with Path(f"{path}-journal").open("rb") as file:
            return any(file.read(28))  # one that is done with may stay, its header set to zero
    except OSError:
        return False


def _is_sqlite(real: Path) -> bool:
    with real.open("rb") as file:
        return file.read(len(SQLITE_HEAD)) == SQLITE_HEAD


def _raw_header(real: Path) -> tuple[int, int]:
    """application_id and user_version where the rest cannot be read yet (the SQLite file format, 1.3)."""
    with real.open("rb") as file:
        head = file.read(100)
    return int.from_bytes(head[68:72]), int.from_bytes(head[60:64])


def check_header(application: int, version: int, path: Path) -> None:
    """Raises Fault when the two header numbers are not those of a stash this program can work with."""
    if application != schema.APPLICATION_ID:
        raise Fault(
            "this database belongs to another program; nothing was changed",
            str(path),
            "look for the right file",
        )
    if version > schema.SCHEMA_VERSION:
        raise Fault(
            f"this stash was made by a newer starcover (version {version} of the file;"
            f" this one knows {schema.SCHEMA_VERSION}); nothing was changed",
            str(path),
            "start the newer starcover, or bring this one up to date",
        )


def give_name(unready: Path, target: Path) -> None:
    """Rename without ever putting the new file over one that came up meanwhile, and make the name last.

    Raises FileExistsError for a name that is taken. What a save to another file of this name left beside it is moved
    aside first: SQLite would play it back into the new file.
    """
    if os.path.lexists(target):
        raise FileExistsError(errno.EEXIST, "there is a file of this name already", str(target))
    move_aside(target)
    try:
        os.link(unready, target)
    except FileExistsError:
        raise
    except OSError:  # a file system without hard links
        os.close(os.open(target, os.O_CREAT | os.O_EXCL))
        try:
            os.replace(unready, target)
        except OSError:
            target.unlink()
            raise
    with suppress(OSError):
        unready.unlink()
    sync_folder(target.parent)


def move_aside(target: Path) -> None:
    """Give what a save left beside the name `target` another name; nothing of it is lost. For a name that no file
    has: beside a file it may be that file's own."""
    stamp, moved = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%fZ"), False
    for end in BESIDE:
        with suppress(FileNotFoundError):
            os.rename(f"{target}{end}", f"{target}{end}.left-{stamp}")
            moved = True
    if moved:
        sync_folder(target.parent)  # before the new file has its name: a cut must not bring them together
