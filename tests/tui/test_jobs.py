"""Each job of a maker, from beginning to end by keyboard, and by mouse: words on the screen are clicked, and only what
must be typed is typed. At 80 columns, the narrowest terminal."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from textual.pilot import Pilot

from stash.inventory.store import Store
from tests.tui.driving import running, screen_text, settled, wait_for
from tests.tui.intake_screen import photograph
from tests.tui.sights import make_fixed
from tests.tui.stash_screen import stored, texts
from tui.widgets.sizes_grid import SizesGrid

BY = pytest.mark.parametrize("by", ["keys", "mouse"])


class Hand:
    """Does one step either way: the keys, or clicks on words that stand on the screen, one after the other."""

    def __init__(self, pilot: Pilot[None], by: str) -> None:
        self.pilot = pilot
        self.by = by

    async def do(self, keys: str | list[str], *words: str) -> None:
        if self.by == "keys":
            for key in keys.split() if isinstance(keys, str) else keys:
                await self.pilot.press(key)
                await settled(self.pilot)
        else:
            for word in words:
                await self.click(word)

    async def click(self, word: str, *, twice: bool = False, nth: int = 1) -> None:
        """Click on the word, in the first line that has it or the nth."""

        def lines() -> list[tuple[int, str]]:
            return [(y, line) for y, line in enumerate(screen_text(self.pilot).splitlines()) if word in line]

        await wait_for(self.pilot, lambda: len(lines()) >= nth, f"{word} on the screen")
        y, line = lines()[nth - 1]
        await self.pilot.click(offset=(line.index(word) + len(word) // 2, y), times=2 if twice else 1)
        await settled(self.pilot)

    async def command(self, keys: str, name: str) -> None:
        """A command that the footer has no room for: by mouse it is found behind the footer's dots."""
        if self.by == "keys":
            await self.do(keys)
            return
        await self.click("^p")
        await wait_for(self.pilot, lambda: len(self.pilot.app.screen_stack) > 1, "the palette")
        await self.pilot.press(*name)
        await self.click(f"{name} ", nth=2)  # the first is what is typed

    async def opens(self, keys: str, star: str) -> None:
        """What stands under this word in the list of stars."""
        await self.command(keys, "Open")
        if self.by == "mouse":
            await self.click(star, twice=True)

    async def typed(self, text: str) -> None:
        await self.pilot.press(*text)
        await settled(self.pilot)

    async def shows(self, *words: str) -> None:
        for word in words:
            await wait_for(self.pilot, lambda word=word: word in screen_text(self.pilot), f"{word} to be shown")


@asynccontextmanager
async def at_work(path: Path, by: str) -> AsyncIterator[Hand]:
    """The app on the stash at `path`, and a hand that works in it."""
    async with running(path) as pilot:
        yield Hand(pilot, by)


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for home in ("HOME", "USERPROFILE"):
        monkeypatch.setenv(home, str(tmp_path))
    return make_fixed(tmp_path / "jobs.db")


@BY
async def test_a_fabric_is_added(path: Path, by: str) -> None:
    async with at_work(path, by) as hand:
        await hand.do("f a", "f Stash", "a Add")
        await hand.typed("Heron")
        await hand.do("tab", "Pieces ")
        await hand.typed("1/2 yd")
        await hand.do("enter", "Save")
        await hand.shows("10 fabrics")
    assert len(stored(path, "Heron").pieces) == 1


@BY
async def test_photographs_are_taken_in(empty_path: Path, tmp_path: Path, by: str) -> None:
    folder = tmp_path / "photos"
    folder.mkdir()
    photograph(folder / "moss.png", ((90, 110, 60), (100, 70, 200, 160)))
    async with at_work(empty_path, by) as hand:
        await hand.do("i", "i  photos")
        await hand.typed(str(folder))
        await hand.do("enter", "Measure")
        await hand.shows("1 of 1")
        await hand.typed("2 x fq")
        await hand.do("enter", "Enter Save")
        await hand.shows("1 fabric was saved")
    fabric = stored(empty_path, "Moss")
    assert len(fabric.pieces) == 2
    assert fabric.swatch is not None


@BY
async def test_the_list_is_filtered(path: Path, by: str) -> None:
    async with at_work(path, by) as hand:
        await hand.do("f slash", "f Stash", "/ Filter")
        await hand.typed("box")
        await hand.shows("2 of 9 fabrics")
        await hand.do("escape", "Esc Clear")
        await hand.shows("9 fabrics")


