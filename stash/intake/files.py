"""Which files are meant by the names of photographs and folders of them."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from pathlib import Path

from stash.errors import Fault
from stash.lengths import shown

SUFFIXES = frozenset(
    {".jpg", ".jpeg", ".jpe", ".jfif", ".png", ".webp", ".heic", ".heif", ".hif", ".tif", ".tiff", ".bmp", ".gif"}
)
MOST_BYTES = 2**30  # nothing larger is read to see whether it was measured before
_DIGITS = re.compile(r"(\d+)")


def photo_files(paths: Iterable[Path]) -> list[Path]:
    """The files named, and of each folder its pictures by their endings, in natural order (2 before 10).

    A file named as such is taken whatever its ending; hidden files of a folder are not. Folders inside a folder are
    left alone. Each file stands once, where it came first. Raises Fault for a path that is not there, a folder
    without pictures and one that cannot be read.
    """
    found: dict[Path, None] = {}
    for path in paths:
        found.update(dict.fromkeys(_of(path)))
    return list(found)


def _of(path: Path) -> list[Path]:
    try:
        if not path.is_dir():
            path.stat()
            return [path]
        files = [one for one in path.iterdir() if _is_picture(one)]
    except FileNotFoundError:
        raise Fault("there is no such file or folder", str(path), "look at how it is written") from None
    except (OSError, ValueError) as trouble:
        reason = getattr(trouble, "strerror", None) or "no path"
        raise Fault(f"it cannot be read ({reason})", shown(str(path), 200), "give one you may read") from None
    if not files:
        raise Fault("this folder holds no pictures", str(path), "name the folder the photographs are in")
    return sorted(files, key=natural)


def _is_picture(path: Path) -> bool:
    return path.suffix.lower() in SUFFIXES and not path.name.startswith(".") and path.is_file()


def natural(path: Path) -> tuple[list[tuple[int, int, str]], str]:
    """Sorts names as people do: numbers by size, letters without their case."""
    parts = _DIGITS.split(path.name.casefold())
    return [(0, int(part), "") if i % 2 else (1, 0, part) for i, part in enumerate(parts)], path.name


def file_hash(path: Path) -> str:
    """SHA-256 of a file in hex; "" where it cannot be read (measuring it will say why)."""
    try:
        if not path.is_file() or path.stat().st_size > MOST_BYTES:
            return ""
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except (OSError, ValueError):
        return ""
