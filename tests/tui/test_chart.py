"""The lettered chart and the table of rows: what stands where, and in what words."""

from __future__ import annotations

import pytest

from stash.model import Mark
from tui.widgets.chart import ChartCell, cell_text, chart_layout
from tui.widgets.look import RowLook
from tui.widgets.rows import LONGEST_NAME, columns_for, difference_text, mark_text, value_bar

NO_REPEAT = "ABCDEFGHIJKLMNOPQRSTUVWXY"
MIRRORED_4 = "ABCDCBA"


@pytest.mark.parametrize("grid", range(2, 14))
@pytest.mark.parametrize(("columns", "lines"), [(36, 18), (40, 20), (60, 30)])
def test_the_chart_fits_and_shows_every_small_diamond_once(grid: int, columns: int, lines: int) -> None:
    layout = chart_layout(NO_REPEAT[: 2 * grid - 1], columns, lines)
    assert len(layout.cells) == grid * grid
    taken = {
        (x, y)
        for cell in layout.cells
        for x in range(cell.x, cell.x + cell.width)
        for y in range(cell.y, cell.y + cell.height)
    }
    assert len(taken) == sum(cell.width * cell.height for cell in layout.cells)  # none lies on another
    assert max(x for x, _ in taken) < min(columns, layout.columns)
    assert max(y for _, y in taken) < min(lines, layout.lines)
    for row in range(1, 2 * grid):
        assert sum(cell.row == row for cell in layout.cells) == min(row, 2 * grid - row)


def test_the_diamond_is_symmetric_with_the_centre_of_the_star_on_top() -> None:
    layout = chart_layout(MIRRORED_4, 36, 18)
    assert not layout.leaning
    lines = ["".join(cell.letter for cell in layout.cells if cell.y == y) for y in range(0, layout.lines, 2)]
    assert lines == ["A", "BB", "CCC", "DDDD", "CCC", "BB", "A"]
    for y in range(layout.lines):
        cells = [cell for cell in layout.cells if cell.y <= y < cell.y + cell.height]
        assert cells[0].x + cells[-1].x == 3 * 4


def test_a_tall_chart_stands_as_segments_each_set_off_by_one_row() -> None:
    """Segment i of a large diamond holds rows i .. i + n - 1 (the trade's strip sets)."""
    layout = chart_layout(NO_REPEAT, 38, 18)
    assert layout.leaning
    lines = ["".join(cell.letter for cell in layout.cells if cell.y == y) for y in range(layout.lines)]
    assert lines == [NO_REPEAT[i : i + 13] for i in range(13)]
    assert [min(cell.x for cell in layout.cells if cell.y == y) for y in range(13)] == list(range(13))


def test_a_picked_row_stands_in_brackets() -> None:
    assert cell_text(ChartCell(1, "D", 0, 0, 3, 1), picked=True) == "[D]"
    assert cell_text(ChartCell(1, "D", 0, 0, 3, 1), picked=False) == " D "
    assert cell_text(ChartCell(1, "D", 0, 0, 2, 1), picked=True) == "D<"


@pytest.mark.parametrize(
    ("row", "narrow", "wide"),
    [
        (RowLook("A", (1,), ("Chalk",), mark=Mark.COVERED), "✓ covered", "✓ covered"),
        (RowLook("A", (1,), ("Chalk",), mark=Mark.COVERED, about=True), "✓~covered", "✓ about covered"),
        (RowLook("A", (1,), ("Chalk",), mark=Mark.TIGHT, spare=0.06), "≈ tight", "≈ tight"),
        (RowLook("A", (1,), ("Chalk",), mark=Mark.SHORT, missing=12), "✗ short 12", "✗ short 12"),
        (RowLook("A", (1,), ("Chalk",), mark=Mark.UNMEASURED), "? unmeas.", "? unmeasured"),
        (RowLook("A", (1,), ("Chalk",)), "…", "…"),
        (RowLook("A", (1,)), "–", "–"),
    ],
)
def test_a_mark_is_a_sign_and_a_word_and_fits_its_column(row: RowLook, narrow: str, wide: str) -> None:
    assert mark_text(row, columns_for(44).mark) == narrow
    assert mark_text(row, columns_for(80).mark) == wide
    assert len(narrow) <= columns_for(44).mark
    assert len(wide) <= columns_for(80).mark


@pytest.mark.parametrize(
    ("value", "target", "text"),
    [(62.0, 62.4, "="), (59.0, 62.0, "−3"), (70.0, 58.0, "+12"), (None, 62.0, ""), (62.0, None, "")],
)
def test_the_difference_to_the_target_says_lighter_or_darker(
    value: float | None, target: float | None, text: str
) -> None:
    assert difference_text(RowLook("A", (1,), value=value, target=target)) == text


def test_the_value_bar_marks_value_and_target_from_black_to_white() -> None:
    assert value_bar(0, 100, 5) == "●···│"
    assert value_bar(100, 0, 5) == "│···●"
    assert value_bar(50, 51, 5) == "··◉··"
    assert value_bar(None, 30, 5) == "·│···"


@pytest.mark.parametrize("most_strips", [4, 24])
@pytest.mark.parametrize("width", range(38, 120))
def test_the_columns_fill_the_table_and_never_more(width: int, most_strips: int) -> None:
    columns = columns_for(width, most_strips)
    letter, value, gaps = 3, 3 + 1 + 3, 4
    used = letter + value + gaps + columns.name + columns.strips + columns.mark + (columns.bar and columns.bar + 1)
    assert used == width or (used < width and columns.name == LONGEST_NAME)
    assert columns.name >= 6
    assert columns.strips == len(f"{most_strips} of {most_strips}")
