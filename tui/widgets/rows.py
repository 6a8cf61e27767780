"""The rows of a star as a table: letter, fabric, value against target, strips needed and on hand, mark."""

from __future__ import annotations

from typing import ClassVar, NamedTuple

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip

from stash.model import Mark
from tui.widgets.look import LOCKED, SIGNS, UNCHECKED, RowLook
from tui.widgets.star_widget import StarWidget
from tui.widgets.value_bar import value_text

BAR = 13
WITH_BAR = 58
WITH_WORDS = 72
LONGEST_NAME = 30
MARK_STYLES = {
    Mark.COVERED: "rows--covered",
    Mark.TIGHT: "rows--tight",
    Mark.SHORT: "rows--short",
    Mark.UNMEASURED: "rows--unmeasured",
}


class Columns(NamedTuple):
    """Cells for the columns whose width depends on the table's; `bar` 0 leaves the value bar out."""

    name: int
    bar: int
    strips: int
    mark: int


def columns_for(width: int, most_strips: int = 9) -> Columns:
    """The columns of a table of `width` cells: letter, value and gaps take 14, the bar stands where it fits."""
    bar = BAR if width >= WITH_BAR else 0
    mark = 15 if width >= WITH_WORDS else 12 if bar else 10
    strips = 6 if most_strips < 10 else 8
    name = max(6, width - 14 - strips - mark - (bar + 1 if bar else 0))
    return Columns(min(name, LONGEST_NAME), bar, strips, mark)


def mark_text(row: RowLook, cells: int) -> str:
    """The mark as sign and word in so many cells; "about" or ~ stands beside one that rests on an estimated piece."""
    if row.mark is None:
        return UNCHECKED if row.fabrics else "–"
    sign = SIGNS[row.mark]
    if row.mark is Mark.SHORT:
        words = f"short {row.missing}"
    elif row.mark is Mark.UNMEASURED:
        words = "unmeasured" if cells >= 12 else "unmeas."
    else:
        words = str(row.mark)
    if row.about:
        return f"{sign} about {words}" if cells >= 15 else f"{sign}~{words}"
    return f"{sign} {words}"


def value_bar(value: float | None, target: float | None, cells: int) -> str:
    """Value (●) against target (│) on a scale from black to white; ◉ where both fall into one cell."""
    bar = ["·"] * cells
    at_target = _place(target, cells)
    at_value = _place(value, cells)
    if at_target is not None:
        bar[at_target] = "│"
    if at_value is not None:
        bar[at_value] = "◉" if at_value == at_target else "●"
    return "".join(bar)


def _place(value: float | None, cells: int) -> int | None:
    return None if value is None else min(cells - 1, max(0, int(value / 100 * cells)))


def difference_text(row: RowLook) -> str:
    """How much lighter (+) or darker (−) than the target, three cells."""
    off = row.off_target
    if off is None:
        return ""
    if off == 0:
        return "="
    return f"+{off}" if off > 0 else f"−{-off}"


class RowsTable(StarWidget):
    """One line a letter. It scrolls by itself so that the picked row is always in view."""

    DEFAULT_CSS = """
    RowsTable { width: 1fr; height: 1fr; min-height: 3; }
    RowsTable > .rows--head { color: $text-muted; }
    RowsTable > .rows--picked { background: $primary-muted; text-style: bold; }
    RowsTable > .rows--covered { color: $text-success; }
    RowsTable > .rows--tight { color: $text-warning; }
    RowsTable > .rows--short { color: $text-error; text-style: bold; }
    RowsTable > .rows--unmeasured { color: $text-warning; }
    """
    COMPONENT_CLASSES: ClassVar = {"rows--head", "rows--picked", *MARK_STYLES.values()}

    @property
    def first(self) -> int:
        """Which row stands on the first line under the head."""
        if self.look is None:
            return 0
        room = max(1, self.size.height - 1)
        letters = [row.letter for row in self.look.rows]
        at = letters.index(self.look.picked) if self.look.picked in letters else 0
        return max(0, min(at - room // 2, len(letters) - room)) if len(letters) > room else 0

    def render_line(self, y: int) -> Strip:
        if y == 0:
            return self._head()
        at = self.first + y - 1
        if self.look is None or at >= len(self.look.rows):
            return Strip.blank(self.size.width, self.rich_style)
        row = self.look.rows[at]
        picked = row.letter == self.look.picked
        base = self._style("rows--picked") if picked else self.rich_style
        strip = Strip(self._row_segments(row, base, picked))
        return strip.adjust_cell_length(self.size.width, base)

    def _columns(self) -> Columns:
        needed = [row.needed or 0 for row in self.look.rows] if self.look else []
        return columns_for(self.size.width, max(needed, default=0))

    def _style(self, name: str) -> Style:
        return self.get_component_rich_style(name)

    def _head(self) -> Strip:
        columns = self._columns()
        scale = "dark".ljust(columns.bar - 5) + "light " if columns.bar else ""
        title = f" row {_sized('fabric', columns.name)} value  {scale}{'strips':>{columns.strips}} mark"
        strip = Strip([Segment(title, self._style("rows--head"))])
        return strip.adjust_cell_length(self.size.width, self.rich_style)

    def _row_segments(self, row: RowLook, base: Style, picked: bool) -> list[Segment]:
        columns = self._columns()
        value = "?" if row.value is None else value_text(row.value, row.relative)
        strips = "" if row.needed is None else f"{'–' if row.on_hand is None else row.on_hand} of {row.needed}"
        bar = f"{value_bar(row.value, row.target, columns.bar)} " if columns.bar else ""
        mark_style = base + self._mark_style(row.mark) if row.mark else base
        return [
            Segment(LOCKED if row.locked else " ", base),
            self._letter(row, picked),
            Segment(f" {_sized(row.name, columns.name)}", base),
            Segment(f"{value:>3} "[:4] + f"{difference_text(row):<3} ", base),
            Segment(bar, base),
            Segment(f"{strips:>{columns.strips}} ", base),
            Segment(_sized(mark_text(row, columns.mark), columns.mark), mark_style),
        ]

    def _mark_style(self, mark: Mark) -> Style:
        """Its colour; what is not plainly covered is bold too, so that it is found at a glance without colours."""
        return Style(color=self._style(MARK_STYLES[mark]).color, bold=mark is not Mark.COVERED or None)

    def _letter(self, row: RowLook, picked: bool) -> Segment:
        text = f"[{row.letter}]" if picked else f" {row.letter} "
        return self.paint(text, row.chips[0] if row.chips else None, bold=picked)

    def letter_at(self, x: int, y: int) -> str | None:
        at = self.first + y - 1
        if self.look is None or y < 1 or at >= len(self.look.rows):
            return None
        return self.look.rows[at].letter


def _sized(text: str, cells: int) -> str:
    """Text cut with an ellipsis or filled up to exactly `cells`."""
    if cell_len(text) > cells:
        return set_cell_size(text, cells - 1) + "…"
    return set_cell_size(text, cells)