@BY
async def test_a_value_is_set_by_eye(path: Path, by: str) -> None:
    async with at_work(path, by) as hand:
        await hand.do("f end up", "f Stash", "Plum")
        await hand.command("left_square_bracket", "Lighter")
        await hand.shows("by eye")
        assert stored(path, "Plum").value_by_eye is not None
        await hand.command("equals_sign", "Measured")
        await wait_for(hand.pilot, lambda: stored(path, "Plum").value_by_eye is None, "the measured value")


@BY
async def test_a_star_is_planned(path: Path, by: str) -> None:
    async with at_work(path, by) as hand:
        await hand.opens("o n", "a new star")
        await hand.typed("Otter")
        await hand.do("enter", "Lay out")
        await hand.shows("Otter")
        await hand.do("n", "n Next run")
        await hand.shows("covered")
    with Store.open(path) as store:
        assert store.star("Otter").colourings


@BY
async def test_a_row_is_tried_restored_and_kept(path: Path, by: str) -> None:
    async with at_work(path, by) as hand:
        await hand.do("C down", "C  Rust", "↓ Try")
        await hand.shows("trying 1 of")
        await hand.do("escape", "Esc Restore")
        await hand.shows("[C] Rust")
        await hand.do("down enter", "↓ Try", "Enter Keep")
        await wait_for(hand.pilot, lambda: "short" not in screen_text(hand.pilot), "the row to be covered")
    with Store.open(path) as store:
        (kept,) = store.star("Weir").colourings
    assert kept.colouring.uses["C"] != ("Rust",)


@BY
async def test_a_suggestion_is_taken(path: Path, by: str) -> None:
    async with at_work(path, by) as hand:
        await hand.do("g", "g Suggestions")
        await hand.shows("1 of 1, steps")
        await hand.do("enter", "1 of 1, steps", "Enter Take")
        await wait_for(hand.pilot, lambda: hand.pilot.app.current_mode == "star", "the star")
        await hand.shows("Slate")
    with Store.open(path) as store:
        (kept,) = store.star("Weir").colourings
    assert kept.colouring.uses["C"] == ("Slate",)


@BY
async def test_a_way_on_is_kept_and_undone(path: Path, by: str) -> None:
    async with at_work(path, by) as hand:
        await hand.shows("2  Brick at C")
        await hand.do("2", "Brick at C")
        await hand.shows("Enter keeps")
        await hand.do("enter", "Enter Keep")
        await wait_for(hand.pilot, lambda: "✗" not in screen_text(hand.pilot), "the star to be covered")
        await hand.do("u s", "h History", "u Undo", "s Star")
        await hand.shows("✗ short 1")


@BY
async def test_a_star_is_opened_from_sizes(path: Path, by: str) -> None:
    async with at_work(path, by) as hand:
        await hand.do("z", "z Sizes")
        grid = hand.pilot.app.screen.query_one(SizesGrid)
        await wait_for(hand.pilot, lambda: len(grid.fits) > 14, "the small stars")
        await hand.do("up up left left left left enter", "9 5/8", "Enter Open")
        await wait_for(hand.pilot, lambda: hand.pilot.app.current_mode == "star", "the star")
        await hand.shows("1 1/2 in strips")
    with Store.open(path) as store:
        assert len(store.stars()) == 3


@BY
async def test_strips_are_ticked_and_a_tick_is_undone(path: Path, by: str) -> None:
    async with at_work(path, by) as hand:
        await hand.opens("o up enter", "Lock ")
        await hand.do("x", "x Cut")
        await hand.shows("0 strips cut, 9 strips")
        await hand.do("enter", "[ ]")
        await hand.shows("1 strip cut, 8 strips")
        await hand.do("u", "u Undo")
        await hand.shows("0 strips cut, 9 strips")
    assert "Undid" in texts(path)[0]


@BY
async def test_pages_are_printed(path: Path, by: str) -> None:
    async with at_work(path, by) as hand:
        await hand.do("p", "p Print")
        await hand.shows("page 1 of")
        await hand.do("pagedown", "›")
        await hand.shows("page 2 of")
        await hand.do("enter", "Write")
        await wait_for(hand.pilot, lambda: (path.parent / "Weir.pdf").exists(), "the file")


@BY
async def test_an_entry_of_the_history_is_undone(path: Path, by: str) -> None:
    async with at_work(path, by) as hand:
        await hand.do("h down down", "h History", "Set the value of Slate")
        await hand.do("enter", "Enter Undo this")
        await hand.shows("Undid entry 12")
    assert stored(path, "Slate").value_by_eye is None
