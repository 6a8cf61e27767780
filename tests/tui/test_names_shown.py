"""Names and texts that look like markup, formulas or escapes stand on every screen just as they were typed; and a
photograph that was damaged behind our back leaves the screens standing."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from stash.inventory.store import Store
from stash.model import Colour, Colouring, NewFabric, Star
from stash.typed import read_pieces
from tests.engine.stashes import photograph, raw
from tests.tui.driving import SIZES, running, screen_text, settled, toasts

NAMES = ["[/red]", "[bold]B[/]", "=1+1", "[@click=app.quit]q", "👩\u200d🌾 x", "שלום", "\\[x]", "W" * 200]
STAR = "[/b] [red]Sky"


@pytest.fixture
def odd_path(tmp_path: Path) -> Path:
    """Fabrics of such names from light to dark, with such texts, and a star of them with its plan kept."""
    path = tmp_path / "odd.db"
    with Store.create(path) as store:
        for number, name in enumerate(NAMES):
            colour = Colour(94 - 10 * number, 0, 3)
            new = NewFabric(name, read_pieces("1 yd"), colour, place=name, note=f"{name}\n{name}", price=name[:40])
            store.add(new)
        uses = {letter: (name,) for letter, name in zip("ABC", NAMES, strict=False)}
        store.save_star(STAR, Star(2, Fraction(5, 2), "ABC"), Colouring(uses, NAMES[3]))
        store.set_swatch(store.fabric(NAMES[0]).id, photograph("[/red].jpg"))
    return path


@pytest.mark.parametrize("size", SIZES)
async def test_each_screen_shows_them_as_they_are(odd_path: Path, size: tuple[int, int]) -> None:
    async with running(odd_path, size) as pilot:
        for key, shown in (
            ("f", ["[/red]", "=1+1", "[@click=app.quit]q"]), ("s", ["[/red]", STAR]),
            ("g", ["[bold]B[/]", "\\[x]"]), ("z", []), ("j", [STAR, "[/red]"]), ("h", ["[/red]"]),
        ):  # fmt: skip
            await pilot.press(key)
            await settled(pilot)
            text = screen_text(pilot)
            for words in shown:
                assert words in text, f"{key}\n{text}"
            await pilot.press("question_mark")
            await settled(pilot)
            await pilot.press("escape")
            await settled(pilot)
        assert pilot.app.is_running


async def test_details_forms_messages_and_the_palette(odd_path: Path) -> None:
    async with running(odd_path) as pilot:
        await pilot.press("f")
        await settled(pilot)
        for _ in NAMES[:4]:
            for key in ("enter", "e", "b"):  # details, and two forms with the name in their title
                await pilot.press(key)
                await settled(pilot)
                assert pilot.app.is_running
                while len(pilot.app.screen_stack) > 1:
                    await pilot.press("escape")
                    await settled(pilot)
            await pilot.press("down")
        await pilot.press("u")
        await settled(pilot)
        assert any("[/red]" in said for said in toasts(pilot)), toasts(pilot)
        assert "[/red]" in screen_text(pilot)
        await pilot.press("ctrl+p", *"[/red")
        await settled(pilot)
        assert pilot.app.is_running
        await pilot.press("escape")


@pytest.mark.parametrize("act", ["UPDATE picture SET data = x'00'", "DELETE FROM picture", "DELETE FROM thumbnail"])
async def test_59_damaged_photographs_leave_the_screens_standing(demo_path: Path, act: str) -> None:
    with raw(demo_path) as conn:
        conn.execute("PRAGMA foreign_keys = OFF")
        conn.execute("DROP TRIGGER picture_no_update")
        conn.execute(act)
    async with running(demo_path, (120, 40)) as pilot:
        for key in ("f", "enter", "escape", "s", "g", "z", "j", "h", "f"):
            await pilot.press(key)
            await settled(pilot)
            assert pilot.app.is_running
        assert "Rime" in screen_text(pilot)
