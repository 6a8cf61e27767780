"""The Sizes screen says why stars are short that were covered before: a kept plan holds cloth."""

from __future__ import annotations

from pathlib import Path

import pytest

from stash.inventory.store import Store
from stash.match.coverage import check
from tests.tui.driving import SIZES, running, screen_text, settled

SAID = "Cloth held by plans of other stars is not counted (m on the Star screen)"


@pytest.mark.parametrize("size", SIZES)
async def test_held_cloth_is_said_while_a_plan_holds_any(cut_path: Path, size: tuple[int, int]) -> None:
    async with running(cut_path, size) as pilot:
        await pilot.press("z")
        await settled(pilot)
        await pilot.press(*["down"] * 8)  # ten rows: more than three fabrics cover
        await settled(pilot)
        assert "✗ at least" in screen_text(pilot)
        assert SAID not in screen_text(pilot)
        with Store.open(cut_path) as store:
            saved = store.stars()[0]
            plan = store.keep_plan(
                saved.id, 1, check(saved.star, saved.colourings[0].colouring, store.fabrics()).cuts
            )
        await pilot.press("s", "z")
        pilot.app._look_again()  # type: ignore[attr-defined]
        await settled(pilot)
        assert SAID in screen_text(pilot)
        await pilot.press(*["up"] * 8)
        await settled(pilot)
        assert "✓ covered" in screen_text(pilot)
        assert SAID not in screen_text(pilot)
        await pilot.press(*["down"] * 8)
        await settled(pilot)
        await pilot.press("s", "m", "z")
        await settled(pilot)
        assert SAID not in screen_text(pilot), "it is counted now"
        await pilot.press("s", "m", "z")
        await settled(pilot)
        with Store.open(cut_path) as store:
            store.book(plan.id)
        pilot.app._look_again()  # type: ignore[attr-defined]
        await settled(pilot)
        assert SAID not in screen_text(pilot), "what is cut is held no longer"
