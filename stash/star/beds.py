"""The quilt's size: the star's square, its borders, and the bed it is for."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from stash.lengths import show_length
from stash.model import Star
from stash.star.geometry import finished
from stash.star.surd import Surd

# Mattresses, inches across by long. Source: a published table of standard sizes, named in the tests.
BEDS: dict[str, tuple[int, int]] = {
    "crib": (28, 52),
    "twin": (39, 75),
    "full": (54, 75),
    "queen": (60, 80),
    "king": (76, 80),
    "california king": (72, 84),
}
PILLOW_TUCK = 10  # what the length grows by where the quilt is tucked under the pillows; said, not added

NOTHING = Surd()


@dataclass(frozen=True, slots=True)
class Border:
    """Finished widths of one border in inches: at the two sides, and at the top and the foot."""

    sides: Surd
    ends: Surd


@dataclass(frozen=True, slots=True)
class QuiltSize:
    """Finished width and length in inches, and the borders from the star outwards that make it so."""

    width: Surd
    length: Surd
    borders: tuple[Border, ...]


@dataclass(frozen=True, slots=True)
class BedFit:
    """A quilt on a bed: inches past the mattress at each side and at the foot (under 0: short of it)."""

    name: str
    mattress: tuple[int, int]
    sides: Surd
    foot: Surd
    text: str


def quilt_size(star: Star) -> QuiltSize:
    """The finished quilt. A bed with a drop adds the border that brings the quilt to mattress + 2 drops by
    mattress + 1 drop; where star and borders are past that already, nothing is added.
    """
    width = length = finished(star).square
    borders = []
    for given in star.borders:
        borders.append(Border(Surd(given), Surd(given)))
        width, length = width + 2 * given, length + 2 * given
    wanted = wanted_size(star)
    if wanted is not None:
        sides, ends = _half_of_rest(wanted[0], width), _half_of_rest(wanted[1], length)
        if sides > NOTHING or ends > NOTHING:
            borders.append(Border(sides, ends))
            width, length = width + sides * 2, length + ends * 2
    return QuiltSize(width, length, tuple(borders))


def widest_bed(star: Star) -> str | None:
    """The widest bed whose mattress the star's own square spans from side to side; None where it spans none."""
    square = finished(star).square
    spanned = [(width, name) for name, (width, _) in BEDS.items() if not square < Surd(Fraction(width))]
    return max(spanned)[1] if spanned else None


def wanted_size(star: Star) -> tuple[Fraction, Fraction] | None:
    """Width and length in inches that bed and drop ask for: mattress + 2 drops, mattress + 1 drop.

    Source: a published rule, named in the tests.
    """
    if star.bed is None or star.drop is None:
        return None
    across, along = BEDS[star.bed]
    return across + 2 * star.drop, along + star.drop


def _half_of_rest(wanted: Fraction, there: Surd) -> Surd:
    rest = (there - wanted) * Fraction(-1, 2)
    return rest if rest > NOTHING else NOTHING


def past_bed(star: Star) -> bool:
    """Whether star and borders are larger than bed and drop ask for, one way or the other."""
    wanted, size = wanted_size(star), quilt_size(star)
    return wanted is not None and (Surd(wanted[0]) < size.width or Surd(wanted[1]) < size.length)


def bed_fit(star: Star) -> BedFit | None:
    """The quilt beside the bed that the star names; None where it names none."""
    if star.bed is None:
        return None
    size, (across, along) = quilt_size(star), BEDS[star.bed]
    sides = (size.width - across) * Fraction(1, 2)
    foot = size.length - along
    text = (
        f"on a {star.bed} mattress ({across} x {along}): {_past(sides, star.units)} at each side, "
        f"{_past(foot, star.units)} at the foot; a pillow tuck wants {PILLOW_TUCK} in more of length"
    )
    return BedFit(star.bed, (across, along), sides, foot, text)


def _past(past: Surd, units: str) -> str:
    shown = show_length(abs(past.down_to(Fraction(1, 64))), units)
    return f"{shown} short" if past < NOTHING else f"{shown} over"
