"""Reading the fields of a form. A reader gives what was understood, or raises a Fault with what is accepted."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from stash.colour import typed
from stash.colour.typed import COLOUR_HINT as COLOUR_HINT
from stash.colour.words import colour_words
from stash.errors import UsageFault
from stash.lengths import Bare, read_length, show_inches, show_yards, to_inches, to_ticks
from stash.model import Colour, Fabric, Kind, NewPiece, Piece
from stash.typed import read_pieces, usual_widths

Check = Callable[[str], str]
"""Takes what is typed, gives a short reading of it to show under the field, or raises a Fault."""

LONGEST_NAME = 200
PIECES_HINT = "1/2 yd, 13 in, 50 cm, 18 x 21, 2 x fq, fq + 1/4 yd"
NONE_WORDS = ("none", "nothing", "0")


@dataclass(frozen=True, slots=True)
class Field:
    """One line of a form. `hint` stands under it until something is typed."""

    id: str
    label: str
    check: Check
    value: str = ""
    hint: str = ""


def any_text(text: str) -> str:
    """Free text: nothing to check."""
    return ""


def name_text(text: str) -> str:
    """A name must be there; the store knows the rest."""
    if not text.strip():
        raise UsageFault("A fabric needs a name", do="Use the shop's name, or a word for what it looks like")
    if len(text) > LONGEST_NAME:
        raise UsageFault(f"A name of {len(text)} characters is too long", do=f"Use up to {LONGEST_NAME}")
    return ""


def all_pieces(text: str, there: Iterable[Piece] = ()) -> tuple[NewPiece, ...]:
    """The pieces typed, several groups set apart by + (or ;); nothing typed is no piece. Where pieces that are `there`
    are all of one width, so are these unless one is typed."""
    usual = usual_widths(there)
    groups = [group for group in re.split(r"[+;]", text) if group.strip()]
    return tuple(piece for group in groups for piece in read_pieces(group, usual=usual))


def pieces_or_none(text: str) -> str:
    """A reading of the pieces; nothing typed means not measured yet."""
    return pieces_text(all_pieces(text)) if text.strip() else ""


def pieces_needed(text: str) -> str:
    """A reading of the pieces; there must be one."""
    if not text.strip():
        raise UsageFault("No size is given", do=f"Write it like {PIECES_HINT}")
    return pieces_text(all_pieces(text))


def counted_pieces(text: str, there: Iterable[Piece] = ()) -> tuple[NewPiece, ...]:
    """What a count found: pieces, or none at all in a word."""
    if text.strip().casefold() in NONE_WORDS:
        return ()
    pieces_needed(text)
    return all_pieces(text, there)


def counted_text(text: str, there: Iterable[Piece] = ()) -> str:
    pieces = counted_pieces(text, there)
    return pieces_text(pieces) if pieces else "nothing left of it"


def used_ticks(text: str) -> int | None:
    """The length used in ticks, None for all of it."""
    if text.strip().casefold() == "all":
        return None
    if not text.strip():
        raise UsageFault("No length is given", do="Write it like 1/4 yd, 9 in, 25 cm, or all")
    return to_ticks(read_length(text, bare=Bare.PIECE))


def used_text(text: str) -> str:
    ticks = used_ticks(text)
    return "all of it" if ticks is None else length_text(to_inches(ticks))


def read_colour(text: str) -> Colour | None:
    """A colour as it is typed; None where nothing is."""
    return typed.read_colour(text) if text.strip() else None


def colour_text(text: str) -> str:
    colour = read_colour(text)
    return "" if colour is None else f"value {colour.L:.0f}, {colour_words(colour)}"


def length_text(inches: Fraction) -> str:
    """A length in inches, and in yards where it is a quarter yard or more: `18 in (1/2 yd)`."""
    text = f"{show_inches(inches, 64)} in"
    return f"{text} ({show_yards(inches / 36)} yd)" if (inches / 36).denominator in (1, 2, 3, 4, 8) else text


def piece_text(piece: NewPiece | Piece) -> str:
    """`18 x 21 in, fat quarter`: length along the selvage, usable width, kind."""
    length, width = show_inches(to_inches(piece.length), 64), show_inches(to_inches(piece.width), 64)
    words = [f"{length} × {width} in", str(piece.kind)]
    if piece.kind is Kind.YARDAGE and (to_inches(piece.length) / 36).denominator in (1, 2, 3, 4, 8):
        words.append(f"{show_yards(to_inches(piece.length) / 36)} yd")
    if piece.cut_before:
        words.append("cut before")
    if piece.estimated:
        words.append("about")
    return ", ".join(words)


def pieces_text(pieces: Sequence[NewPiece | Piece]) -> str:
    """All pieces in one line, alike ones counted."""
    counts = Counter(piece_text(piece) for piece in pieces)
    return "; ".join(text if number == 1 else f"{number} of {text}" for text, number in counts.items())


def colour_field(fabric: Fabric) -> str:
    """A fabric's own colour as `read_colour` reads it back."""
    colour = fabric.measured or fabric.colour
    return "" if colour is None else f"{colour.L:g} {colour.a:g} {colour.b:g}"
