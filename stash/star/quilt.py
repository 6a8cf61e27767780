"""The quilt round a star: binding, backing, batting, and what a maker wants warned about."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from stash.lengths import INCHES_PER_YARD, show_hundredths, show_typed, yards_up
from stash.model import Star
from stash.star import yields
from stash.star.beds import QuiltSize, past_bed, quilt_size
from stash.star.surd import Surd

BINDING_STRIP = Fraction(5, 2)  # cut width, for a double-fold binding (common practice, no source)
BINDING_OVER = 10  # inches, for the corners and the join
MARGIN = 4  # inches of backing and batting past the quilt at each side (common practice, no source)
# Batting as sold, inches. Source: a published table, named in the tests.
BATTING = ((45, 60), (72, 90), (81, 96), (90, 108), (120, 120))
# Spare inches under which re-trueing the cut edge may cost the last segment (common practice, no source).
TIGHT = Fraction(1, 2)
CRIB_QUILT = (40, 56)
SLEEP_CAUTION = (
    "A quilt of this size is for a wall or for watched floor play: "
    "nothing soft in a sleep space in a child's first year."
)


@dataclass(frozen=True, slots=True)
class Quilt:
    """A quilt's finished size in inches and what goes round and behind it. Yards are up to 1/8 yd.

    `panels` widths of backing cloth are joined; `batting` is the size as sold that holds quilt and margin.
    """

    size: QuiltSize
    binding_strips: int
    binding_yards: Fraction
    panels: int
    backing_yards: Fraction
    batting: str


def quilt(star: Star) -> Quilt:
    """Binding, backing and batting of a star with no stash looked at; both 4 in larger at each side."""
    size = quilt_size(star)
    strips = binding_strips(star, star.binding_width)
    width, length = size.width + 2 * MARGIN, size.length + 2 * MARGIN
    panels, side = backing_panels(star, star.backing_width)
    backing = _backing_yards(panels, side)
    return Quilt(size, strips, yards_up(strips * BINDING_STRIP), panels, backing, _batting(width, length))


def binding_strips(star: Star, width: Fraction) -> int:
    """Strips of binding from cloth `width` inches usable: ceil((perimeter + 10) / width).

    Source: published patterns whose binding, and backing, it gives; named in the tests.
    """
    size = quilt_size(star)
    perimeter = (size.width + size.length) * 2
    return ((perimeter + BINDING_OVER) * (1 / width)).ceil()


def backing_panels(star: Star, width: Fraction) -> tuple[int, Surd]:
    """Panels of backing from cloth `width` inches usable, and how long each is in inches: in whichever direction
    takes fewer yards (as they are sold), then fewer panels; the seams of joined panels are allowed for."""
    size = quilt_size(star)
    sides = size.width + 2 * MARGIN, size.length + 2 * MARGIN

    def panels(side: Surd) -> int:
        seams = 2 * star.seam
        return max(1, ((side - seams) * (1 / (width - seams))).ceil())

    ways = [(panels(sides[0]), sides[1]), (panels(sides[1]), sides[0])]
    return min(ways, key=lambda way: (_backing_yards(*way), way[0]))


def _backing_yards(panels: int, length: Surd) -> Fraction:
    """Yards of `panels` widths of cloth, each `length` inches, up to the next 1/8 yd."""
    return (length * Fraction(panels, INCHES_PER_YARD)).up_to(Fraction(1, 8))


def _batting(width: Surd, length: Surd) -> str:
    for short, long in BATTING:
        if (width <= short and length <= long) or (width <= long and length <= short):
            return f"{short} x {long}"
    return f"over {BATTING[-1][0]} x {BATTING[-1][1]}: join two"


def warnings(star: Star) -> tuple[str, ...]:
    """What to say about this star, in sentences. Raises UsageFault when its segments cannot be cut at all."""
    found = []
    spare = yields.spare_on_strip(star)
    strip, width = show_typed(star.strip, star.units), show_typed(star.width, star.units)
    if not yields.runs_per_strip(star, yields.SEGMENTS):
        count, sewn = yields.segments_per_strip(star), yields.sewn_on_paper(star)
        found.append(
            f"A strip of {strip} gives {count} segments at {width}, not eight: the sets are sewn {sewn}, "
            "which takes further strips."
        )
    elif spare < TIGHT:
        found.append(
            f"Eight segments leave {show_hundredths(spare, star.units)} of a strip of {strip} at {width}: "
            "tight, as re-trueing the edge takes up to 1/8 in each time."
        )
    size = quilt_size(star)
    if past_bed(star):
        found.append(f"The star and its borders are larger than a {star.bed} bed with that drop asks for.")
    if star.bed == "crib" or _within(size, *CRIB_QUILT):
        found.append(SLEEP_CAUTION)
    return tuple(found)


def _within(size: QuiltSize, short: int, long: int) -> bool:
    """Whether the quilt is under `short` x `long`, whichever way it lies."""
    width, length = size.width, size.length
    return (width < short and length < long) or (width < long and length < short)
