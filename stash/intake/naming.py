"""What a fabric is called when only its photograph is there: the file's name, or plain words for its colour."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection
from pathlib import Path

from stash.colour.words import colour_words
from stash.model import Colour
from stash.names import name_key

LONGEST = 80
# words that cameras, telephones and scanners write before a number, and those they add behind it
_HEADS = frozenset({
    "img", "image", "dsc", "dscn", "dscf", "pict", "pic", "photo", "photos", "picture", "foto", "mg", "pxl", "mvimg",
    "pano", "cimg", "imgp", "sam", "hpim", "sdc", "scan", "scanned", "screenshot", "snapshot", "snap", "vid", "video",
    "frame", "untitled", "unnamed", "download", "file", "fullsizerender", "jpeg", "jpg", "png", "heic",
})  # fmt: skip
_TAILS = frozenset({
    "copy", "of", "edited", "edit", "hdr", "night", "portrait", "burst", "cover", "wa", "mp", "ts", "at", "am", "pm",
    "final", "small", "large",
})  # fmt: skip
_WORD = re.compile(r"[^\W\d_]+")
# a camera's own name by the rule for camera file systems (DCF): four capitals, digits or _, then four digits
_DCF = re.compile(r"[A-Z0-9_]{4}[0-9]{4}", re.ASCII)
_STAMP = re.compile(  # a date with a time: no maker names a fabric so
    r"(?:19|20)\d\d[-_. ]?[01]\d[-_. ]?[0-3]\d(?:[-_. T]| at )*[0-2]\d[-_.:h ]?[0-5]\d", re.ASCII | re.IGNORECASE
)
_HEX = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}|[0-9a-f]{16,}", re.ASCII | re.IGNORECASE)


def name_for(path: Path, colour: Colour, taken: Collection[str], swatch: int | None = None) -> str:
    """A name for the fabric on a photograph that nobody has in `taken` (by `stash.names.name_key`).

    The file's own ("hedge-rose_2.jpg": Hedge rose 2), save where a camera or telephone named it: then a plain colour
    and the first number free ("dusty pink 1").

    swatch -- its number on a sheet of many; "reds.jpg" then gives Reds 1, Reds 2 ...
    """
    keys = {name_key(name) for name in taken}
    if named_by_camera(path.stem):
        return _numbered(colour_words(colour), 1, keys)
    tidy = tidied(path.stem)
    if swatch is not None:
        tidy = f"{tidy} {swatch}"
    if name_key(tidy) not in keys:
        return tidy
    head, _, number = tidy.rpartition(" ")
    if swatch is None and head and number.isascii() and number.isdigit() and len(number) < 4:
        return _numbered(head, int(number) + 1, keys)
    return _numbered(tidy, 2, keys)


def _numbered(words: str, first: int, keys: Collection[str]) -> str:
    number = first
    while name_key(f"{words} {number}") in keys:
        number += 1
    return f"{words} {number}"


def tidied(stem: str) -> str:
    """A file's name as a fabric's: joints are spaces, odd characters gone, the first letter a capital."""
    text = unicodedata.normalize("NFC", stem)
    spaced = "".join(c if c.isprintable() and c not in "_-+~." else " " for c in text)
    tidy = " ".join(spaced.split())[:LONGEST].strip()
    return tidy[:1].upper() + tidy[1:]


def named_by_camera(stem: str) -> bool:
    """Whether a file's name says nothing of what is on it: numbers, dates, codes, words that cameras write."""
    text = stem.strip()
    if _DCF.fullmatch(text) or _HEX.fullmatch(text) or _STAMP.search(text):
        return True
    words = [word.casefold() for word in _WORD.findall(text)]
    telling = [word for word in words if len(word) > 1 or not word.isascii()]
    if not telling:
        return True
    return any(word in _HEADS for word in telling) and all(word in _HEADS or word in _TAILS for word in telling)
