"""A saved star gets another name or is removed, a colouring is removed; each can be undone."""

from __future__ import annotations

from pathlib import Path

from stash.inventory.store import Store
from stash.model import Colouring
from tests.tui.driving import running, screen_text, settled, toasts, wait_for
from tui.dialogs.star_choice import StarChoice, StarList


async def test_a_star_is_renamed_in_the_list_of_stars(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        await pilot.press("o", "e")
        await settled(pilot)
        await pilot.press(*" two", "enter")
        await wait_for(pilot, lambda: pilot.app.loaded.stars[0].name == "Lantern two", "the new name")
        assert isinstance(pilot.app.screen, StarChoice)
        assert "Lantern two" in screen_text(pilot)
        await pilot.press("escape", "u")
        await wait_for(pilot, lambda: pilot.app.loaded.stars[0].name == "Lantern", "the old name")


async def test_a_name_that_is_taken_is_told_and_nothing_changes(stash_path: Path) -> None:
    with Store.open(stash_path) as store:
        store.save_star("Other", store.stars()[0].star)
    async with running(stash_path) as pilot:
        await pilot.press("o")
        await settled(pilot)
        listed = pilot.app.screen.query_one(StarList)
        listed.cursor = 1 + [star.name for star in listed.stars].index("Lantern")
        await pilot.press("e", "ctrl+u", *"other", "enter")
        await wait_for(pilot, lambda: toasts(pilot), "the fault")
        assert {star.name for star in pilot.app.loaded.stars} == {"Lantern", "Other"}


async def test_removing_a_star_asks_once_more_and_can_be_undone(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        await pilot.press("o", "delete")
        await settled(pilot)
        assert "Remove Lantern with its colourings and plans? Del again removes it" in screen_text(pilot)
        await pilot.press("up", "down", "delete")  # another line in between: it is asked anew
        await settled(pilot)
        assert pilot.app.loaded.stars
        await pilot.press("delete")
        await wait_for(pilot, lambda: not pilot.app.loaded.stars, "the star to go")
        assert "takes it back" in toasts(pilot)[0]
        await pilot.press("escape", "u")
        await wait_for(pilot, lambda: pilot.app.loaded.stars, "the star to come back")
        assert pilot.app.loaded.stars[0].colourings[0].colouring.uses["A"] == ("Milk",)


async def test_a_colouring_is_removed_but_not_the_last(stash_path: Path) -> None:
    with Store.open(stash_path) as store:
        star = store.stars()[0]
        store.save_star("Lantern", star.star, Colouring({"A": ("Straw",), "B": ("Night",)}))
    async with running(stash_path) as pilot:
        assert pilot.app.opened is not None
        assert pilot.app.opened.number == 1
        await pilot.press("ctrl+d")
        await wait_for(pilot, lambda: len(pilot.app.loaded.stars[0].colourings) == 1, "one colouring")
        assert pilot.app.opened.number == 2
        await pilot.press("ctrl+d")
        await wait_for(pilot, lambda: "only colouring" in toasts(pilot)[0], "the refusal")
        assert len(pilot.app.loaded.stars[0].colourings) == 1


async def test_undo_is_there_where_a_star_was_removed(stash_path: Path) -> None:
    async with running(stash_path) as pilot:
        await pilot.press("o", "delete", "delete")
        await wait_for(pilot, lambda: not pilot.app.loaded.stars, "the star to go")
        await pilot.press("u")
        await wait_for(pilot, lambda: pilot.app.loaded.stars, "the star to come back")
        assert isinstance(pilot.app.screen, StarChoice)
        assert "Lantern" in screen_text(pilot)


async def test_a_colouring_with_a_plan_is_removed_at_the_second_press(cut_path: Path) -> None:
    with Store.open(cut_path) as store:
        saved = store.stars()[0]
        store.save_star(saved.name, saved.star, Colouring({"A": ("Cloud",), "B": ("Fern",)}))
    async with running(cut_path) as pilot:
        await pilot.press("j")
        await wait_for(pilot, lambda: pilot.app.loaded.plans, "the plan kept")
        await pilot.press("s", "ctrl+d")
        await wait_for(pilot, lambda: toasts(pilot), "the question")
        assert "Its plan goes with this colouring (0 of 4 strips cut): ^d again removes both" in toasts(pilot)[0]
        assert len(pilot.app.loaded.stars[0].colourings) == 2
        await pilot.press("ctrl+d")
        await wait_for(pilot, lambda: len(pilot.app.loaded.stars[0].colourings) == 1, "the colouring to go")
        assert not pilot.app.loaded.plans


async def test_while_a_fabric_is_tried_no_colouring_is_removed(stash_path: Path) -> None:
    with Store.open(stash_path) as store:
        store.save_star("Lantern", store.stars()[0].star, Colouring({"A": ("Straw",), "B": ("Night",)}))
    async with running(stash_path) as pilot:
        await pilot.press("A", "down")
        await settled(pilot)
        await pilot.press("ctrl+d")
        await wait_for(pilot, lambda: any("before it is removed" in text for text in toasts(pilot)), "the refusal")
        assert len(pilot.app.loaded.stars[0].colourings) == 2
