"""Lengths: reading what a maker types, whole ticks for what is stored, and printing both back.

A stored length is a whole number of *ticks* of 1/320 mm: 1 in = 8,128 ticks and 1/64 in = 127, 0.1 mm = 32,
so inches to 1/64 and centimetres to the hundredth are both exact. A length on paper is an exact `Fraction` of
inches (1 in = 25.4 mm and 1 yd = 36 in by definition). No float ever stands in a size.
"""

from __future__ import annotations

import math
import re
from enum import StrEnum
from fractions import Fraction

from stash.errors import UsageFault

TICKS_PER_INCH = 8128
INCHES_PER_YARD = 36
TICKS_PER_TENTH_MM = 32
TICKS_PER_64TH = 127
LONGEST_TICKS = 32_000_000  # 100 m; the area of such a piece then stays far under 2**63
LONGEST_TEXT = 24  # characters of one length

_INCHES = {
    "in": Fraction(1),
    "yd": Fraction(INCHES_PER_YARD),
    "cm": Fraction(100, 254),
    "mm": Fraction(10, 254),
    "m": Fraction(10_000, 254),
}
LONGEST = 100 * _INCHES["m"]

_UNIT_WORDS = {
    "in": "in", "ins": "in", "inch": "in", "inches": "in", '"': "in", "″": "in", "”": "in", "''": "in",
    "yd": "yd", "yds": "yd", "yard": "yd", "yards": "yd",
    "cm": "cm", "mm": "mm", "m": "m",
}  # fmt: skip

_VULGAR = {
    "½": Fraction(1, 2), "⅓": Fraction(1, 3), "⅔": Fraction(2, 3), "¼": Fraction(1, 4), "¾": Fraction(3, 4),
    "⅕": Fraction(1, 5), "⅖": Fraction(2, 5), "⅗": Fraction(3, 5), "⅘": Fraction(4, 5), "⅙": Fraction(1, 6),
    "⅚": Fraction(5, 6), "⅛": Fraction(1, 8), "⅜": Fraction(3, 8), "⅝": Fraction(5, 8), "⅞": Fraction(7, 8),
}  # fmt: skip

_VULGAR_CLASS = "".join(_VULGAR)
_LENGTH = re.compile(
    rf"""(?:
        (?P<decimal>[0-9]*[.,][0-9]+)
      | (?:(?P<whole>[0-9]+)(?:[ \t\u00a0]+|-))?(?P<top>[0-9]+)[/⁄](?P<bottom>[0-9]+)
      | (?:(?P<whole_before>[0-9]+)[ \t\u00a0]*-?)?(?P<vulgar>[{_VULGAR_CLASS}])
      | (?P<plain>[0-9]+)
    )
    [ \t\u00a0]*(?P<unit>{"|".join(sorted(map(re.escape, _UNIT_WORDS), key=len, reverse=True))})?""",
    re.ASCII | re.IGNORECASE | re.VERBOSE,
)

ACCEPTED = 'Write it like 2 1/2, 2.5 in, 13 1/2", 1 1/2 yd, 50 cm or 1 m: over 0 and up to 100 m'


class Bare(StrEnum):
    """What a number without a unit means."""

    INCHES = "inches"  # or centimetres where those are the maker's units
    PIECE = "piece"  # a piece's length, in inches: under 4 it might be yards, so it is refused


def shown(text: str, longest: int = LONGEST_TEXT) -> str:
    """What was typed, safe to put into a message: cut short, nothing in it that steers a terminal."""
    cut = text.strip()[: longest + 1]
    tame = "".join(c if c.isprintable() else "?" for c in cut)
    return tame if len(cut) <= longest else tame[:longest] + "..."


