"""Markup, escapes and formulas typed into every text field there is: shown or refused in words, never run."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from stash.inventory.verify import verify
from tests.tui.driving import press, running, screen_text
from tests.tui.intake_screen import begin, photograph
from tests.tui.sights import make_fixed

TEXTS = ("[/red]", "[@click=app.quit]q[/] [bold", "=1+1 {0} %s \\ \x1b[31mred\x1b[0m", "[/]" * 30)

# Where a field can be typed into: the keys that lead there, and how many fields there are to walk through.
PLACES = {
    "filter": (("f", "slash"), 1),
    "add": (("f", "a"), 6),
    "edit": (("f", "e"), 5),
    "bought": (("f", "b"), 1),
    "used": (("f", "x"), 1),
    "count": (("f", "c"), 1),
    "settings": (("s", "e"), 7),
    "new star": (("s", "o", "n"), 8),
    "save as": (("s", "w"), 1),
    "ground": (("s", "d"), 1),
    "have it": (("s", "y"), 1),
    "wishes": (("g", "e"), 12),
    "print": (("s", "p"), 1),
    "palette": (("ctrl+p",), 1),
    "intake": (("f", "i"), 2),
}


async def type_everywhere(pilot: Pilot[None], text: str) -> list[str]:
    """The text in each field of what is on top, then Enter; gives the fields' names."""
    fields = [field for field in pilot.app.screen.query(Input) if field.display and field.region]
    for field in fields:
        if field.is_attached:
            field.focus()
            field.value = ""
            field.insert_text_at_cursor(text)  # as a paste does
            await pilot.pause()
            screen_text(pilot)
    await press(pilot, "enter")
    screen_text(pilot)
    assert pilot.app.is_running
    return [field.id or "" for field in fields]


@pytest.mark.parametrize("place", PLACES)
async def test_it_is_only_text(
    place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    for home in ("HOME", "USERPROFILE"):
        monkeypatch.setenv(home, str(tmp_path))
    monkeypatch.chdir(tmp_path)
    keys, number = PLACES[place]
    path = make_fixed(tmp_path / "typed.db")
    async with running(path) as pilot:
        if place == "have it":
            await press(pilot, "s", "B", "down", "enter")  # a fabric that is not measured yet
        for text in TEXTS:
            await press(pilot, *keys)
            assert len(await type_everywhere(pilot, text)) == number
            while len(pilot.app.screen_stack) > 1:
                await press(pilot, "escape")
            await press(pilot, "escape", "f3", "escape", "escape")
        await press(pilot, "f2", "f5", "f3")
        assert pilot.app.is_running
    assert caplog.records == []
    assert verify(path) == []


async def test_it_is_only_text_in_the_form_of_an_intake(
    empty_path: Path, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    folder = tmp_path / "photos"
    folder.mkdir()
    for number in range(len(TEXTS)):
        photograph(folder / f"[red]moss {number}.png", ((90, 110 + 9 * number, 60), (100, 70, 200, 160)))
    async with running(empty_path) as pilot:
        await begin(pilot, folder)
        for text in TEXTS:
            assert len(await type_everywhere(pilot, text)) == 4
        await press(pilot, "escape", "escape")
        screen_text(pilot)
    assert caplog.records == []
    assert verify(empty_path) == []
