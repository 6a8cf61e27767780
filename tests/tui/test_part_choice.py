"""The list to choose ground, binding and backing from says what is needed, and which fabrics have it."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Static

from tests.tui.driving import SIZES, running, screen_text, settled
from tui.dialogs.fabric_choice import FabricChoice


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("d", "The ground takes 9 1/2 in of cloth 40 in wide."), ("f8", "The binding takes 7 1/2 in of cloth 42 in"),
        ("f9", "The backing takes "),
    ],
)  # fmt: skip
async def test_what_is_needed_and_who_has_it(cut_path: Path, size: tuple[int, int], key: str, said: str) -> None:
    """Fern has 18 in, of which its row takes 6; Rust 7; Cloud 72, all 40 in wide."""
    async with running(cut_path, size) as pilot:
        await pilot.press("s", key)
        await settled(pilot)
        dialog = pilot.app.screen
        assert isinstance(dialog, FabricChoice)
        assert str(dialog.query_one("#about", Static).content).startswith(said)
        lines = {name: next(line for line in screen_text(pilot).splitlines() if name in line)
                 for name in ("Fern", "Rust", "Cloud")}  # fmt: skip
        assert "✓ enough" in lines["Cloud"]
        assert "✗ short" in lines["Rust"]
        assert ("✗" if key == "f9" else "✓ enough") in lines["Fern"]
        await pilot.press("escape")
        await settled(pilot)
        await pilot.press("A", "enter")
        await settled(pilot)
        assert not pilot.app.screen.query("#about"), "a row's list says nothing of it"
