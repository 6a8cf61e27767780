"""Ways on at the Star screen, questions about what is not measured, and what of the stash counts."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from textual.widgets import Static

from stash.inventory.store import Store
from stash.match.coverage import check
from stash.model import Colouring, Mark, Star, Step
from stash.typed import read_pieces
from tests.tui.driving import SIZES, made, press, running, screen_text, settled, toasts
from tests.tui.star_screen import CLOTH_FOR_WAYS, USES, WEIR, covered, fill, star_screen, steps, table
from tui.dialogs.questions import QuestionsDialog
from tui.widgets.ways_list import WaysList


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A stash with a 3 x 3 star whose middle row is short by one strip."""
    return made(tmp_path / "ways.db", lambda store: fill(store, CLOTH_FOR_WAYS, None))


@pytest.mark.parametrize("size", SIZES)
async def test_each_way_is_tried_live_covers_and_is_put_back(path: Path, size: tuple[int, int]) -> None:
    async with running(path, size) as pilot:
        assert "What does cover it:" in screen_text(pilot)
        before = table(pilot)
        offered = steps(pilot)
        assert {Step.EXCHANGE, Step.STAND_IN, Step.LOOK_ALIKES, Step.BUY} <= set(offered)
        for number, step in enumerate(offered, start=1):
            if step is Step.BUY:
                continue
            await press(pilot, str(number))
            assert covered(pilot), step
            assert "Enter keeps it, Esc puts it back" in screen_text(pilot)
            await press(pilot, "escape")
            assert (table(pilot).star, table(pilot).shown) == (before.star, before.shown)
            assert not covered(pilot)
    with Store.open(path) as store:
        assert store.star("Weir").colourings[0].colouring.uses == USES


async def test_a_way_that_is_kept_is_saved_and_undone(path: Path) -> None:
    async with running(path) as pilot:
        alike = steps(pilot).index(Step.LOOK_ALIKES) + 1
        await press(pilot, str(alike), "enter")
        assert table(pilot).colouring.uses["C"] == ("Rust", "Brick")
        assert covered(pilot)
        assert not star_screen(pilot).query_one("#right-ways", WaysList).display
        await press(pilot, "u")
        assert table(pilot).colouring.uses == USES
        narrower = steps(pilot).index(Step.STRIP) + 1
        await press(pilot, str(narrower), "enter")
        assert table(pilot).star.strip < WEIR.strip
        assert covered(pilot)
        await press(pilot, "u")
        assert table(pilot).star == WEIR


async def test_the_same_number_again_and_another_number_while_trying(path: Path) -> None:
    async with running(path) as pilot:
        await press(pilot, "1", "2")
        ways = table(pilot).ways_now
        assert ways is not None
        assert table(pilot).way == ways.found[1]
        await press(pilot, "t", "plus", "n")  # nothing else happens while a way is tried
        assert table(pilot).way == ways.found[1]
        await press(pilot, "2")
        assert table(pilot).way is None


async def test_buying_is_told_and_changes_nothing(path: Path) -> None:
    async with running(path) as pilot:
        await press(pilot, str(steps(pilot).index(Step.BUY) + 1))
        assert "Buy 1/8 yd of Rust, full width" in toasts(pilot)[-1]
        assert table(pilot).way is None
        await press(pilot, "9")
        assert "no such way on" in toasts(pilot)[-1]


@pytest.mark.parametrize("size", SIZES)
async def test_a_way_is_tried_by_the_mouse(path: Path, size: tuple[int, int]) -> None:
    async with running(path, size) as pilot:
        at = steps(pilot).index(Step.STAND_IN) + 1
        await pilot.click("#right-ways", offset=(8, at))
        await settled(pilot)
        assert covered(pilot)
        assert table(pilot).shown.uses["C"] == ("Slate",)


async def test_what_is_not_measured_is_asked_and_yes_records_an_estimate(path: Path) -> None:
    """Three strips of 2 1/2 in and an inch of straightening: 8 1/2 in by 40 (common practice, no source)."""
    with Store.open(path) as store:
        saved = store.star("Weir")
        store.replace_colouring(saved.id, 1, Colouring({**USES, "C": ("Mist",)}))
    async with running(path) as pilot:
        await press(pilot, "y")
        assert isinstance(pilot.app.screen, QuestionsDialog)
        assert "Mist: row C needs 3 strips, 8 1/2 in by 40 in. Have it?" in " ".join(screen_text(pilot).split())
        await press(pilot, "y")
        assert covered(pilot)
        row = table(pilot).look().by_letter["C"]
        assert (row.mark, row.about) == (Mark.TIGHT, True)
        await press(pilot, "y")
        assert toasts(pilot)[-1] == "Every fabric of this star is measured"
        await press(pilot, "u")
        assert table(pilot).look().by_letter["C"].mark is Mark.UNMEASURED


