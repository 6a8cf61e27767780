"""Other units on the Star screen change what is shown and nothing else: a kept plan and the fabrics stay."""

from __future__ import annotations

from pathlib import Path

import pytest

from stash.inventory.store import Store
from stash.match.coverage import check
from stash.model import Colouring, StoredPlan
from tests.tui.driving import running, screen_text, settled


def keep(cut_path: Path) -> tuple[Colouring, StoredPlan]:
    with Store.open(cut_path) as store:
        saved = store.stars()[0]
        colouring = saved.colourings[0].colouring
        return colouring, store.keep_plan(saved.id, 1, check(saved.star, colouring, store.fabrics()).cuts)


@pytest.mark.parametrize("cut", [0, 2])
async def test_centimetres_keep_the_plan_and_the_fabrics(cut_path: Path, cut: int) -> None:
    """Also where cloth is cut already, so that the stash would not give the star a second time."""
    colouring, plan = keep(cut_path)
    with Store.open(cut_path) as store:
        if cut:
            store.book(plan.id, [strip.id for strip in plan.strips[-cut:]])
        before = store.plan(plan.id)
    async with running(cut_path) as pilot:
        await pilot.press("e", *["tab"] * 6)
        await settled(pilot)
        await pilot.press("c", "m", "enter")
        await settled(pilot)
        assert "6.35 cm strips" in screen_text(pilot)
    with Store.open(cut_path) as store:
        assert store.stars()[0].star.units == "cm"
        assert store.stars()[0].colourings[0].colouring == colouring
        assert store.plan(plan.id) == before
        assert "let go" not in store.history()[0].text
