"""What may be stored: names and texts, sizes, colours. Everything else is refused in plain words."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Sequence

from stash.errors import UsageFault
from stash.lengths import LONGEST_TICKS, exact_text, shown
from stash.model import Colour, Kind, NewPiece
from stash.names import name_key

LONGEST_NAME = 200
LONGEST = {"place": 200, "note": 10_000, "price": 40, "photo": 1_000}
SOURCES = ("measured", "relative", "typed")  # of a colour; a value by eye is kept apart
MOST_PIECES = 1_000  # recorded in one go

# They turn the direction of what is written round them, so a name could show as another one. Scripts that run
# from right to left need none of them.
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_BREAKS = frozenset("\u2028\u2029")


def bad_character(text: str, allowed: str = "") -> str | None:
    """What is wrong with the first character that may not be stored."""
    for c in text:
        if c in allowed:
            continue
        if c in _TURNING:
            return f"a mark that turns the direction of writing (U+{ord(c):04X})"
        category = unicodedata.category(c)
        if category == "Cs":
            return f"half a character (U+{ord(c):04X})"
        if category == "Cc" or c in _BREAKS:
            return f"a control character (U+{ord(c):04X})"
    return None


def storable(text: str) -> str:
    """A text with `?` for each character that may not be stored: the name of a file, which nobody can mend here."""
    return "".join("?" if bad_character(c) else c for c in unicodedata.normalize("NFC", text))


def checked_name(name: str, what: str = "fabric") -> str:
    """A name as it is stored: NFC, trimmed. Raises UsageFault."""
    do = f"give the {what} a name of 1 to {LONGEST_NAME} ordinary characters"
    if (bad := bad_character(name)) is not None:
        raise UsageFault(f"the name of the {what} has {bad} in it", ascii(name[:40]), do)
    tidy = unicodedata.normalize("NFC", name).strip()
    if not tidy:
        raise UsageFault(f"the name of the {what} is empty", do=do)
    if len(tidy) > LONGEST_NAME:
        raise UsageFault(f"the name of the {what} has {len(tidy)} characters", shown(tidy, 40), do)
    return tidy


def asked_key(name: str) -> str:
    """The key to look a name up by. What could not be stored (half a character) is escaped, so it is not found."""
    return name_key(name).encode("utf-8", "backslashreplace").decode()


def checked_text(field: str, text: str) -> str:
    """A text field as it is stored: NFC, trimmed, line ends as `\\n`. Only a note may have several lines."""
    text = text.replace("\r\n", "\n").replace("\r", "\n") if field == "note" else text
    if (bad := bad_character(text, "\n\t" if field == "note" else "")) is not None:
        raise UsageFault(f"the {field} has {bad} in it", do="leave that character out")
    tidy = unicodedata.normalize("NFC", text).strip()
    if len(tidy) > LONGEST[field]:
        raise UsageFault(f"the {field} has {len(tidy)} characters", do=f"use {LONGEST[field]} at most")
    return tidy


def checked_colour(colour: Colour) -> Colour:
    """A colour inside L* 0 to 100 and a*, b* -200 to 200. A rounding error over the end of L* is cut off."""
    lightness = checked_value(colour.L)
    for axis, value in (("a", colour.a), ("b", colour.b)):
        if not (math.isfinite(value) and -200 <= value <= 200):
            raise UsageFault(f"{axis}* of {value:g} is no colour", do="use -200 to 200")
    if colour.source not in SOURCES:
        raise UsageFault(
            f"a colour is {', '.join(SOURCES[:-1])} or {SOURCES[-1]}, not {colour.source}",
            do="set a value by eye apart from it",
        )
    return Colour(lightness, float(colour.a), float(colour.b), colour.source)


def checked_value(lightness: float) -> float:
    """A value (L*) from 0 to 100."""
    if not (math.isfinite(lightness) and -0.01 <= lightness <= 100.01):
        raise UsageFault(f"a value of {lightness:g} cannot be", do="use 0 (black) to 100 (white)")
    return min(100.0, max(0.0, float(lightness)))


def checked_pieces(pieces: Sequence[NewPiece]) -> tuple[NewPiece, ...]:
    """Pieces whose sizes can be stored."""
    if len(pieces) > MOST_PIECES:
        raise UsageFault(f"{len(pieces)} pieces at once are too many", do=f"use {MOST_PIECES} at most")
    for piece in pieces:
        if not all(type(size) is int and 0 < size <= LONGEST_TICKS for size in (piece.length, piece.width)):
            raise UsageFault("a piece needs a length and a width, over 0 and up to 100 m", do="measure it again")
        Kind(piece.kind)
    return tuple(pieces)


def size_text(length: int, width: int) -> str:
    """A size in ticks as a person reads it: `54 in x 40 in`, or `nothing`."""
    return f"{exact_text(length)} x {exact_text(width)}" if length and width else "nothing"


def pieces_text(sizes: Sequence[tuple[int, int]]) -> str:
    """Several sizes: `nothing`, `54 in x 40 in`, or `3 pieces, 72 in in all`."""
    if not sizes:
        return "nothing"
    if len(sizes) == 1:
        return size_text(*sizes[0])
    return f"{len(sizes)} pieces, {exact_text(sum(length for length, _ in sizes))} in all"
