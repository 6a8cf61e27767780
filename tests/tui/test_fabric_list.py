"""The list of fabrics: its lines, order, filter, the places a fabric moves to, and that only what shows is drawn."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.app import App, ComposeResult
from textual.events import MouseScrollDown

from stash.model import Colour, Fabric, Kind, Piece
from stash.shelf import Order
from tests.tui.driving import wait_for
from tui.widgets.fabric_lines import EMPTY, FabricLine, Lines, make_lines, past_neighbour
from tui.widgets.fabric_list import FabricList, columns_for
from tui.widgets.value_bar import bar, value_figure

INCH = 8128


def fabric(number: int, name: str, L: float | None = None, a: float = 0, b: float = 0, **more: object) -> Fabric:
    colour = None if L is None else Colour(L, a, b)
    return dataclasses.replace(Fabric(number, name, colour=colour, measured=colour), **more)


MILK = fabric(1, "Milk", 92, place="shelf 1", note="small dots")
POPPY = fabric(2, "Poppy", 55, 60, 40, pieces=(Piece(1, Kind.FAT_QUARTER, 18 * INCH, 21 * INCH),))
NIGHT = fabric(3, "Night", 15, 4, -30, pieces=(Piece(2, Kind.YARDAGE, 36 * INCH, 40 * INCH),), place="box")
BARE = fabric(4, "Bare", recorded=False)
ALL = (NIGHT, BARE, MILK, POPPY)


def names(lines: tuple[FabricLine, ...]) -> list[str]:
    return [line.name for line in lines]


@pytest.fixture
def lines() -> Lines:
    return make_lines(ALL)


def test_orders(lines: Lines) -> None:
    assert names(lines.matching(Order.VALUE, "")) == ["Milk", "Poppy", "Night", "Bare"]
    assert names(lines.matching(Order.NAME, "")) == ["Bare", "Milk", "Night", "Poppy"]
    assert names(lines.matching(Order.HUE, "")) == ["Milk", "Poppy", "Night", "Bare"]
    assert names(lines.matching(Order.LENGTH, ""))[:2] == ["Night", "Poppy"]


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("poppy", ["Poppy"]),
        ("POP", ["Poppy"]),
        ("shelf", ["Milk"]),
        ("dots shelf", ["Milk"]),
        ("dots box", []),
        ("red", ["Poppy"]),
        ("blue", ["Night"]),
        ("fat quarter", ["Poppy"]),
        ("1 yd", ["Night"]),
        ("not measured", ["Bare"]),
        ("55", ["Poppy"]),
        ("washed", []),
        ("unwashed milk", ["Milk"]),
        ("  ", ["Milk", "Poppy", "Night", "Bare"]),
    ],
)
def test_filter_looks_at_all_that_is_known(lines: Lines, words: str, found: list[str]) -> None:
    assert names(lines.matching(Order.VALUE, words)) == found


def test_unchanged_fabrics_keep_their_line(lines: Lines) -> None:
    renamed = dataclasses.replace(POPPY, name="Corn Poppy")
    again = make_lines((NIGHT, BARE, MILK, renamed), lines)
    assert again.made[MILK.id][1] is lines.made[MILK.id][1]
    assert names(again.matching(Order.VALUE, "corn")) == ["Corn Poppy"]
    assert make_lines((), lines).orders == EMPTY.orders


def test_names_cannot_steer_the_terminal() -> None:
    nasty = "\x1b[2J[red]Ivy[/close]\n\u202eend"
    (line,) = make_lines([fabric(9, nasty, 40)]).orders[Order.NAME]
    assert line.name == "·[2J[red]Ivy[/close]··end"


@given(st.lists(st.floats(0, 100).map(lambda v: round(v, 2)), min_size=2, max_size=9), st.data())
def test_a_move_lands_just_past_the_neighbour(values: list[float], data: st.DataObject) -> None:
    """Derived: after the move the fabric stands on the far side of its neighbour, in bounds."""
    listed = make_lines([fabric(n, f"F{n}", v) for n, v in enumerate(values)]).orders[Order.VALUE]
    at = data.draw(st.integers(0, len(values) - 1))
    step = data.draw(st.sampled_from([-1, 1]))
    value = past_neighbour(listed, at, step)
    beside = listed[at + step].value if 0 <= at + step < len(listed) else None
    if beside is None or beside == (100 if step < 0 else 0):
        assert value is None
        return
    assert value is not None
    assert 0 <= value <= 100
    assert (value > beside) if step < 0 else (value < beside)
    beyond = at + 2 * step
    if 0 <= beyond < len(listed):
        far = listed[beyond].value
        assert far is not None
        if abs(far - beside) >= 0.4:
            assert min(beside, far) < value < max(beside, far)


def test_value_without_colour() -> None:
    assert value_figure(None) == " -- "
    assert value_figure(61.6, by_eye=True) == " 62*"
    assert bar(50, 8) == "━━━━    "
    assert bar(44, 8) == "━━━╸    "
    assert bar(100, 8) == "━" * 8
    assert bar(0, 8) == " " * 8


@pytest.mark.parametrize("width", range(20, 160))
def test_columns_fill_the_line_exactly(width: int) -> None:
    wide = columns_for(width)
    taken = sum(column + 1 for column in wide if column)
    assert 4 + 1 + 4 + taken == width or wide.name == 4


class ListApp(App[None]):
    """Only the list, with `fabrics` in it."""

    def __init__(self, fabrics: list[Fabric]) -> None:
        super().__init__()
        self.lines = make_lines(fabrics)

    def compose(self) -> ComposeResult:
        yield FabricList()

    def on_mount(self) -> None:
        listed = self.query_one(FabricList)
        listed.show(self.lines.orders[Order.VALUE], 0)
        listed.focus()


async def test_ten_thousand_fabrics_draw_only_what_shows(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn: list[int] = []
    line = FabricList.line

    def counted(self: FabricList, index: int, width: int) -> list:
        drawn.append(index)
        return line(self, index, width)

    monkeypatch.setattr(FabricList, "line", counted)
    app = ListApp([fabric(n, f"F{n:05}", 100 - n / 100) for n in range(10_000)])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert set(drawn) == set(range(24))
        drawn.clear()
        await pilot.press("end")
        listed = app.query_one(FabricList)
        assert listed.cursor == 9_999
        assert set(drawn) <= {0, *range(9_976, 10_000)}
        await pilot.press("home", "down", "down", "pagedown")
        assert listed.cursor == 25
        assert listed.scroll_offset.y == 2


async def test_click_and_wheel() -> None:
    app = ListApp([fabric(n, f"F{n:05}", 90 - n / 10) for n in range(100)])
    async with app.run_test(size=(80, 24)) as pilot:
        listed = app.query_one(FabricList)
        await pilot.click(FabricList, offset=(30, 5))
        assert listed.cursor == 5
        turn = MouseScrollDown(listed, 30, 5, 0, 1, 0, False, False, False)
        for _ in range(3):
            listed.post_message(turn)
        await wait_for(pilot, lambda: listed.scroll_offset.y > 0, "the wheel to scroll")
        assert listed.cursor == 5
        await pilot.click(FabricList, offset=(30, 5))
        assert listed.cursor == 5 + listed.scroll_offset.y
