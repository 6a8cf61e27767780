"""The palette as a bar, and what is said of a photograph."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stash.model import Colour, PaletteColour, Reference
from tests.tui.swatches import measured
from tui.widgets.palette_bar import cells_for, parts_of
from tui.widgets.swatch_words import range_words, swatch_words, variety_words
from tui.widgets.value_bar import value_figure, value_text

SHARES = st.lists(st.floats(0.02, 1.0), min_size=1, max_size=8)


def shares_of(*shares: float) -> tuple[PaletteColour, ...]:
    return tuple(PaletteColour(Colour(50, 0, 0), share) for share in shares)


@given(SHARES, st.integers(8, 120))
def test_cells_add_up_and_go_by_share(shares: list[float], width: int) -> None:
    cells = cells_for(shares, width)
    assert sum(cells) == width
    assert min(cells) >= 1
    spare, whole = width - len(shares), sum(shares)
    assert all(abs(got - 1 - spare * share / whole) < 1 for got, share in zip(cells, shares, strict=True))


def test_where_there_are_fewer_cells_than_colours_the_heaviest_stand() -> None:
    assert cells_for([0.5, 0.3, 0.2], 2) == [1, 1]
    assert cells_for([], 10) == []


def test_labels_are_the_shares_as_far_as_there_is_room() -> None:
    assert [part.label for part in parts_of(shares_of(0.6, 0.3, 0.1), 40)] == ["60 %", "30 %", "10 %"]
    assert [part.label for part in parts_of(shares_of(0.6, 0.3, 0.1), 14)] == ["60 %", "30%", "10"]
    assert [part.label for part in parts_of(shares_of(0.9, 0.1), 4)] == ["90%", ""]
    assert [part.label for part in parts_of(shares_of(0.6, 0.3, 0.1), 14, gap=1)] == ["60 %", "30%", ""]


@given(SHARES, st.integers(1, 60), st.integers(0, 1))
def test_no_label_is_wider_than_its_part(shares: list[float], width: int, gap: int) -> None:
    assert all(len(part.label) <= max(part.cells - gap, 0) for part in parts_of(shares_of(*shares), width, gap))


@pytest.mark.parametrize(
    ("variety", "words"),
    [
        (0.0, "solid, variety 0.0"), (2.9, "solid, variety 2.9"), (3.0, "reads as solid, variety 3.0"),
        (7.9, "reads as solid, variety 7.9"), (8.0, "print, variety 8.0"), (14.9, "print, variety 14.9"),
        (15.1, "busy, variety 15.1"),
    ],
)  # fmt: skip
def test_variety_has_a_word_and_its_figure(variety: float, words: str) -> None:
    assert variety_words(measured(variety=variety)) == words


def test_the_value_stands_with_its_range() -> None:
    assert range_words(measured(62.4, low=47.6, high=71.2)) == "value 62, 48 to 71"
    assert range_words(measured(62.4, Reference.NONE)) == "value ~62, ~48 to ~71"


@pytest.mark.parametrize(
    ("reference", "words"),
    [
        (Reference.PAPER, "measured on paper"),
        (Reference.WHITE, "measured with a white patch"),
        (Reference.GREY, "measured with a grey card"),
        (Reference.NONE, "~ relative: no reference in the photograph, good for order within one photo only"),
    ],
)
def test_the_reference_is_named(reference: Reference, words: str) -> None:
    assert swatch_words(measured(reference=reference)).splitlines()[2] == words


def test_every_figure_of_a_relative_value_is_marked_and_takes_four_cells() -> None:
    assert value_text(61.6, True) == "~62"
    assert value_figure(61.6, relative=True) == "~62 "
    assert value_figure(7, relative=True) == " ~7 "
    assert value_figure(99.9, relative=True) == "~100"
    assert value_figure(62, by_eye=True) == " 62*"
    assert value_figure(None) == " -- "
