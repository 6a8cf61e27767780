"""Writing a file so that it is there whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from stash.errors import Fault

SQLITE_HEAD = b"SQLite format 3\x00"
BESIDE = ("-journal", "-wal", "-shm")  # what SQLite keeps beside a file while it saves


def expanded(path: Path) -> Path:
    """`path` with `~` as the home folder; as it is where there is no such home."""
    return Path(os.path.expanduser(path))


def refuse_target(path: Path, *, overwrite: bool) -> None:
    """Raise Fault for what may not be written over: a folder, a device, a stash, and a file unless `overwrite`."""
    if os.path.isdir(path):
        raise Fault("this is a folder, not a file", str(path), "name the file to write")
    if os.path.exists(path) and not os.path.isfile(path):  # renaming would put a file in the device's place
        raise Fault("this is a device, not a file; nothing was written", str(path), "name an ordinary file")
    if path.name.endswith(BESIDE):  # SQLite would play it back into the stash of that name
        what = f'what ends in "{path.name[path.name.rindex("-") :]}" belongs beside a stash; nothing was written'
        raise Fault(what, str(path), "choose another name")
    if os.path.isfile(path) and _is_database(path):
        raise Fault("this is a stash or another database; nothing was written", str(path), "choose another name")
    if not overwrite and os.path.lexists(path):
        do = "choose another name, or overwrite it (--overwrite)"
        raise Fault("there is a file of this name already; nothing was written", str(path), do)


def try_target(path: Path | str, *, overwrite: bool = False) -> None:
    """Raise Fault as `write_whole` would where nothing can be written, before the work is done; writes nothing."""
    with _unready(_target(path, overwrite)) as unready:
        unready.open("xb").close()


def write_whole(path: Path | str, write: Callable[[BinaryIO], object], *, overwrite: bool = False) -> Path:
    """Let `write` fill a file under another name, and rename it when it is whole and on the disk; gives its path.

    Raises Fault as `refuse_target` does, and where it cannot be written (a full disk, a folder that is not there);
    an old file then stays as it was, and no part of the new one is left. A link that is written over stays a link:
    the file it leads to is written.
    """
    path = _target(path, overwrite)
    with _unready(path) as unready:
        with unready.open("xb") as file:
            write(file)
            file.flush()
            os.fsync(file.fileno())
        if overwrite:
            os.replace(unready, path)
        else:
            _put(unready, path)
        sync_folder(path.parent)
    return path


def _target(path: Path | str, overwrite: bool) -> Path:
    path = expanded(Path(path))
    refuse_target(path, overwrite=overwrite)
    if os.path.islink(path):
        named, path = path, Path(os.path.realpath(path))
        if os.path.islink(path):
            raise Fault("this path leads nowhere (links in a circle)", str(named), "choose another name")
        refuse_target(path, overwrite=overwrite)
    return path


@contextmanager
def _unready(path: Path) -> Iterator[Path]:
    """Another name beside `path`, which is gone in the end; what goes wrong meanwhile is a Fault."""
    unready = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        yield unready
    except ValueError:
        raise Fault("this is no path of a file", ascii(str(path)), "choose another name") from None
    except OSError as error:
        raise Fault(
            f"the file cannot be written ({error.strerror}); nothing was written", str(path), "choose another place"
        ) from None
    finally:
        with suppress(OSError, ValueError):
            unready.unlink()


@contextmanager
def temporary_room() -> Iterator[Path]:
    """A temporary folder, gone afterwards. Raises Fault where none can be made."""
    try:
        folder = tempfile.TemporaryDirectory(prefix="starcover-")
    except OSError as trouble:
        raise Fault(f"no temporary folder can be made ({trouble.strerror})", do="free some room") from None
    with folder as place:
        yield Path(place)


def read_up_to(path: Path, most: int, what: str, smaller: str) -> bytes:
    """The bytes of a file of at most `most` bytes, and never more, whatever it is.

    what -- what it should be ("CSV file"). smaller -- what to do with a larger one.

    Raises Fault where it is not there, is a folder, is too large or cannot be read.
    """
    try:
        if path.is_dir():
            raise Fault(f"this is a folder, not a {what}", str(path), "name the file in it")
        if path.exists() and not path.is_file():  # a pipe would be waited for without end
            raise Fault(f"this is a device or a pipe, not a {what}", str(path), "name an ordinary file")
        with path.open("rb") as file:
            data = file.read(most + 1) if path.stat().st_size <= most else None
    except FileNotFoundError:
        raise Fault("there is no such file", str(path), "look for the right file") from None
    except OSError as error:
        raise Fault(f"this file cannot be read ({error.strerror})", str(path), "look at its rights") from None
    except ValueError:
        raise Fault("this is no path of a file", ascii(str(path)), f"name the {what}") from None
    if data is None or len(data) > most:
        raise Fault(f"this file is over {most // 1_000_000} MB, too large for a stash", str(path), smaller)
    return data


def _is_database(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            return file.read(len(SQLITE_HEAD)) == SQLITE_HEAD
    except OSError:
        return False  # writing it will say why


def _put(unready: Path, path: Path) -> None:
    """Rename, but not over a file that came up meanwhile (where the file system can tell)."""
    try:
        os.link(unready, path)
    except FileExistsError:
        raise
    except OSError:
        os.replace(unready, path)


def sync_folder(folder: Path) -> None:
    """Make a new name in `folder` last through a power cut, where the system can."""
    if os.name != "posix":
        return
    with suppress(OSError):  # some folders may not be opened; the file is there all the same
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
