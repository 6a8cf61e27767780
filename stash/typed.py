"""What a maker types as a piece of cloth: `1/2 yd`, `fq`, `18 x 21`, `2 x fq`, `3 x 1/2 yd`.

Two sides are always the length along the selvage by the usable width. What could be meant in two ways is
refused with both ways of writing it clearly; nothing is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from stash.errors import UsageFault
from stash.lengths import Bare, inches_of, read_length, shown, split_length, to_inches, to_ticks
from stash.model import Kind, NewPiece, Piece

LONGEST_TEXT = 60
MOST_ALIKE = 999

# Length along the selvage and usable width by kind, inches (fat cuts are sold as 18 x 22 and 9 x 22; common
# practice, no source). None: there is none to assume.
SIZES: dict[Kind, tuple[Fraction | None, Fraction | None]] = {
    Kind.YARDAGE: (None, Fraction(40)),
    Kind.FAT_QUARTER: (Fraction(18), Fraction(21)),
    Kind.FAT_EIGHTH: (Fraction(9), Fraction(21)),
    Kind.SQUARE: (Fraction(10), Fraction(10)),
    Kind.STRIPS: (Fraction(5, 2), Fraction(40)),
    Kind.SCRAP: (None, None),
}

_NAMES = {
    "fq": Kind.FAT_QUARTER, "fqs": Kind.FAT_QUARTER, "fat quarter": Kind.FAT_QUARTER,
    "fat quarters": Kind.FAT_QUARTER, "fat 1/4": Kind.FAT_QUARTER, "fat ¼": Kind.FAT_QUARTER,
    "fe": Kind.FAT_EIGHTH, "fes": Kind.FAT_EIGHTH, "fat eighth": Kind.FAT_EIGHTH,
    "fat eighths": Kind.FAT_EIGHTH, "fat 1/8": Kind.FAT_EIGHTH, "fat ⅛": Kind.FAT_EIGHTH,
}  # fmt: skip

_TIMES = re.compile(r"\s*[x×]\s*|\s+by\s+", re.IGNORECASE)
_COUNT = re.compile(r"[0-9]{1,6}", re.ASCII)
_COUNT_AND_NAME = re.compile(r"([0-9]{1,6})\s*([a-z].*)", re.ASCII | re.DOTALL)

ACCEPTED = "Write it like 1/2 yd, 13 1/2 in, 50 cm, fq, fe, 18 x 21, 2 x fq or 3 x 1/2 yd"


@dataclass(frozen=True, slots=True)
class _Typed:
    """What the text itself says: how many, the kind it names, the sides (inches; None where not typed)."""

    count: int | None = None
    kind: Kind | None = None
    length: Fraction | None = None
    width: Fraction | None = None


def read_pieces(
    text: str,
    *,
    kind: Kind | None = None,
    width: str | Fraction | None = None,
    count: int = 1,
    usual: Mapping[Kind, Fraction] | None = None,
) -> tuple[NewPiece, ...]:
    """Read what was typed as one or more pieces alike.

    kind -- as the maker gave it. Without one, a piece is yardage, save that `fq` and `fe` say their kind and
        so do the sides 18 x 21 and 9 x 21; two sides are a scrap only when the kind says so.
    width -- usable width, typed or in inches; default by kind (see `SIZES`; a square is as wide as long).
    count -- how many alike, said beside the text; the text may say it instead (`2 x fq`), not both.
    usual -- usable width in inches by kind, where it is known better than `SIZES` does.

    Raises UsageFault for nothing, zero, over 100 m, more than 999 alike, and all that is no size.
    """
    typed = _read(text, kind)
    kind = _kind(typed, kind, text)
    length, across = _sides(typed, kind, _given_width(width), text, (usual or {}).get(kind))
    alike = _alike(typed.count, count, text)
    return (NewPiece(kind, to_ticks(length), to_ticks(across)),) * alike


def _read(text: str, kind: Kind | None) -> _Typed:
    trimmed = text.strip()
    if not trimmed:
        raise UsageFault("No size is given", do=ACCEPTED)
    if len(trimmed) > LONGEST_TEXT:
        raise _no_size(text)
    parts = _TIMES.split(trimmed)
    if len(parts) == 1:
        return _one(parts[0])
    if len(parts) == 2:
        return _two(parts[0], parts[1], text, kind)
    if len(parts) == 3 and _COUNT.fullmatch(parts[0]):
        length, width = _two_sides(parts[1], parts[2], text)
        return _Typed(int(parts[0]), None, length, width)
    raise _no_size(text)


def _no_size(text: str) -> UsageFault:
    return UsageFault(f'"{shown(text, LONGEST_TEXT)}" is no size of a piece', do=ACCEPTED)


def _name(part: str) -> Kind | None:
    return _NAMES.get(" ".join(part.lower().replace("-", " ").split()))


def _one(part: str) -> _Typed:
    """`fq`, `2 fq` or one length."""
    if (named := _name(part)) is not None:
        return _Typed(kind=named)
    counted = _COUNT_AND_NAME.fullmatch(part.lower())
    if counted and (named := _name(counted[2])) is not None:
        return _Typed(int(counted[1]), named)
    try:
        return _Typed(length=read_length(part, bare=Bare.PIECE))
    except UsageFault as fault:
        if fault.do.startswith("Write it like"):  # name the fat cuts too among what is accepted
            raise UsageFault(fault.what, fault.where, ACCEPTED) from None
        raise


def _two(first: str, second: str, text: str, kind: Kind | None) -> _Typed:
    """A count and a piece, or two sides."""
    counted = _COUNT.fullmatch(first) is not None
    if counted and (named := _name(second)) is not None:
        return _Typed(int(first), named)
    value, unit = split_length(second)
    if counted and unit in ("yd", "m"):  # nobody gives a cloth's width so
        return _Typed(int(first), None, inches_of(value, unit, second))
    number, first_unit = split_length(first)
    if first_unit is None and number < 4:
        whole = number.denominator == 1
        sides_by_kind = kind in (Kind.STRIPS, Kind.SCRAP) or (kind is Kind.SQUARE and not whole)
        if (unit is not None and whole) or not sides_by_kind:
            raise _unclear(first, second, text, whole)
    length, width = _two_sides(first, second, text)
    return _Typed(length=length, width=width)


def _unclear(first: str, second: str, text: str, whole: bool) -> UsageFault:
    one, two = shown(first), shown(second)
    if not whole:
        do = f"Write {one} in x {two} or {one} yd x {two}"
        return UsageFault(f"{shown(text)}: inches or yards?", do=do)
    return UsageFault(
        f"{shown(text)}: {one} pieces, or a side of {one}?",
        do=f"Write {one} x {two} x 40 for {one} pieces 40 in wide, or {one} in x {two} for two sides",
    )


def _two_sides(first: str, second: str, text: str) -> tuple[Fraction, Fraction]:
    """Length and width in inches. A unit on one side serves a bare number on the other where it is plain."""
    length, length_unit = split_length(first)
    width, width_unit = split_length(second)
    if length_unit is None:
        if width_unit in ("yd", "m"):
            raise UsageFault(f"{shown(text)}: which unit is {shown(first)}?", do="Write a unit at both sides")
        length_unit = width_unit or "in"
    if width_unit is None:
        width_unit = {"yd": "in", "m": "cm"}.get(length_unit, length_unit)
    return inches_of(length, length_unit, first), inches_of(width, width_unit, second)


def _kind(typed: _Typed, kind: Kind | None, text: str) -> Kind:
    if typed.kind is not None:
        if kind not in (None, Kind.YARDAGE, typed.kind):
            clash = f'"{shown(text)}" is a {typed.kind}, and the kind says {kind}'
            raise UsageFault(clash, do="Give one of them")
        return typed.kind
    if kind is not None:
        return kind
    if typed.width is not None:
        for fat in (Kind.FAT_QUARTER, Kind.FAT_EIGHTH):
            if (typed.length, typed.width) == SIZES[fat]:
                return fat
    return Kind.YARDAGE


def _given_width(width: str | Fraction | None) -> Fraction | None:
    if isinstance(width, str):
        return read_length(width) if width.strip() else None
    if width is not None and width <= 0:
        raise UsageFault("A width of nothing cannot be", do="Give the usable width, like 40")
    return width


def usual_widths(pieces: Iterable[Piece]) -> dict[Kind, Fraction]:
    """The width in inches of each kind whose pieces are all of one width: what is counted of them is as wide."""
    found: dict[Kind, set[int]] = {}
    for piece in pieces:
        if piece.kind not in (Kind.SQUARE, Kind.SCRAP):
            found.setdefault(piece.kind, set()).add(piece.width)
    return {kind: to_inches(max(widths)) for kind, widths in found.items() if len(widths) == 1}


def _sides(
    typed: _Typed, kind: Kind, given: Fraction | None, text: str, usual: Fraction | None
) -> tuple[Fraction, Fraction]:
    if typed.width is not None and given is not None and typed.width != given:
        clash = f'"{shown(text)}" names one width and another is given beside it'
        raise UsageFault(clash, do="Give one width")
    usual_length, usual_width = SIZES[kind]
    length = typed.length if typed.length is not None else usual_length
    assert length is not None  # a text without a length names a fat cut
    if kind is Kind.SQUARE:
        usual_width = length
    usual_width = usual or usual_width
    width = typed.width or given or usual_width
    if width is None:
        raise UsageFault(f'"{shown(text)}" is one side of a scrap', do="Write both sides, like 9 x 14")
    return length, width


def _alike(typed: int | None, given: int, text: str) -> int:
    if typed is not None and given != 1:
        raise UsageFault(f'"{shown(text)}" says how many, and so does the number beside it', do="Say it once")
    alike = given if typed is None else typed
    if not 1 <= alike <= MOST_ALIKE:
        raise UsageFault(f"{alike} pieces alike cannot be", do=f"Use 1 to {MOST_ALIKE}")
    return alike
