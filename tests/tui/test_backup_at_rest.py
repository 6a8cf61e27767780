"""The day's backup is made while the program is open, when the maker rests after a save; and more at the end."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from stash.inventory.backup_files import backups_of
from stash.inventory.store import Store
from tests.engine.stashes import raw
from tests.tui.driving import running, screen_text, settled
from tui.app import StarcoverApp


@pytest.fixture
def path(tmp_path: Path) -> Path:
    place = tmp_path / "rest.db"
    Store.create(place).close()
    return place


async def add(pilot: Pilot[None], name: str) -> None:
    await pilot.press("f", "a", *name, "enter")
    await settled(pilot)
    await pilot.press("escape")
    await settled(pilot)


async def rest(pilot: Pilot[None], monkeypatch: pytest.MonkeyPatch, seconds: float = 20) -> None:
    """As if no key had come for so long."""
    app = pilot.app
    assert isinstance(app, StarcoverApp)
    with monkeypatch.context() as patch:
        patch.setattr(app.tidying, "_last", app.tidying._clock() - seconds)
        app.back_up_at_rest()
    await settled(pilot)


def names(backup: Path) -> list[str]:
    with raw(backup) as conn:
        return [row[0] for row in conn.execute("SELECT name FROM fabric ORDER BY id")]


async def test_the_first_save_of_the_day_is_backed_up_at_rest_and_the_rest_at_the_end(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with running(path) as pilot:
        await rest(pilot, monkeypatch)
        assert backups_of(path) == [], "nothing was saved"
        await add(pilot, "Sloe")
        await rest(pilot, monkeypatch, seconds=5)
        assert backups_of(path) == [], "the maker is at work"
        await pilot.press("f12")
        await settled(pilot)
        said = str(pilot.app.screen.query_one("#where", Static).content)
        assert said.endswith("the day's own is made when you rest after a save, b makes one now.")
        await pilot.press("escape")
        await rest(pilot, monkeypatch)
        (first,) = backups_of(path)
        assert (first.why, names(first.path)) == ("daily", ["Sloe"])
        await add(pilot, "Rowan")
        await rest(pilot, monkeypatch)
        assert len(backups_of(path)) == 1, "one a day while it is open"
        await pilot.press("f12")
        await settled(pilot)
        assert "the day's own, " in screen_text(pilot)
    assert [one.why for one in backups_of(path)] == ["daily", "daily"]
    assert names(backups_of(path)[0].path) == ["Sloe", "Rowan"]
    async with running(path) as pilot:
        await pilot.press("f")
    assert len(backups_of(path)) == 2, "nothing was saved since"


async def test_leaving_by_its_key_makes_no_more_than_one(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async with running(path) as pilot:
        await add(pilot, "Sloe")
        await rest(pilot, monkeypatch)
        await add(pilot, "Rowan")
        await pilot.press("ctrl+q")
        await settled(pilot)
    assert [names(one.path) for one in backups_of(path)] == [["Sloe", "Rowan"], ["Sloe"]]
