"""Nearly white cloth on a grey sheet: how much light the sheet gives back is typed where an intake begins."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from stash.errors import UsageFault
from tests.tui.driving import on_top, running, screen_text, settled, wait_for
from tui.screens.intake import IntakeScreen
from tui.screens.intake_how import how_for
from tui.screens.intake_start import Way, part_from
from tui.widgets.photo_boxes import Boxes

DEMO = Path(__file__).resolve().parents[2] / "fixtures" / "demo"
PATCH = (20, 20, 80, 80)
ON_GREY = DEMO / "pictures" / "on-grey"


async def asked(pilot: Pilot[None], gives: str) -> IntakeScreen:
    """To the Intake screen, and its question answered with the folder and how much light its sheet gives back."""
    await pilot.press("f2", "i")
    await settled(pilot)
    screen = on_top(pilot, IntakeScreen)
    screen.query_one("#path", Input).value = str(ON_GREY)
    screen.query_one("#gives", Input).value = gives
    await pilot.press("enter")
    return screen


async def test_the_demos_nearly_white_fabrics_get_the_values_they_were_drawn_in(empty_path: Path) -> None:
    measured = json.loads((DEMO / "measured.json").read_text(encoding="utf-8"))
    async with running(empty_path) as pilot:
        screen = await asked(pilot, "4")
        await settled(pilot)
        assert "4 is not how much it gives back; type 5 to 100" in " ".join(screen_text(pilot).split())
        screen.query_one("#gives", Input).value = "42 %"
        await pilot.press("enter")
        await wait_for(pilot, lambda: screen.has_class("-form") and screen.measuring is None, "all measured")
        for _ in ON_GREY.iterdir():
            before = screen.current
            await pilot.press("enter")
            await wait_for(pilot, lambda before=before: screen.current is not before, "the next")
        await settled(pilot)
        found = {fabric.name: fabric.measured for fabric in pilot.app.loaded.fabrics}
    assert len(found) == len(list(ON_GREY.iterdir())) == 4
    for name, colour in found.items():
        known = next(one for label, one in measured.items() if label.casefold() == name.casefold())
        assert abs(colour.L - known["L"]) < 0.5, name
        assert colour.source == "measured"


def test_what_a_sheet_gives_back_is_per_cent() -> None:
    assert part_from("") is None
    assert part_from(" 18 % ") == pytest.approx(0.18)
    assert part_from("100") == 1
    for text in ("4", "101", "white", "-20", "nan", "inf", "1e400"):
        with pytest.raises(UsageFault):
            part_from(text)


@pytest.mark.parametrize(("way", "boxes", "gives"), [
    (Way.PAPER, Boxes(), 0.42), (Way.SHEET, Boxes(), 0.42), (Way.NONE, Boxes(), None),
    (Way.WHITE, Boxes(white=PATCH), 0.42), (Way.GREY, Boxes(grey=PATCH), 0.42),
    (Way.GREY, Boxes(white=PATCH), None), (Way.PAPER, Boxes(white=PATCH), None), (Way.PAPER, Boxes(grey=PATCH), None),
])  # fmt: skip
def test_the_figure_is_of_what_tells_the_light_and_of_nothing_else(way: Way, boxes: Boxes, gives: float | None) -> None:
    assert how_for(way, boxes, 0.42).reflectance == gives


async def test_the_figure_is_asked_anew_for_the_next_folder(empty_path: Path) -> None:
    async with running(empty_path) as pilot:
        screen = await asked(pilot, "42")
        await wait_for(pilot, lambda: screen.has_class("-form"), "the first")
        assert screen.query_one("#gives", Input).value == ""
        assert screen.gives == pytest.approx(0.42)
