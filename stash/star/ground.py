"""The ground laid out on its cloth: setting pieces at their reserve sizes, and borders, in shelves.

A shelf is a band of the cloth from selvage to selvage. The triangle square has squares beside it where they fit,
the other squares lie side by side. Lengths are before straightening.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction

from stash.lengths import show_length
from stash.model import Star
from stash.star.beds import NOTHING, quilt_size
from stash.star.geometry import EIGHTH, KEPT_OVER, corner, finished, triangle_square
from stash.star.surd import Surd
from stash.wording import counted

CORNERS = 4


@dataclass(frozen=True, slots=True)
class Shelf:
    """A band of the cloth, `height` inches along the selvage, and what lies in it."""

    height: Fraction
    what: str


@dataclass(frozen=True, slots=True)
class GroundLayout:
    """The ground on cloth of one width. `length` in inches at reserve sizes, before straightening: the shelves.

    `fits` is False when a piece is wider than the cloth, so that widths have to be joined for it (`joined` of
    them; each shelf then stands there once for each width); `note` says so, and when the triangles are cut
    singly. `borders` is "lengthwise", "across" or "" (none).
    """

    width: Fraction
    shelves: tuple[Shelf, ...]
    length: Fraction
    fits: bool
    note: str = ""
    borders: str = ""
    joined: int = 1


@dataclass(frozen=True, slots=True)
class BorderStrip:
    """A border strip to cut, inches: `length` with something over, `width` with its seams."""

    length: Fraction
    width: Fraction


def ground_layout(star: Star, width: Fraction) -> GroundLayout:
    """The ground of a star on cloth to be bought, `width` inches usable: borders whichever way takes less of it."""
    return min(ground_layouts(star, width), key=lambda layout: layout.length)


def ground_layouts(star: Star, width: Fraction) -> list[GroundLayout]:
    """The layouts worth looking at on cloth `width` inches usable: borders lengthwise first, then across."""
    square, corner_side = triangle_square(star).reserve, corner(star).reserve
    joined = 1
    cloth = width
    while cloth < corner_side or cloth < square / 2:
        joined += 1
        cloth += width - 2 * star.seam
    note = _note(star, width, joined)
    return [
        GroundLayout(width, shelves * joined, joined * _height(shelves), joined == 1, note, way, joined)
        for way, shelves in _ways(star, cloth)
    ]


def _height(shelves: tuple[Shelf, ...]) -> Fraction:
    return sum((shelf.height for shelf in shelves), Fraction(0))


def _note(star: Star, width: Fraction, joined: int) -> str:
    square, side = triangle_square(star).reserve, corner(star).reserve
    cloth = show_length(width, star.units)
    if joined > 1:
        wide = side if width < side else square / 2
        return (
            f"a setting piece {show_length(wide, star.units)} wide is wider than the cloth of {cloth}: "
            f"join {joined} widths, or take wider cloth"
        )
    if width < square:
        return (
            f"the triangle square of {show_length(square, star.units)} is wider than the cloth of {cloth}: "
            "cut its four triangles singly, long side along the selvage"
        )
    return ""


def _ways(star: Star, cloth: Fraction) -> list[tuple[str, tuple[Shelf, ...]]]:
    """The layouts worth looking at, borders lengthwise first."""
    strips = border_strips(star)
    setting = _Setting.of(star)
    if not strips:
        return [("", tuple(setting.on(cloth)))]
    across = (*setting.on(cloth), *_across(strips, cloth, star))
    if max(strip.width for strip in strips) > cloth:
        return [("across", across)]
    return [("lengthwise", tuple(_lengthwise(setting, strips, cloth, star.units))), ("across", across)]


@dataclass(frozen=True, slots=True)
class _Setting:
    """Setting pieces still to place: the triangle square (or None) and a number of corner squares."""

    square: Fraction | None
    side: Fraction
    corners: int
    units: str

    @classmethod
    def of(cls, star: Star) -> _Setting:
        """All of a star's."""
        return cls(triangle_square(star).reserve, corner(star).reserve, CORNERS, star.units)

    def on(self, width: Fraction) -> list[Shelf]:
        """Shelves that hold all of it on cloth of this width (at least a corner and half a triangle square)."""
        if self.square is None or self.square <= width:
            return self.into(width, None)[0]
        long_side = show_length(self.square, self.units)
        shelf = Shelf(
            singles_length(self.square, width), f"four triangles cut singly, long side {long_side}, interlocked"
        )
        return [shelf, *replace(self, square=None).into(width, None)[0]]

    def into(self, width: Fraction, height: Fraction | None) -> tuple[list[Shelf], _Setting]:
        """Shelves that fit into a place of this width and height, and what is left to place."""
        shelves: list[Shelf] = []
        square, corners, free = self.square, self.corners, height
        if square is not None and square <= width and (free is None or square <= free):
            beside = min(corners, math.floor((width - square) / self.side))
            shelves.append(Shelf(square, self._square_text(square, beside)))
            free = None if free is None else free - square
            square, corners = None, corners - beside
        abreast = math.floor(width / self.side)
        while corners and abreast and (free is None or self.side <= free):
            count = min(corners, abreast)
            shelves.append(Shelf(self.side, self._corners_text(count)))
            free = None if free is None else free - self.side
            corners -= count
        return shelves, replace(self, square=square, corners=corners)

    def _square_text(self, square: Fraction, beside: int) -> str:
        text = f"triangle square {show_length(square, self.units)}"
        return f"{text}, {self._corners_text(beside)} beside it" if beside else text

    def _corners_text(self, count: int) -> str:
        return f"{counted(count, 'setting square')} {show_length(self.side, self.units)}"