async def test_a_length_is_taken_a_wrong_one_is_said_and_no_leaves_it_out(path: Path) -> None:
    with Store.open(path) as store:
        store.replace_colouring(store.star("Weir").id, 1, Colouring({**USES, "C": ("Mist",)}))
    async with running(path) as pilot:
        await press(pilot, "y", *"3", "enter")
        assert "inches or yards" in screen_text(pilot)
        await press(pilot, "backspace", *"3/8 yd", "enter")
        assert not table(pilot).look().by_letter["C"].about
        assert covered(pilot)
        await press(pilot, "u", "y", "n")
        assert "Mist" in star_screen(pilot).wishes.wishes.without


async def test_washing_first_and_held_cloth(path: Path) -> None:
    """Wheat of 6 in gives two strips; 3 % shorter, 5.82 less 1 in of straightening, it gives one (derived)."""
    with Store.open(path) as store:
        wheat = store.fabric("Wheat")
        store.count(wheat.id, read_pieces("6 in"))
        store.replace_colouring(store.star("Weir").id, 1, Colouring({**USES, "C": ("Slate",)}))
    async with running(path) as pilot:
        assert covered(pilot)
        await press(pilot, "i")
        assert "as after washing" in screen_text(pilot)
        assert table(pilot).look().by_letter["B"].mark is Mark.SHORT
        await press(pilot, "i")
        assert covered(pilot)
    with Store.open(path) as store:
        other = store.save_star("Mill", Star(2, Fraction(5, 2), "AAA"), Colouring({"A": ("Wheat",)}))
        store.count(store.fabric("Wheat").id, read_pieces("13 in"))
        store.keep_plan(other.id, 1, check(other.star, other.colourings[0].colouring, store.fabrics()).cuts)
    async with running(path) as pilot:
        assert table(pilot).look().by_letter["B"].mark is Mark.SHORT  # 4 of its 4 strips are held
        await press(pilot, "B")
        assert "some is held for Mill" in str(star_screen(pilot).query_one("#detail", Static).render())
        await press(pilot, "m")
        assert covered(pilot)
        assert "held cloth counted" in screen_text(pilot)


async def test_a_fabric_left_out_is_no_way_on(path: Path) -> None:
    async with running(path) as pilot:
        way = table(pilot).ways_now
        assert way is not None
        stand_in = next(one for one in way.found if one.step is Step.STAND_IN)
        assert stand_in.use == {"C": ("Slate",)}
        await press(pilot, "C", str(steps(pilot).index(Step.STAND_IN) + 1), "enter", "b")
        await press(pilot, "u")
        assert "Slate" in star_screen(pilot).wishes.wishes.without
        offered = table(pilot).ways_now
        assert offered is not None
        assert all("Slate" not in names for one in offered.found for names in one.use.values())


async def test_an_answer_that_is_being_saved_is_asked_only_once(path: Path) -> None:
    """No, or leaving, before the yes is in the stash: the yes counts, and nothing is asked or left twice."""
    with Store.open(path) as store:
        store.replace_colouring(store.star("Weir").id, 1, Colouring({**USES, "C": ("Mist",)}))
    async with running(path) as pilot:
        await press(pilot, "y")
        dialog = pilot.app.screen
        assert isinstance(dialog, QuestionsDialog)
        dialog.say_yes()
        dialog.say_no()
        dialog.action_leave()
        await settled(pilot)
        assert covered(pilot)
        assert star_screen(pilot).wishes.wishes.without == ()


async def test_what_was_not_there_is_suggested_again_once_it_is_recorded(path: Path) -> None:
    with Store.open(path) as store:
        store.replace_colouring(store.star("Weir").id, 1, Colouring({**USES, "C": ("Mist",)}))
        mist = store.fabric("Mist")
    async with running(path) as pilot:
        await press(pilot, "D", "b", "y", "n")
        assert table(pilot).without == ("Plum", "Mist")
        star_screen(pilot).main.save(lambda store: store.bought(mist.id, read_pieces("1 yd")))
        await settled(pilot)
        assert table(pilot).without == ("Plum",)  # a ban is no word about what is there
