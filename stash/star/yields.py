"""What strips yield: segments from a lane, runs on a strip, strips of a letter, yards to buy.

A *lane* is a strip's place on the cloth. A *run* is a number of segments cut in one go from a strip set; it
needs w + e before its first segment (the slanted end, and what a stagger other than the exact one loses) and
w * sqrt2 for each segment. All tests are on whole numbers: 3 1/4 in strips at 40 in miss the eighth segment
by 0.02 in, and no rounding may turn that into a fit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from stash.errors import UsageFault
from stash.lengths import TICKS_PER_INCH, show_typed, yards_up
from stash.model import Sewn, Star
from stash.star import chart
from stash.star.surd import SQRT2

SEGMENTS = 8  # one of each strip set for each large diamond
STRAIGHTEN = Fraction(1)  # a shop's cut of yardage, inches

RUNS: dict[Sewn, tuple[int, ...]] = {
    Sewn.WHOLE: (8,),
    Sewn.SEVEN_ONE: (7, 1),
    Sewn.HALVED: (4, 4),
    Sewn.QUARTERED: (2, 2, 2, 2),
}


@dataclass(frozen=True, slots=True)
class RunGauge:
    """The run test on whole numbers for one star.

    A lane of l ticks holds R runs with G segments together when x = l - R (w + e) >= 0 and 2 (G w)^2 <= x^2.
    `scale` is the common denominator of w and e in ticks; `strip` is w and `head` is w + e in 1/scale ticks,
    so widths that are no whole ticks (2.7 in) stay exact.
    """

    scale: int
    strip: int
    head: int

    def fits(self, lane: int, runs: int, segments: int) -> bool:
        """Whether a lane of `lane` ticks holds `runs` runs with `segments` segments together."""
        return 0 <= segments <= self.most(lane, runs)

    def most(self, lane: int, runs: int) -> int:
        """The most segments that `runs` runs give together on a lane of `lane` ticks; -1 when the runs do not
        fit at all, 0 for no run."""
        if runs < 1:
            return 0
        left = lane * self.scale - runs * self.head
        if left < 0:
            return -1
        return math.isqrt(left * left // (2 * self.strip * self.strip))


def run_gauge(star: Star) -> RunGauge:
    """The gauge for this star's strip width, seam, stagger and grid."""
    strip = star.strip * TICKS_PER_INCH
    slant = star.slant * TICKS_PER_INCH
    scale = math.lcm(strip.denominator, slant.denominator)
    return RunGauge(scale, int(strip * scale), int((strip + slant) * scale))


def most_on_paper(star: Star, lane: Fraction, runs: int) -> int:
    """`RunGauge.most` for a lane given in exact inches, such as a usable width that is no whole ticks."""
    left = lane - runs * (star.strip + star.slant)
    return -1 if left < 0 else math.isqrt(math.floor((left / star.strip) ** 2 / 2))


def length_for(star: Star, segments: int) -> float:
    """L(N) = w + N w sqrt2 + (n - 1) |stagger - f| in inches: the strip needed for a run of N segments.

    With a stagger over the exact one the formula is up to two seam allowances too long: safe, never short.
    """
    return float(star.strip + star.slant) + segments * float(star.strip) * SQRT2


def segments_per_strip(star: Star) -> int:
    """Segments in one run on a strip of the star's usable width; 0 where not even the slanted end fits."""
    return max(0, most_on_paper(star, star.width, 1))


def spare_on_strip(star: Star) -> float:
    """Usable width less L(8), inches; under 0 when eight do not fit."""
    return float(star.width) - length_for(star, SEGMENTS)


def runs_per_strip(star: Star, segments: int) -> int:
    """How many runs of `segments` each a strip of the star's usable width holds, exactly."""
    runs = 0
    while most_on_paper(star, star.width, runs + 1) >= segments * (runs + 1):
        runs += 1
    return runs


def _strips(star: Star, sewn: Sewn, cells: int) -> int | None:
    """Full strips that `cells` small diamonds a large diamond take when sewn so; None if they cannot be.

    The runs of 7 and of 1 never share a strip here: this is asked only where a run of eight does not fit, and
    7 + 1 needs more length than that.
    """
    total = 0
    for length in sorted(set(RUNS[sewn])):
        fit = runs_per_strip(star, length)
        if fit == 0:
            return None
        total += math.ceil(Fraction(cells * RUNS[sewn].count(length), fit))
    return total


def _in_star(star: Star, sewn: Sewn) -> int | None:
    each = [_strips(star, sewn, chart.cells(star, letter)) for letter in star.letters]
    return None if None in each else sum(strips for strips in each if strips is not None)


def sewn_on_paper(star: Star) -> Sewn:
    """How the star is sewn from full strips with no stash looked at.

    Whole where a strip holds a run of eight; else 7 + 1 or halved (quartered too with small runs), whichever
    needs the fewest strips for the star, the first of these where they are alike.
    Raises UsageFault when no way is possible.
    """
    if runs_per_strip(star, SEGMENTS):
        return Sewn.WHOLE
    ways = [Sewn.SEVEN_ONE, Sewn.HALVED] + ([Sewn.QUARTERED] if star.small_runs else [])
    counts = [(count, place) for place, way in enumerate(ways) if (count := _in_star(star, way)) is not None]
    if not counts:
        raise UsageFault(
            f"A strip of {show_typed(star.strip, star.units)} gives {segments_per_strip(star)} segments "
            f"on {show_typed(star.width, star.units)} of cloth, and no way to sew the eight is left",
            do="Take a narrower strip, wider cloth or the exact stagger"
            + (", or allow small runs" if not star.small_runs and runs_per_strip(star, 2) else ""),
        )
    return ways[min(counts)[1]]


def strips_of_letter(star: Star, letter: str) -> int:
    """Full strips of the star's usable width that a letter takes, with no stash looked at.

    Raises UsageFault as `sewn_on_paper` does.
    """
    strips = _strips(star, sewn_on_paper(star), chart.cells(star, letter))
    assert strips is not None  # the way was found possible
    return strips


@dataclass(frozen=True, slots=True)
class LetterYield:
    """What a letter takes on paper: `inches` of cloth exact, `yards` up to 1/8 yd, `buy` after straightening.

    Both are in yards.
    """

    letter: str
    rows: tuple[int, ...]
    cells: int
    strips: int
    inches: Fraction
    yards: Fraction
    buy: Fraction


def letter_yields(star: Star) -> tuple[LetterYield, ...]:
    """All letters, A first. Raises UsageFault as `sewn_on_paper` does."""
    sewn = sewn_on_paper(star)
    found = []
    for letter in star.letters:
        cells = chart.cells(star, letter)
        strips = _strips(star, sewn, cells)
        assert strips is not None  # the way was found possible
        inches = strips * star.strip
        numbers = tuple(row.row for row in chart.rows(star) if row.letter == letter)
        found.append(
            LetterYield(
                letter, numbers, cells, strips, inches, yards_up(inches), yards_up(inches + STRAIGHTEN)
            )
        )
    return tuple(found)