def singles_length(square: Fraction, width: Fraction) -> Fraction:
    """Cloth in inches for the four triangles of a square cut singly, their long sides along the selvages.

    Triangles with their long side at one selvage and at the other alternate, each let in between its neighbours
    as far as the width allows: a step of T - W from one to the next, 3 T - W in all, for T/2 <= W <= T.
    (Derived: at height y two facing triangles take T - |y - y1| - |y - y2| of the width, at most T - |y1 - y2|.)
    """
    return 3 * square - width


def border_strips(star: Star) -> tuple[BorderStrip, ...]:
    """The border strips to cut, from the star outwards: the sides first, then top and foot over their ends."""
    size = quilt_size(star)
    strips: list[BorderStrip] = []
    width = length = finished(star).square
    for border in size.borders:
        strips += 2 * _strip(length, border.sides, star.seam)
        width = width + border.sides * 2
        strips += 2 * _strip(width, border.ends, star.seam)
        length = length + border.ends * 2
    return tuple(strips)


def _strip(length: Surd, finished_width: Surd, seam: Fraction) -> list[BorderStrip]:
    if finished_width <= NOTHING:
        return []
    cut = finished_width + 2 * seam
    width = cut.plain if cut.root == 0 else cut.up_to(EIGHTH)
    return [BorderStrip((length + 2 * seam).up_to(EIGHTH) + KEPT_OVER, width)]


def _lengthwise(
    setting: _Setting, strips: tuple[BorderStrip, ...], cloth: Fraction, units: str
) -> list[Shelf]:
    """Border strips side by side along the selvage, setting pieces beside them where they fit, then the rest."""
    shelves: list[Shelf] = []
    waiting = sorted(strips, key=lambda strip: (-strip.length, -strip.width))
    while waiting:
        height, free, left = waiting[0].length, cloth, []
        for strip in waiting:
            if strip.width <= free:
                free -= strip.width
            else:
                left.append(strip)
        inside, setting = setting.into(free, height)
        what = f"{len(waiting) - len(left)} border strips lengthwise, up to {show_length(height, units)}"
        shelves.append(Shelf(height, "; beside them ".join([what, *(shelf.what for shelf in inside)])))
        waiting = left
    return [*shelves, *setting.on(cloth)]


def _across(strips: tuple[BorderStrip, ...], cloth: Fraction, star: Star) -> list[Shelf]:
    """Border strips from selvage to selvage, those of one width joined end to end and then cut to length."""
    shelves = []
    for width in sorted({strip.width for strip in strips}, reverse=True):
        total = sum((strip.length for strip in strips if strip.width == width), Fraction(0))
        count = math.ceil((total - 2 * star.seam) / (cloth - 2 * star.seam))
        what = f"{count} border strips across, {show_length(width, star.units)} wide, joined"
        shelves.append(Shelf(count * width, what))
    return shelves
