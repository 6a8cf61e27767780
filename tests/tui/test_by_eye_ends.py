"""A fabric moved past its neighbour by eye, at the ends of the scale."""

from __future__ import annotations

from pathlib import Path

import pytest

from stash.inventory.store import Store
from stash.model import Colour, NewFabric
from tests.tui.driving import running, toasts, wait_for
from tui.widgets.fabric_list import FabricList


@pytest.mark.parametrize(("key", "name", "told"), [
    ("left_square_bracket", "Cream", "Snow has the value 100: there is nothing lighter than that"),
    ("right_square_bracket", "Slate", "Coal has the value 0: there is nothing darker than that"),
    ("left_square_bracket", "Snow", "There is nothing lighter here to move past"),
])  # fmt: skip
async def test_it_is_said_why_there_is_no_room(tmp_path: Path, key: str, name: str, told: str) -> None:
    path = tmp_path / "ends.db"
    with Store.create(path) as store:
        for label, value in (("Snow", 100), ("Cream", 86), ("Slate", 20), ("Coal", 0)):
            store.add(NewFabric(label, (), Colour(float(value), 0, 0)))
    async with running(path) as pilot:
        listed = pilot.app.screen.query_one(FabricList)
        listed.cursor = next(at for at, line in enumerate(listed.lines) if line.name == name)
        await pilot.press(key)
        await wait_for(pilot, lambda: toasts(pilot), "the toast")
        assert told in toasts(pilot)[0]
