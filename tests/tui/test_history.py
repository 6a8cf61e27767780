"""The History screen: newest first, undone entries told by a word, refusals said, pages read as they are needed."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from stash.inventory.store import Store
from stash.model import Entry, NewFabric
from tests.tui.driving import SIZES, on_top, running, screen_text, settled, wait_for
from tui.screens.history import PAGE, HistoryScreen, joined, place_of
from tui.when import local_time
from tui.widgets.history_list import HistoryList


async def to_history(pilot: Pilot[None]) -> HistoryScreen:
    await pilot.press("h")
    await settled(pilot)
    return on_top(pilot, HistoryScreen)


def line_with(pilot: Pilot[None], words: str) -> str:
    return next(line for line in screen_text(pilot).splitlines() if words in line)


@pytest.mark.parametrize("size", SIZES)
async def test_newest_first_and_undone_says_so(stash_path: Path, size: tuple[int, int]) -> None:
    with Store.open(stash_path) as store:
        store.archive(store.fabric("Fern").id)
    async with running(stash_path, size) as pilot:
        screen = await to_history(pilot)
        entries = screen.query_one(HistoryList).entries
        assert [entry.op for entry in entries] == sorted((entry.op for entry in entries), reverse=True)
        assert "Archived Fern" in entries[0].text
        assert "undone" not in line_with(pilot, "Archived Fern")
        await pilot.press("enter")
        await settled(pilot)
        assert "undone" in next(
            line for line in screen_text(pilot).splitlines() if "Archived Fern" in line and "Undid" not in line
        )
        assert "Undid" in screen.query_one(HistoryList).entries[0].text
    with Store.open(stash_path) as store:
        assert not store.fabric("Fern").archived


@pytest.mark.parametrize("size", SIZES)
async def test_the_entry_in_hand_stands_in_full_below(stash_path: Path, size: tuple[int, int]) -> None:
    """However narrow the list, and with its time; an undone one says so."""
    name = " ".join(["A very long name of a fabric"] * 3)
    with Store.open(stash_path) as store:
        store.add(NewFabric(name, place="on the shelf"))
        store.archive(store.fabric("Fern").id)
        store.undo()
    async with running(stash_path, size) as pilot:
        screen = await to_history(pilot)
        entries = screen.query_one(HistoryList).entries
        below = screen.query_one("#entry", Static)
        long = next(at for at, entry in enumerate(entries) if name in entry.text)
        assert f"Entry {entries[0].op}, {local_time(entries[0].at)}: Undid" in str(below.content)
        await pilot.press(*["down"] * long)
        await settled(pilot)
        assert str(below.content) == f"Entry {entries[long].op}, {local_time(entries[long].at)}: {entries[long].text}"
        lines = [line.strip() for line in screen_text(pilot).splitlines()[below.region.y : below.region.bottom]]
        assert " ".join(lines).strip() == str(below.content)
        await pilot.press("up")
        await settled(pilot)
        assert str(below.content).endswith("Archived Fern (undone)")


async def test_an_older_entry_is_undone_alone(stash_path: Path) -> None:
    with Store.open(stash_path) as store:
        store.archive(store.fabric("Fern").id)
        store.edit(store.fabric("Milk").id, place="drawer")
    async with running(stash_path) as pilot:
        await to_history(pilot)
        await pilot.press("down", "enter")
        await settled(pilot)
    with Store.open(stash_path) as store:
        assert not store.fabric("Fern").archived
        assert store.fabric("Milk").place == "drawer"


async def test_a_refusal_is_said_and_changes_nothing(stash_path: Path) -> None:
    with Store.open(stash_path) as store:
        store.edit(store.fabric("Milk").id, place="drawer")
        store.edit(store.fabric("Milk").id, place="tin")
        before = len(store.history(limit=100))
    async with running(stash_path) as pilot:
        screen = await to_history(pilot)
        await pilot.press("down", "enter")
        await wait_for(pilot, lambda: "✗" in str(screen.query_one("#why").render()), "the refusal")
        assert "✗" in screen_text(pilot)
        await pilot.press("down")
        assert not str(screen.query_one("#why").render())
    with Store.open(stash_path) as store:
        assert store.fabric("Milk").place == "tin"
        assert len(store.history(limit=100)) == before


async def test_a_long_history_is_read_in_pages(stash_path: Path) -> None:
    with Store.open(stash_path) as store:
        milk = store.fabric("Milk").id
        for number in range(PAGE + 60):
            store.edit(milk, place=f"box {number}")
        total = len(store.history(limit=10_000))
    async with running(stash_path) as pilot:
        screen = await to_history(pilot)
        listed = screen.query_one(HistoryList)
        assert len(listed.entries) == PAGE
        assert f"newest {PAGE}" in screen_text(pilot)
        await pilot.press("end")
        await wait_for(pilot, lambda: len(listed.entries) == total, "the rest of the history")
        assert [entry.op for entry in listed.entries] == list(range(listed.entries[0].op, 0, -1))
        await pilot.press("end")
        assert "Added Milk" in screen_text(pilot)
        await pilot.press("n")
        assert listed.cursor == 0


async def test_after_an_undo_only_the_newest_page_is_read(stash_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with Store.open(stash_path) as store:
        milk = store.fabric("Milk").id
        for number in range(PAGE + 60):
            store.edit(milk, place=f"box {number}")
    asked: list[int] = []
    history = Store.history

    def counted(self: Store, **how: object) -> list[Entry]:
        asked.append(how["limit"])
        return history(self, **how)

    async with running(stash_path) as pilot:
        screen = await to_history(pilot)
        listed = screen.query_one(HistoryList)
        await pilot.press("end")
        await wait_for(pilot, lambda: len(listed.entries) > PAGE, "the rest of the history")
        await settled(pilot)
        await pilot.press("home")
        monkeypatch.setattr(Store, "history", counted)
        before = len(listed.entries)
        await pilot.press("enter")
        await settled(pilot)
        assert asked == [PAGE]
        assert len(listed.entries) == before + 1
        assert (listed.entries[0].undo_of, listed.entries[1].undone) == (listed.entries[1].op, True)
    with Store.open(stash_path) as store:
        assert list(listed.entries) == history(store, limit=10_000)


@pytest.mark.parametrize("size", [3, 4, 7, 100])
def test_a_page_joined_to_what_is_known_is_the_history(stash_path: Path, size: int) -> None:
    """Derived: whatever was done and undone since, page and known together are what reading all of it gives."""
    with Store.open(stash_path) as store:
        ids = [fabric.id for fabric in store.fabrics()]
        for number in range(12):
            store.edit(ids[number % 5], place=f"box {number}")
        known = tuple(store.history(limit=10_000))
        for op in (known[0].op, known[3].op, known[4].op):  # the last two are of fabrics not changed since
            store.undo(op)
            page = store.history(limit=size)
            known = joined(page, known)
            assert known == tuple(store.history(limit=10_000))
        store.edit(ids[0], place="tin")
        store.edit(ids[0], place="drawer")
        known = joined(store.history(limit=size), known)
        assert known == tuple(store.history(limit=10_000))
        for number in range(size):
            store.edit(ids[1], place=f"shelf {number}")
        assert joined(store.history(limit=size), known) == tuple(store.history(limit=size)), "too much was done since"
    assert [place_of(known, entry.op) for entry in known] == list(range(len(known)))
    assert place_of(known, None) is None
    assert place_of(known, known[0].op + 1) is None


async def test_nothing_to_undo_in_an_empty_stash(empty_path: Path) -> None:
    async with running(empty_path) as pilot:
        await to_history(pilot)
        assert "Nothing was changed yet" in screen_text(pilot)
        await pilot.press("enter")
        await settled(pilot)