def read_length(text: str, *, units: str = "in", bare: Bare = Bare.INCHES) -> Fraction:
    """Read one typed length and give it in exact inches.

    text -- `2 1/2`, `2½`, `2-1/2"`, `2.5`, `2,5`, `2.5 in`, `1 1/2 yd`, `50 cm`, `500 mm`, `1 m`; any case.
    units -- "in" or "cm": what a bare number is (metres never are).
    bare -- `Bare.PIECE` refuses a bare number under 4, which might be meant in yards.

    Raises UsageFault, saying what is accepted, for anything else: signs, exponents, digits that are not
    ASCII, denominators outside 2 to 64, nothing, 0, more than 100 m, and what can be read in two ways
    (`1,000`, `21/2`).
    """
    value, unit = split_length(text)
    if unit is None:
        unit = "cm" if units == "cm" else "in"
        if bare is Bare.PIECE and value < 4:
            typed = shown(text)
            raise UsageFault(f"{typed}: inches or yards?", do=f"Write {typed} in or {typed} yd")
    return inches_of(value, unit, text)


def split_length(text: str) -> tuple[Fraction, str | None]:
    """The number and the unit ("in", "yd", "cm", "mm", "m", None where bare) of one typed length.

    Raises UsageFault as `read_length` does, save for the upper limit, which needs the unit (see `inches_of`).
    """
    trimmed = text.strip()
    # The length is checked first: Fraction() and int() of an endless number take minutes.
    match = _LENGTH.fullmatch(trimmed) if 0 < len(trimmed) <= LONGEST_TEXT else None
    if match is None:
        raise UsageFault(f'"{shown(text)}" is not a length', do=ACCEPTED)
    word = match["unit"]
    return _number(match, text), None if word is None else _UNIT_WORDS[word.lower()]


def inches_of(value: Fraction, unit: str, typed: str) -> Fraction:
    """`value` of a unit ("in", "yd", "cm", "mm", "m") in inches. Raises UsageFault outside 0 to 100 m."""
    inches = value * _INCHES[unit]
    if inches <= 0:
        raise UsageFault(f'"{shown(typed)}" is nothing', do=ACCEPTED)
    if inches > LONGEST:
        raise UsageFault(f'"{shown(typed)}" is over 100 m', do=ACCEPTED)
    return inches


def _number(match: re.Match[str], text: str) -> Fraction:
    if match["decimal"] is not None:
        whole, mark, places = re.split(r"([.,])", match["decimal"])
        if mark == "," and len(places) == 3:
            raise UsageFault(
                f'"{shown(text)}" can be read in two ways',
                do="Write a decimal point (1.5), or leave out the comma between thousands",
            )
        return Fraction(int(whole + places), 10 ** len(places))
    if match["top"] is not None:
        return int(match["whole"] or 0) + _fraction(match, text)
    if match["vulgar"] is not None:
        return int(match["whole_before"] or 0) + _VULGAR[match["vulgar"]]
    return Fraction(int(match["plain"]))


def _fraction(match: re.Match[str], text: str) -> Fraction:
    top, bottom = int(match["top"]), int(match["bottom"])
    if not 2 <= bottom <= 64 or top < 1:
        raise UsageFault(f'"{shown(text)}" has no fraction between 1/64 and 63/64', do=ACCEPTED)
    if top >= bottom and (match["whole"] is not None or top > 9):
        # 21/2 is ten and a half, but whoever types it most likely missed the space of 2 1/2.
        raise UsageFault(f'"{shown(text)}" can be read in two ways', do="Set the whole apart, like 10 1/2")
    return Fraction(top, bottom)


def to_ticks(inches: Fraction) -> int:
    """Whole ticks, rounded up, so that a piece typed 8.1 in still gives three strips of 2.7 in."""
    return math.ceil(inches * TICKS_PER_INCH)


def to_inches(ticks: int) -> Fraction:
    """Ticks in exact inches."""
    return Fraction(ticks, TICKS_PER_INCH)


