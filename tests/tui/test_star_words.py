"""The sentences that are said of a star: its strip width, sizes, marks and steps."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from stash.model import Mark
from tests.engine.stars import star
from tui.screens import star_words as words
from tui.widgets.look import RowLook


def test_a_strip_width_that_misses_eight_says_what_a_run_takes() -> None:
    """3 1/4 at 40 gives seven and eight need 40.02 in (published table); 3 at 40 gives eight, 36.94."""
    text = words.width_text(star(strip=Fraction(13, 4)))
    assert "7 segments from 40 in, a run of eight takes 40.02 in" in text
    assert "8 segments from 40 in, 3.06 in to spare" in words.width_text(star(strip=Fraction(3)))


def test_both_finished_sizes_are_said() -> None:
    """3 x 3 of 2 1/2 in strips finishes 28.97 [source: agfblog.com, April 2019, printed 29]; tip to tip is
    4 S cos 22.5 = 31.35 (derived)."""
    assert words.size_text(star(3, "ABCDE")) == "29 in square, 31 3/8 in tip to tip"


def row(**fields: object) -> RowLook:
    return replace(RowLook("D", (4,), ("Moss",), needed=4, on_hand=3), **fields)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("look", "text"),
    [
        (row(mark=Mark.COVERED), "✓ covered"),
        (row(mark=Mark.COVERED, about=True), "✓ about covered"),
        (row(mark=Mark.TIGHT, spare=0.0625), "≈ tight: 0.06 in to spare"),
        (row(mark=Mark.TIGHT), "≈ tight: no further strip to spare"),
        (
            row(mark=Mark.SHORT, missing=1, buy=Fraction(9, 2), buy_with_spare=Fraction(9)),
            "✗ short: 1 strip missing, buy 1/8 yd (1/4 yd with a spare)",
        ),
        (
            row(mark=Mark.UNMEASURED),
            "? unmeasured: no piece is recorded. The row takes 4 strips, 10 in by 40 in",
        ),
    ],
)
def test_a_mark_in_full_says_what_it_means(look: RowLook, text: str) -> None:
    assert words.mark_sentence(star(), look) == text


def test_a_star_in_centimetres_buys_in_centimetres() -> None:
    look = row(mark=Mark.SHORT, missing=2, buy=Fraction(2000, 254), buy_with_spare=Fraction(3000, 254))
    text = words.mark_sentence(star(units="cm"), look)
    assert "buy 20 cm (30 cm with a spare)" in text


@pytest.mark.parametrize(
    ("values", "text"), [([90, 80, 66], "steps 10 to 14"), ([90, 80, 70], "steps of 10"), ([50], "one fabric")]
)
def test_steps_are_said_as_a_range(values: list[float], text: str) -> None:
    assert words.steps_text(values) == text
