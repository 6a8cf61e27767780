"""The large diamond as a lettered chart: each row in its fabric's colour, its letter readable on it."""

from __future__ import annotations

from typing import NamedTuple

from rich.segment import Segment
from textual.strip import Strip

from tui.widgets.look import StarLook
from tui.widgets.star_widget import StarWidget


class ChartCell(NamedTuple):
    """One small diamond on the chart: its row and letter, and the cells it takes."""

    row: int
    letter: str
    x: int
    y: int
    width: int
    height: int


class ChartLayout(NamedTuple):
    """`leaning` is the chart as segments, one a line from the centre side to the tip side; else it is a diamond."""

    cells: tuple[ChartCell, ...]
    columns: int
    lines: int
    leaning: bool


def chart_layout(order: str, columns: int, lines: int) -> ChartLayout:
    """The chart of an order of 2n - 1 letters, as large and as true as it goes in `columns` x `lines` cells.

    The centre of the star (row 1) is at the top, the tip at the bottom. Where the diamond is too tall, its n
    segments stand one a line, each set off by one row as strip sets are: segment i holds rows i .. i + n - 1.
    """
    grid = (len(order) + 1) // 2
    for pitch, height in ((8, 4), (6, 3), (4, 2), (4, 1), (2, 1)):
        if grid * pitch <= columns and (2 * grid - 1) * height <= lines:
            return _diamond(order, grid, pitch, height)
    pitch = 3 if 4 * grid <= columns else 2
    return _segments(order, grid, pitch, lean=1 if grid * pitch + grid - 1 <= columns else 0)


def _diamond(order: str, grid: int, pitch: int, height: int) -> ChartLayout:
    cells = []
    for row, letter in enumerate(order, 1):
        count = min(row, 2 * grid - row)
        left = (grid - count) * pitch // 2
        for place in range(count):
            width = pitch - 1 if pitch > 2 else pitch
            cells.append(ChartCell(row, letter, left + place * pitch, (row - 1) * height, width, height))
    return ChartLayout(tuple(cells), grid * pitch, (2 * grid - 1) * height, False)


def _segments(order: str, grid: int, pitch: int, lean: int) -> ChartLayout:
    cells = tuple(
        ChartCell(line + place + 1, order[line + place], line * lean + place * pitch, line, pitch, 1)
        for line in range(grid)
        for place in range(grid)
    )
    return ChartLayout(cells, grid * pitch + (grid - 1) * lean, grid, True)


def cell_text(cell: ChartCell, picked: bool) -> str:
    """The label of a cell; the picked row stands in brackets, so that it does not rest on colour."""
    if cell.width >= 3:
        label = f"[{cell.letter}]" if picked else f" {cell.letter} "
    else:
        label = f"{cell.letter}<" if picked else f"{cell.letter} "
    return label.center(cell.width)


class Chart(StarWidget):
    """The lettered chart of one large diamond."""

    DEFAULT_CSS = "Chart { width: 1fr; height: 1fr; }"

    def layout_now(self) -> ChartLayout | None:
        if self.look is None:
            return None
        return chart_layout(self.look.order, self.size.width, self.size.height)

    def _origin(self, layout: ChartLayout) -> tuple[int, int]:
        left = max(0, (self.size.width - layout.columns) // 2)
        return left, max(0, (self.size.height - layout.lines) // 2)

    def render_line(self, y: int) -> Strip:
        layout = self.layout_now()
        if layout is None or self.look is None:
            return Strip.blank(self.size.width, self.rich_style)
        left, top = self._origin(layout)
        cells = [cell for cell in layout.cells if cell.y <= y - top < cell.y + cell.height]
        segments: list[Segment] = []
        at = 0
        for cell in cells:
            if cell.x > at:
                segments.append(Segment(" " * (cell.x - at), self.rich_style))
            labelled = y - top == cell.y + (cell.height - 1) // 2
            segments.append(self._cell_segment(self.look, cell, labelled))
            at = cell.x + cell.width
        return self.centred(segments, at, left)

    def _cell_segment(self, look: StarLook, cell: ChartCell, labelled: bool) -> Segment:
        picked = cell.letter == look.picked
        text = cell_text(cell, picked) if labelled else " " * cell.width
        return self.paint(text, look.chip(cell.row), bold=picked)

    def letter_at(self, x: int, y: int) -> str | None:
        layout = self.layout_now()
        if layout is None:
            return None
        left, top = self._origin(layout)
        for cell in layout.cells:
            if cell.x <= x - left < cell.x + cell.width and cell.y <= y - top < cell.y + cell.height:
                return cell.letter
        return None
