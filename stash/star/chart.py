"""The chart of a star: its rows and their letters, the repeat, and the strip sets that are sewn for it.

Rows are numbered from 1 at the star's centre to 2n - 1 at the tip; each row is one fabric, each fabric a
letter.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from string import ascii_uppercase

from stash.errors import UsageFault
from stash.lengths import mixed, read_length, show_typed, shown
from stash.model import Star
from stash.star.beds import BEDS
from stash.wording import counted

GRIDS = range(2, 14)
NARROWEST, WIDEST = Fraction(1), Fraction(9, 2)  # strip widths, inches
WIDEST_SEAM = Fraction(1, 2)
CLOTH = (Fraction(4), Fraction(130))  # usable widths that are believed, inches
WIDEST_BORDER = Fraction(60)


@dataclass(frozen=True, slots=True)
class Row:
    """Row `row` of a large diamond: `small_diamonds` of the fabric at `letter`."""

    row: int
    letter: str
    small_diamonds: int


@dataclass(frozen=True, slots=True)
class StripSet:
    """Strip set `number` (from 1): its letters in sewing order and the rows they belong to.

    `same_as` is the lowest set sewn just alike, on the higher set only and None for a set that is its own
    reverse; `turned` says that it is that set turned end for end.
    """

    number: int
    letters: str
    rows: tuple[int, ...]
    same_as: int | None = None
    turned: bool = False


def make_order(text: str, grid: int) -> str:
    """The letters of all rows, centre to tip.

    text -- `none` (every row its own fabric), `mirror` (A .. n-th .. A), or the letters themselves; any case.
    Raises UsageFault that names the number of letters wanted, or the letter that comes too early.
    """
    check_grid(grid)
    length = 2 * grid - 1
    word = "".join(text.split())
    if word.lower() == "none":
        return ascii_uppercase[:length]
    if word.lower() == "mirror":
        return ascii_uppercase[:grid] + ascii_uppercase[: grid - 1][::-1]
    order = word.upper() if word.isascii() else word
    wanted = f"Write {length} letters from the centre to the tip, or none, or mirror"
    if not order or any(letter not in ascii_uppercase for letter in order):
        raise UsageFault(f'"{shown(text, 40)}" is no order of letters', do=wanted)
    if len(order) != length:
        given = counted(len(order), "letter")
        raise UsageFault(f"A {grid} x {grid} star has {length} rows, and {given} given", do=wanted)
    _check_first_appearances(order)
    return order


def _check_first_appearances(order: str) -> None:
    """Raise UsageFault unless new letters come as A, B, C ... with no gap."""
    used = ""
    for row, letter in enumerate(order, start=1):
        if letter in used:
            continue
        due = ascii_uppercase[len(used)]
        if letter != due:
            raise UsageFault(
                f"Row {row} brings in {letter} where {due} is next",
                do="Letter the fabrics A, B, C ... in the order in which they first appear, from the centre",
            )
        used += letter


def read_stagger(text: str, *, units: str = "in") -> Fraction | None:
    """The stagger as typed: `exact` is None, `level` or 0 is none at all, else a length.

    Raises UsageFault as `read_length` does.
    """
    word = text.strip().lower()
    if word == "exact":
        return None
    if word in ("level", "0"):
        return Fraction(0)
    return read_length(text, units=units)


def bed_name(text: str) -> str:
    """A bed's name as the table of mattresses has it. Raises UsageFault listing the names."""
    name = " ".join(text[:60].lower().replace("-", " ").replace("_", " ").split())
    if name not in BEDS:
        raise _unknown_bed(text)
    return name


def _unknown_bed(text: str) -> UsageFault:
    return UsageFault(f'"{shown(text)}" is no bed that is known here', do=f"Use one of {', '.join(BEDS)}")


def check_star(star: Star) -> Star:
    """Give the star back as it is, or raise UsageFault for the first measure that no star can have."""
    check_grid(star.grid)
    _within("strip width", star.strip, NARROWEST, WIDEST)
    _check_seam(star)
    _within("usable width", star.width, *CLOTH)
    _within("binding width", star.binding_width, *CLOTH)
    _within("backing width", star.backing_width, *CLOTH)
    if star.stagger is not None:
        _within("stagger", star.stagger, Fraction(0), 2 * star.strip)
    for border in star.borders:
        if not 0 < border <= WIDEST_BORDER:
            raise UsageFault(
                f"A border of {show_typed(border)} cannot be", do=f"Use over 0 and up to {WIDEST_BORDER} in"
            )
    _check_bed(star)
    if star.units not in ("in", "cm"):
        raise UsageFault(f'"{shown(star.units)}" is no unit for a star', do="Use in or cm")
    if make_order(star.order, star.grid) != star.order:
        raise UsageFault(f'"{shown(star.order, 40)}" is not spelled out', do="Give the letters of all rows")
    return star


def check_grid(grid: int) -> None:
    """Raise UsageFault for a grid that no star here has."""
    if grid not in GRIDS:
        raise UsageFault(f"A grid of {grid} cannot be", do=f"Use {GRIDS[0]} to {GRIDS[-1]}")


def _within(what: str, value: Fraction, least: Fraction, most: Fraction) -> None:
    if not least <= value <= most:
        raise UsageFault(
            f"A {what} of {show_typed(value)} cannot be", do=f"Use {mixed(least)} to {mixed(most)} in"
        )


def _check_seam(star: Star) -> None:
    if not 0 < star.seam <= WIDEST_SEAM or star.finished_strip <= 0:
        raise UsageFault(
            f"A seam of {show_typed(star.seam)} cannot be with strips of {show_typed(star.strip)}",
            do=f"Use over 0, up to {WIDEST_SEAM} in and under half the strip width",
        )


def _check_bed(star: Star) -> None:
    if star.bed is not None and star.bed not in BEDS:
        raise _unknown_bed(star.bed)
    if star.drop is not None:
        if star.bed is None:
            raise UsageFault("A drop is given and no bed", do="Name the bed too")
        _within("drop", star.drop, Fraction(1), Fraction(40))


def row_cells(grid: int, row: int) -> int:
    """Small diamonds of row `row` in one large diamond: min(r, 2n - r)."""
    return min(row, 2 * grid - row)


def rows(star: Star) -> tuple[Row, ...]:
    """All rows, centre to tip."""
    return tuple(
        Row(row, letter, row_cells(star.grid, row)) for row, letter in enumerate(star.order, start=1)
    )


def cells(star: Star, letter: str) -> int:
    """Small diamonds at `letter` in one large diamond (the star has eight times as many)."""
    return sum(row.small_diamonds for row in rows(star) if row.letter == letter)


def strip_sets(star: Star) -> tuple[StripSet, ...]:
    """The n strip sets: set i takes rows i .. i + n - 1 in order.

    A set may be turned end for end, never flipped over, so it is the same as a lower one whose letters read
    alike forwards or backwards.
    """
    found: list[StripSet] = []
    for number in range(1, star.grid + 1):
        numbers = tuple(range(number, number + star.grid))
        letters = "".join(star.order[row - 1] for row in numbers)
        twin = None if letters == letters[::-1] else _twin(letters, found)
        turned = twin is not None and twin.letters != letters
        found.append(StripSet(number, letters, numbers, twin.number if twin else None, turned))
    return tuple(found)


def _twin(letters: str, lower: list[StripSet]) -> StripSet | None:
    return next((one for one in lower if letters in (one.letters, one.letters[::-1])), None)
