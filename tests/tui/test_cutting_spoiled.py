"""Spoiled segments on the Cutting screen: taken from what a set has to spare, alone or with another set."""

from __future__ import annotations

from pathlib import Path

from stash.inventory.store import Store
from stash.model import NewFabric, NewPiece
from tests.engine.shared_strips import LOOK_ALIKES, STAR, cloth
from tests.tui.cutting_screen import detail, plan, to
from tests.tui.driving import press, running, screen_text, toasts
from tui.screens.cutting_rows import SetRow


async def test_a_set_may_take_what_another_has_on_a_strip_they_share(tmp_path: Path) -> None:
    """38 in hold a run of four for each of two sets, and one segment more (derived)."""
    path = tmp_path / "shared.db"
    with Store.create(path) as store:
        for one in cloth(38):
            pieces = tuple(NewPiece(each.kind, each.length, each.width) for each in one.pieces)
            store.add(NewFabric(one.name, pieces))
        store.save_star("Pond", STAR, LOOK_ALIKES)
    async with running(path) as pilot:
        await press(pilot, "x")
        await press(pilot, "end")
        text = screen_text(pilot)
        assert text.count("sewn halved, 1 to spare") == 1
        assert text.count("sewn halved, 0 to spare") == 1
        assert "It can give 1 segment more while the sets that share strips with it give none." in detail(pilot)
        await press(pilot, "x")
        assert toasts(pilot)[-1] == "Cut another from the strips it shares with other sets: they have one less to spare"
        assert plan(path).spoiled == (0, 1)
        assert "sewn halved, 1 spoiled, 0 to spare" in screen_text(pilot)
        await press(pilot, "x")
        assert "Set 2 has no segment to spare" in toasts(pilot)[-1]
        await to(pilot, SetRow, 0)
        await press(pilot, "x")
        assert "Set 1 has no segment to spare" in toasts(pilot)[-1]
        assert plan(path).spoiled == (0, 1)


async def test_spoiled_segments_come_from_the_spare_until_there_is_none(cut_path: Path) -> None:
    """A strip of 40 in gives ten segments where eight are needed (derived): two to spare."""
    async with running(cut_path) as pilot:
        await press(pilot, "x", "x")
        assert "Take a strip set in hand first" in toasts(pilot)[-1]
        await to(pilot, SetRow)
        await press(pilot, "x")
        assert toasts(pilot)[-1] == "Cut another from its spare: 1 segment left after that"
        await press(pilot, "x")
        assert plan(cut_path).spoiled == (2,)
        assert "sewn whole, 2 spoiled, 0 to spare" in screen_text(pilot)
        await press(pilot, "x")
        assert "no segment to spare: cut a further strip 6 1/8 in long of each of A Fern, B Rust" in toasts(pilot)[-1]
        assert plan(cut_path).spoiled == (2,)
        await press(pilot, "minus")
        assert plan(cut_path).spoiled == (1,)
