"""Runs near to a fabric: the key on the Stash screen, the wish, what a run meets and what its rows do."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from stash.inventory.store import Store
from stash.match.neighbours import Neighbour, Side
from stash.match.sequence import suggest
from stash.match.wishes import Wishes
from stash.model import Colour, Fabric, Met, NewFabric, PaletteColour, Sequence, Star, Suggestions
from stash.typed import read_pieces
from tests.tui.driving import SIZES, press, running, screen_text, settled, toasts, wait_for
from tests.tui.suggestions_screen import SLUICE, fill
from tests.tui.swatches import give_photograph, measured
from tui.dialogs.wishes import WishesDialog
from tui.screens.run_words import meets_text, neighbours_text, run_lines
from tui.screens.suggestions import SuggestionsScreen
from tui.widgets.ribbon import Ribbon

# name, L, a, b (invented); each has a yard
CLOTH = (
    ("Lime", 93, -2, 8), ("Bone", 90, 0, 6), ("Pear", 76, -12, 50), ("Blush", 72, 28, 18), ("Teal", 58, -26, -8),
    ("Clay", 55, 28, 30), ("Moss", 44, -16, 24), ("Rust", 41, 31, 22), ("Ink", 20, 4, -24), ("Soot", 16, 0, 0),
)  # fmt: skip


@pytest.fixture
def near_path(tmp_path: Path) -> Path:
    """Ten fabrics, a print called Garden (62, with 42 and 72 in it), a fabric with no colour, a mirrored star."""
    path = tmp_path / "near.db"
    with Store.create(path) as store:
        fill(store, CLOTH, {})
        store.add(NewFabric("Garden", read_pieces("1/4 yd")))
        store.add(NewFabric("Nameless", read_pieces("1 yd")))
    give_photograph(path, "Garden", measured(variety=16.0))
    return path


async def to_fabric(pilot: Pilot[None], name: str) -> None:
    await press(pilot, "f", "slash", *name.lower(), "enter")


def expected(path: Path, near: str) -> Suggestions:
    """The engine's own answer."""
    with Store.open(path) as store:
        return suggest(store.star("Sluice").star, store.fabrics(), Wishes(near=near))


@pytest.mark.parametrize("size", SIZES)
async def test_one_key_on_a_fabric_leads_to_runs_round_it(near_path: Path, size: tuple[int, int]) -> None:
    answer = expected(near_path, "Garden")
    async with running(near_path, size) as pilot:
        await to_fabric(pilot, "garden")
        await press(pilot, "n")
        screen = pilot.app.screen
        assert isinstance(screen, SuggestionsScreen)
        await wait_for(pilot, lambda: screen.ribbon is not None, "a ribbon in focus")
        await settled(pilot)
        text = screen_text(pilot)
        assert "near Garden" in text
        first = answer.sequences[0]
        assert f"meets {len(first.meets)} of {len(answer.main_colours)} main colours of Garden" in text
        assert len(answer.main_colours) == 3
        assert [chip.name for chip in screen.query(Ribbon).first().look.chips] == [one.name for one in first.fabrics]


async def test_the_words_go_with_the_run_in_hand(near_path: Path) -> None:
    answer = expected(near_path, "Garden")
    async with running(near_path, (120, 40)) as pilot:
        await to_fabric(pilot, "garden")
        await press(pilot, "n")
        for run in answer.sequences:
            for line in run_lines(SLUICE, answer, run):
                await wait_for(pilot, lambda line=line: line in " ".join(screen_text(pilot).split()), line)
            await press(pilot, "down")


async def test_a_fabric_with_no_colour_and_a_table_with_no_star_are_said(near_path: Path) -> None:
    async with running(near_path) as pilot:
        await to_fabric(pilot, "nameless")
        await press(pilot, "n")
        assert any("Nameless has no colour yet" in text for text in toasts(pilot))
        assert not isinstance(pilot.app.screen, SuggestionsScreen)
    with Store.open(near_path) as store:
        store.drop_star(store.star("Sluice").id)
    async with running(near_path) as pilot:
        await to_fabric(pilot, "garden")
        await press(pilot, "n")
        assert any("No star is on the table" in text for text in toasts(pilot))


