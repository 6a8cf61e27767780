"""Where a fabric's value comes from: relative, measured or set by eye, and said as it is on every screen."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from stash.inventory.store import Store
from stash.model import Colour, Reference
from tests.tui.driving import running, screen_text, settled, toasts, wait_for
from tests.tui.swatches import give_photograph, measured, to_poppy
from tui.widgets.fabric_list import FabricList
from tui.widgets.ribbon import Ribbon
from tui.widgets.rows import RowsTable


async def test_relative_values_are_marked_in_list_rows_and_ribbons(stash_path: Path) -> None:
    give_photograph(stash_path, "Poppy", measured(55, Reference.NONE))
    give_photograph(stash_path, "Night", measured(25, Reference.NONE))
    with Store.open(stash_path) as store:
        assert store.fabric("Poppy").colour == Colour(55, 30, 20, "relative")
    async with running(stash_path, (120, 40)) as pilot:
        rows = pilot.app.screen.query_one(RowsTable)
        assert "Poppy" in rows.render_line(2).text
        assert "~55" in rows.render_line(2).text
        await pilot.press("B")
        await settled(pilot)
        assert "value ~55" in screen_text(pilot)
        await pilot.press("g")
        await settled(pilot)
        await wait_for(pilot, lambda: "1 of" in screen_text(pilot), "the ribbons")
        ribbon = pilot.app.screen.query(Ribbon).first()
        assert any("~25" in ribbon.render_line(y).text for y in range(ribbon.size.height))
        assert "~ relative values" in screen_text(pilot)
        await to_poppy(pilot)
        assert "~55" in pilot.app.screen.query_one(FabricList).render_line(0).text
        text = screen_text(pilot)
        assert "value ~55, ~48 to ~71" in text
        assert "relative: no reference" in text
        await pilot.press("question_mark")
        await settled(pilot)
        assert "the value is relative" in screen_text(pilot)


async def test_relative_fabrics_are_found_by_that_word(stash_path: Path) -> None:
    give_photograph(stash_path, "Poppy", measured(55, Reference.NONE))
    async with running(stash_path) as pilot:
        await pilot.press("f")
        await settled(pilot)
        await pilot.press("slash", *"relative")
        await settled(pilot)
        assert [line.name for line in pilot.app.screen.query_one(FabricList).lines] == ["Poppy"]


@pytest.mark.parametrize(("reference", "figure", "source"), [
    (Reference.NONE, "~62", "relative ~62.0"), (Reference.PAPER, " 62", "measured 62.0"),
])  # fmt: skip
async def test_a_value_by_eye_stands_beside_the_photographs_and_can_be_let_go(
    stash_path: Path, reference: Reference, figure: str, source: str
) -> None:
    give_photograph(stash_path, "Poppy", measured(62, reference))
    async with running(stash_path, (120, 40)) as pilot:
        await pilot.press("f")
        await settled(pilot)
        listed = pilot.app.screen.query_one(FabricList)
        at = [line.name for line in listed.lines].index("Poppy")
        listed.cursor = at
        await settled(pilot)
        assert figure in listed.render_line(at).text
        await pilot.press("left_square_bracket")  # past Pebble, 70
        await settled(pilot)
        await wait_for(pilot, lambda: "value by eye 76.0" in screen_text(pilot), "the value by eye")
        assert source in screen_text(pilot)
        assert " 76*" in listed.render_line(listed.cursor).text
        await pilot.press("equals_sign")
        await settled(pilot)
        assert any(f"back at its {source.split()[0]} value" in text for text in toasts(pilot))
        assert figure in listed.render_line(listed.cursor).text
        await pilot.press("right_square_bracket")  # past Fern, 46, the next darker
        await settled(pilot)
        assert listed.current is not None
        assert listed.current.value == pytest.approx((46 + 33) / 2)


async def test_editing_a_relative_fabric_says_so_and_leaves_its_colour(stash_path: Path) -> None:
    give_photograph(stash_path, "Poppy", measured(55, Reference.NONE))
    async with running(stash_path) as pilot:
        await pilot.press("f")
        await settled(pilot)
        await pilot.press("slash", *"poppy", "enter", "e")
        await wait_for(pilot, lambda: re.search(r"value ~55, .*red.*, relative", screen_text(pilot)), "the form")
        await pilot.press(*" red", "enter")
        await settled(pilot)
    with Store.open(stash_path) as store:
        assert store.fabric("Poppy red").colour == Colour(55, 30, 20, "relative")


async def test_name_and_colour_are_changed_by_one_entry(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        await pilot.press("f")
        await settled(pilot)
        await pilot.press("slash", *"poppy", "enter", "e")
        await pilot.press(*" red", "tab", "end", "ctrl+u", *"50 1 2", "enter")
        await settled(pilot)
        await pilot.press("u")
        await settled(pilot)
    with Store.open(stash_path) as store:
        assert store.fabric("Poppy").colour == Colour(55, 60, 40)
