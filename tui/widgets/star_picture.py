"""The picture of the star in half blocks: two pixels a cell, in colour or in the grey of the value."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from rich.segment import Segment
from rich.style import Style
from textual.reactive import reactive
from textual.strip import Strip

from tui.terminal_colours import NONE, colours_of, shown
from tui.widgets.chip import UNKNOWN
from tui.widgets.look import StarLook
from tui.widgets.star_pixels import Spots, is_odd_point, point_spots, row_of, star_spots, whole_star_fit
from tui.widgets.star_widget import StarWidget

HALF_BLOCK = "▀"
SHADES = " ░▒▓█"


class HalfCell(NamedTuple):
    """One character cell: the colours of its upper and its lower pixel, #rrggbb."""

    upper: str
    lower: str


def half_cells(spots: Spots, paint: Callable[[int, int, int], str]) -> list[list[HalfCell]]:
    """Pixels as lines of cells, two pixel rows a line. `paint` turns a spot at x, y into #rrggbb."""
    lines = []
    for y in range(0, len(spots) - 1, 2):
        upper, lower = spots[y], spots[y + 1]
        lines.append([HalfCell(paint(upper[x], x, y), paint(lower[x], x, y + 1)) for x in range(len(upper))])
    return lines


def shades(line: list[HalfCell], dark_theme: bool) -> str:
    """A line of grey cells in five shades, for terminals without colours; more ink is lighter on a dark theme."""
    ramp = SHADES if dark_theme else SHADES[::-1]
    codes = [(int(cell.upper[1:3], 16) + int(cell.lower[1:3], 16)) // 2 for cell in line]
    return "".join(ramp[code * len(ramp) // 256] for code in codes)


def look_paint(look: StarLook, in_grey: bool, behind: str) -> Callable[[int, int, int], str]:
    """The paint of a look. A row without a colour is chequered, so that it reads as unknown and not as grey; where the
    ground has none it is what lies `behind` the picture (#rrggbb), so that the star's outline is seen."""

    def paint(spot: int, x: int, y: int) -> str:
        row = row_of(spot)
        if row == 0 and look.ground is None:
            return behind
        chip = look.chip(row, is_odd_point(spot))
        return chip.paint(in_grey) if chip else UNKNOWN[(x + y) % 2]

    return paint


def picture_spots(grid: int, columns: int, lines: int, one_point: bool) -> Spots:
    """The pixels of the whole star or of one point, as large as they go."""
    if one_point:
        return point_spots(grid, columns, lines)
    return star_spots(grid, whole_star_fit(grid, columns, lines).pixels)


class StarPicture(StarWidget):
    """The whole star, or one point enlarged. `view` is "fit" (the whole star where it reads), "star" or "point"."""

    DEFAULT_CSS = "StarPicture { width: 1fr; height: 1fr; }"

    view: reactive[str] = reactive("fit")

    def __init__(self, *, counterpart: bool = False, id: str | None = None) -> None:
        super().__init__(id=id)
        self.counterpart = counterpart
        self._drawn: tuple[object, list[list[HalfCell]]] | None = None

    @property
    def grey_now(self) -> bool:
        """Whether it is in grey: a counterpart is where the others are in colour, and the other way round."""
        return self.in_grey != self.counterpart

    @property
    def one_point(self) -> bool:
        """Whether one point is drawn and not the whole star."""
        if self.view == "fit" and self.look is not None:
            return not whole_star_fit(self.look.grid, self.size.width, self.size.height).readable
        return self.view == "point"

    def _spots(self) -> Spots:
        if self.look is None:
            return ()
        return picture_spots(self.look.grid, self.size.width, self.size.height, self.one_point)

    def _cells(self, plain: bool = False) -> list[list[HalfCell]]:
        """The painted cells, kept until the look, the view or the size changes."""
        if self.look is None:
            return []
        grey = plain or self.grey_now
        behind = self.background_colors[1].rgb
        key = (self.look, grey, self.one_point, self.size, behind)
        if self._drawn is None or self._drawn[0] != key:
            paint = look_paint(self.look, grey, "#{:02x}{:02x}{:02x}".format(*behind))
            self._drawn = (key, half_cells(self._spots(), paint))
        return self._drawn[1]

    def _origin(self, cells: list[list[HalfCell]]) -> tuple[int, int]:
        """Left and upper margin that centre the picture."""
        width = len(cells[0]) if cells else 0
        return max(0, (self.size.width - width) // 2), max(0, (self.size.height - len(cells)) // 2)

    def render_line(self, y: int) -> Strip:
        colours = colours_of(self.app)
        plain = colours == NONE
        cells = self._cells(plain)
        left, top = self._origin(cells)
        if not 0 <= y - top < len(cells):
            return Strip.blank(self.size.width, self.rich_style)
        line = cells[y - top]
        if plain:
            text = Segment(shades(line, self.app.current_theme.dark), self.rich_style)
            return self.centred([text], len(line), left)
        return self.centred(block_segments(line, colours), len(line), left)

    def letter_at(self, x: int, y: int) -> str | None:
        if self.look is None:
            return None
        spots = self._spots()
        cells = self._cells()
        left, top = self._origin(cells)
        column, line = x - left, 2 * (y - top)
        if not (0 <= line < len(spots) and 0 <= column < len(spots[0])):
            return None
        row = row_of(spots[line][column]) or row_of(spots[line + 1][column])
        return self.look.order[row - 1] if row else None


def block_segments(line: Sequence[HalfCell], colours: str) -> list[Segment]:
    """A line of cells with equal neighbours joined, as a terminal of these `colours` shows them."""
    segments: list[Segment] = []
    start = 0
    for x in range(1, len(line) + 1):
        if x == len(line) or line[x] != line[start]:
            upper, lower = line[start]
            block = " " if upper == lower else HALF_BLOCK  # a plain ground leaves no seams between cells
            style = Style(color=shown(upper, colours), bgcolor=shown(lower, colours))
            segments.append(Segment(block * (x - start), style))
            start = x
    return segments