async def test_near_is_a_wish_that_can_be_typed_and_taken_away(near_path: Path) -> None:
    async with running(near_path, (120, 40)) as pilot:
        await press(pilot, "g", "e")
        dialog = pilot.app.screen
        assert isinstance(dialog, WishesDialog)
        field = dialog.query_one("#near", Input)
        field.focus()
        field.value = "gardn"
        await press(pilot, "enter")
        assert "Garden" in screen_text(pilot)  # the nearest name is offered
        assert pilot.app.screen is dialog
        field.value = "nameless"
        await press(pilot, "enter")
        assert '"Nameless" has no colour yet' in screen_text(pilot)
        field.value = "GARDEN"
        await press(pilot, "enter")
        await wait_for(pilot, lambda: "main colours of Garden" in screen_text(pilot), "the runs")
        await press(pilot, "e")
        again = pilot.app.screen.query_one("#near", Input)
        assert again.value == "Garden"
        again.value = ""
        await press(pilot, "enter")
        await wait_for(pilot, lambda: "Garden" not in screen_text(pilot), "the runs without it")


# -- the words


def answered(met: tuple[Met, ...], main: int = 3) -> tuple[Suggestions, Sequence]:
    run = Sequence(0.0, (), (), (), meets=met)
    return Suggestions((run,), (), 5.0, near="Garden", main_colours=(PaletteColour(Colour(50, 0, 0), 0.3),) * main), run


def test_what_is_met_is_counted_and_named_with_the_letter() -> None:
    pink, black = Met(Colour(62, 20, 10), 0.5, "C"), Met(Colour(8, 0, 0), 0.2, "F")
    assert meets_text(*answered((pink, black))) == "meets 2 of 3 main colours of Garden: dusty pink (C), black (F)"
    assert meets_text(*answered(())) == "meets 0 of 3 main colours of Garden"
    assert meets_text(*answered((pink,), 1)) == "meets 1 of 1 main colour of Garden: dusty pink (C)"


def test_neighbours_have_their_words() -> None:
    found = (
        Neighbour(Side.BLEND, "AB", (1, 2)),
        Neighbour(Side.SAME_VALUE, "DE", (4, 5)),
        Neighbour(Side.OVERLAP, "DE", (4, 5)),
    )
    assert neighbours_text(found) == (
        "A and B: blend; D and E: same value, another colour; D and E: busy prints that overlap"
    )
    assert neighbours_text(()) == ""


def test_every_kind_of_neighbour_has_words() -> None:
    assert all(neighbours_text((Neighbour(kind, "AB", (1, 2)),)) for kind in Side)


def test_a_run_that_stands_apart_has_nothing_said_of_it() -> None:
    fabrics = (Fabric(1, "Bone", colour=Colour(90, 0, 6)), Fabric(2, "Soot", colour=Colour(16, 0, 0)))
    run = Sequence(0.0, fabrics, (90.0, 16.0), ())
    assert run_lines(Star(2, Fraction(5, 2), "ABA"), Suggestions((run,), (90.0, 16.0), 5.0), run) == []


def test_blends_same_values_and_relative_values_are_said() -> None:
    fabrics = (
        Fabric(1, "Rose", colour=Colour(60, 30, 10)),
        Fabric(2, "Pink", colour=Colour(58, 28, 12, "relative")),
        Fabric(3, "Reed", colour=Colour(57, -30, 30)),
    )
    run = Sequence(0.0, fabrics, (60.0, 58.0, 57.0), ())
    lines = run_lines(Star(2, Fraction(5, 2), "ABC"), Suggestions((run,), (60.0, 58.0, 57.0), 1.0), run)
    assert lines == [
        "A and B: blend; B and C: same value, another colour",
        "~ relative values: good for order within one photograph only",
    ]