def exact_text(ticks: int) -> str:
    """Text that `read_length` and `to_ticks` turn back into the same ticks (1 tick to 100 m).

    Inches and 64ths where they are exact, else hundredths of a centimetre where those are, else decimal
    inches cut to the fewest places that come back alike, at most 5. Never over 24 characters.
    """
    if ticks % TICKS_PER_64TH == 0:
        return f"{mixed(to_inches(ticks))} in"
    if ticks % TICKS_PER_TENTH_MM == 0:
        return f"{_decimal(ticks // TICKS_PER_TENTH_MM, 2)} cm"
    for places in range(1, 6):
        cut = math.floor(to_inches(ticks) * 10**places)
        if to_ticks(Fraction(cut, 10**places)) == ticks:
            break
    return f"{_decimal(cut, places)} in"


def _decimal(units: int, places: int) -> str:
    """`units` of 10**-places as a decimal without trailing zeros."""
    whole, rest = divmod(units, 10**places)
    digits = f"{rest:0{places}d}".rstrip("0")
    return f"{whole}.{digits}" if digits else str(whole)


def mixed(value: Fraction) -> str:
    """A fraction as a whole number and a proper fraction: `11 3/4`, `3/8`, `2`."""
    sign = "-" if value < 0 else ""
    whole, rest = divmod(abs(value), 1)
    if rest == 0:
        return f"{sign}{whole}"
    return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"


def show_inches(inches: Fraction, finest: int = 8) -> str:
    """Inches as a maker reads them, to the nearest 1/`finest` (8 or 64): `11 3/4`."""
    return mixed(Fraction(math.floor(inches * finest + Fraction(1, 2)), finest))


def show_yards(yards: Fraction) -> str:
    """Yards as a shop cuts them: `1 3/8`. Thirds stay thirds; what no shop cuts goes to the nearest 1/8."""
    return mixed(yards) if yards.denominator in (1, 2, 3, 4, 8) else show_inches(yards, 8)


def show_cm(inches: Fraction) -> str:
    """Inches given in centimetres, to the nearest millimetre: `29.8`."""
    tenths = math.floor(abs(inches) * Fraction(254, 10) + Fraction(1, 2))
    return ("-" if inches < 0 and tenths else "") + _decimal(tenths, 1)


def show_length(inches: Fraction, units: str = "in") -> str:
    """A length with its unit in the maker's units: `11 3/4 in` or `29.8 cm`."""
    return f"{show_cm(inches)} cm" if units == "cm" else f"{show_inches(inches)} in"


def show_ticks(ticks: int, units: str = "in") -> str:
    """A stored size with its unit in the maker's units, to the nearest 1/64 in or millimetre: `13 1/2 in`."""
    inches = to_inches(ticks)
    return f"{show_cm(inches)} cm" if units == "cm" else f"{show_inches(inches, 64)} in"


def show_hundredths(inches: float, units: str = "in") -> str:
    """A measure that is no usual fraction, with its unit, always to the hundredth: `3.54 in`, `8.98 cm`."""
    return f"{inches * 2.54:.2f} cm" if units == "cm" else f"{inches:.2f} in"


def show_typed(inches: Fraction, units: str = "in") -> str:
    """A length a maker typed, with its unit, to the hundredth where it is no usual fraction: `2 1/4 in`, `2.7 in`."""
    if units == "cm":
        return f"{_decimal(math.floor(inches * 254 + Fraction(1, 2)), 2)} cm"
    if inches.denominator in (1, 2, 4, 8, 16, 32, 64):
        return f"{mixed(inches)} in"
    return f"{_decimal(math.floor(inches * 100 + Fraction(1, 2)), 2)} in"


def up_to(value: Fraction, step: Fraction) -> Fraction:
    """The least multiple of `step` that is not under `value`."""
    return math.ceil(value / step) * step


def down_to(value: Fraction, step: Fraction) -> Fraction:
    """The greatest multiple of `step` that is not over `value`."""
    return math.floor(value / step) * step


def yards_up(inches: Fraction) -> Fraction:
    """Yards, up to the next 1/8 yd: what a shop has to cut for so many inches."""
    return up_to(inches / INCHES_PER_YARD, Fraction(1, 8))


def cm_up(inches: Fraction) -> int:
    """Centimetres, up to the next 10 cm."""
    return math.ceil(inches * Fraction(254, 1000)) * 10
