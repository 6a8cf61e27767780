"""Reading, keeping and printing lengths."""

from __future__ import annotations

import time
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from stash import lengths
from stash.errors import UsageFault
from stash.lengths import Bare, exact_text, read_length, to_inches, to_ticks

F = Fraction

CM = F(100, 254)  # 1 in = 25.4 mm exactly: international yard and pound agreement of 1959


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("2 1/2", F(5, 2)), ("2½", F(5, 2)), ('2-1/2"', F(5, 2)), ("2.5", F(5, 2)), ("2,5", F(5, 2)),
        ("2.5 in", F(5, 2)), ("2.5IN", F(5, 2)), ("2 ½ inches", F(5, 2)), ("2 1/2″", F(5, 2)),
        ("2-½ inch", F(5, 2)), ("2\u00a01/2", F(5, 2)), (" 5 ", F(5)), ("5/2", F(5, 2)),
        ("1⁄2", F(1, 2)), (".5", F(1, 2)), ("63/64", F(63, 64)), ("1 1/2 yd", F(54)), ("1½yd", F(54)),
        ("1/3 yard", F(12)), ("2 Yards", F(72)), ("50 cm", 50 * CM), ("500 MM", 50 * CM), ("6 cm", 6 * CM),
        ("1 m", 100 * CM), ("2,5 cm", F(5, 2) * CM), ("1,25 m", 125 * CM), ("100 m", 10_000 * CM),
        ("1.000", F(1)), ("1,0005", F(10005, 10000)), ("1000", F(1000)),
    ],
)  # fmt: skip
def test_lengths_are_understood_alike(text: str, inches: F) -> None:
    assert read_length(text) == inches


@pytest.mark.parametrize(
    "text",
    [
        "", " ", "nan", "inf", "-inf", "1e9", "1E9", "1e400", "1e999999999", "9" * 5000, "1/" + "9" * 5000,
        "1/0", "0/4",
        "1/1", "1/65", "-5", "+5", "0", "0 in", "0.0", "0x10", "1_000", "５", "٣", "½½", "1,000", "12,345 cm",
        "21/2", "2 3/2", "2 1/2 1/2", "2..5", "2.5.1", "5 ft", "5 in in", "in", "1 000", "5.", "1 yd 5 in",
        "100.001 m", "3938", "10001 cm", "\x00", "5\n6", "5\x1b[2J", "[red]5", "²", "5 \u202e", "\ud800", "١/٢",
        "5 ＩＮ", "2 1/2 " + " " * 20 + "in",
    ],
)  # fmt: skip
def test_refused_at_once_with_what_is_accepted(text: str) -> None:
    start = time.perf_counter()
    with pytest.raises(UsageFault) as fault:
        read_length(text)
    assert time.perf_counter() - start < 0.5, "an endless number must be refused before it is computed"
    assert fault.value.do, "the message says what to write instead"
    assert fault.value.line().isprintable(), "nothing typed may steer the terminal"
    assert len(fault.value.line()) < 300


def test_a_bare_number_in_the_maker_s_units() -> None:
    assert read_length("6", units="cm") == 6 * CM
    assert read_length("6 in", units="cm") == 6
    assert read_length("6") == 6


def test_a_bare_piece_under_four_is_asked_about() -> None:
    assert read_length("4", bare=Bare.PIECE) == 4
    assert read_length("13 1/2", bare=Bare.PIECE) == F(27, 2)
    assert read_length("3 in", bare=Bare.PIECE) == 3
    assert read_length("3 yd", bare=Bare.PIECE) == 108
    for text in ("3", "1/2", "3 7/8", "3.99"):
        with pytest.raises(UsageFault, match="inches or yards"):
            read_length(text, bare=Bare.PIECE)


def test_an_upper_limit_of_exactly_100_m() -> None:
    assert to_ticks(read_length("100 m")) == lengths.LONGEST_TICKS
    assert to_ticks(read_length("100000 mm")) == lengths.LONGEST_TICKS
    with pytest.raises(UsageFault, match="100 m"):
        read_length("100000.1 mm")


@given(st.text(max_size=40))
@example("1 ⅞ m")
def test_any_text_is_a_length_or_a_usage_fault(text: str) -> None:
    try:
        inches, line = read_length(text), ""
    except UsageFault as fault:
        inches, line = F(1), fault.line()
    assert 0 < inches <= lengths.LONGEST
    assert line.isprintable()


@given(st.integers(1, lengths.LONGEST_TICKS))
@example(1)
@example(lengths.LONGEST_TICKS)
@example(127)
@example(32)
def test_exact_text_comes_back_to_the_same_ticks(ticks: int) -> None:
    text = exact_text(ticks)
    assert len(text) <= lengths.LONGEST_TEXT
    assert text.isascii()
    assert to_ticks(read_length(text)) == ticks


def test_exact_text_says_it_as_a_maker_would() -> None:
    assert exact_text(to_ticks(F(27, 2))) == "13 1/2 in"
    assert exact_text(127) == "1/64 in"
    assert exact_text(to_ticks(50 * CM)) == "50 cm"
    assert exact_text(to_ticks(F(625, 100) * CM)) == "6.25 cm"
    assert exact_text(to_ticks(F(81, 10))) == "8.1 in"


def test_the_tick_holds_both_systems_exactly() -> None:
    """1/320 mm: 1/64 in and 0.1 mm are whole numbers of it (derived from 1 in = 25.4 mm)."""
    assert to_inches(lengths.TICKS_PER_INCH) == 1
    assert F(254, 10) * 320 == lengths.TICKS_PER_INCH
    assert to_ticks(F(1, 64)) == lengths.TICKS_PER_64TH == F(254, 10) * 320 / 64
    assert to_ticks(CM / 100) == lengths.TICKS_PER_TENTH_MM


@given(st.fractions(F(1, 100), 3900, max_denominator=1000))
def test_ticks_are_rounded_up_by_less_than_one(inches: F) -> None:
    ticks = to_ticks(inches)
    assert to_inches(ticks - 1) < inches <= to_inches(ticks)


def test_three_strips_of_27_tenths_come_out_of_81_tenths() -> None:
    assert to_inches(to_ticks(F(81, 10))) / F(27, 10) >= 3


# Source: scissortailquilting.com conversion table of yards and inches.
@pytest.mark.parametrize(
    ("yards", "inches"),
    [("1/8", "4 1/2"), ("1/4", "9"), ("1/3", "12"), ("3/8", "13 1/2"), ("1/2", "18"), ("5/8", "22 1/2"),
     ("2/3", "24"), ("3/4", "27"), ("7/8", "31 1/2")],
)  # fmt: skip
def test_yards_and_inches_as_the_conversion_table_has_them(yards: str, inches: str) -> None:
    assert read_length(f"{yards} yd") == read_length(inches)
    assert lengths.show_inches(read_length(f"{yards} yd")) == inches
    assert lengths.show_yards(read_length(inches) / 36) == yards


# Common practice, no source: 5 in is more than 1/8 yd and 15 in more than 3/8.
@pytest.mark.parametrize(
    ("inches", "yards"),
    [(F(9, 2), "1/8"), (5, "1/4"), (9, "1/4"), (10, "3/8"), (15, "1/2"), (18, "1/2"), (49, "1 3/8")],
)
def test_cuts_are_sold_up_to_the_next_eighth(inches: F, yards: str) -> None:
    assert lengths.show_yards(lengths.yards_up(F(inches))) == yards


def test_centimetres_are_sold_up_to_the_next_ten() -> None:
    assert lengths.cm_up(10 * CM) == 10
    assert lengths.cm_up(F(10)) == 30
    assert lengths.cm_up(10 * CM + F(1, 1000)) == 20


def test_printing() -> None:
    assert lengths.show_inches(F(47, 4)) == "11 3/4"
    assert lengths.show_inches(F(1, 3), 64) == "21/64"
    assert lengths.show_inches(F(-3, 2)) == "-1 1/2"
    assert lengths.show_inches(F(0)) == "0"
    assert lengths.show_yards(F(11, 8)) == "1 3/8"
    assert lengths.show_yards(F(37, 36)) == "1"
    assert lengths.show_length(F(47, 4)) == "11 3/4 in"
    assert lengths.show_length(F(47, 4), "cm") == "29.8 cm"
    assert lengths.show_cm(-CM) == "-1"
    assert lengths.show_typed(F(27, 10)) == "2.7 in"
    assert lengths.show_typed(F(9, 4)) == "2 1/4 in"
    assert lengths.show_typed(6 * CM, "cm") == "6 cm"


@given(st.fractions(-1000, 1000, max_denominator=500), st.sampled_from([F(1, 8), F(1, 64), F(1), F(27, 10)]))
def test_rounding_to_a_step_goes_the_way_it_says(value: F, step: F) -> None:
    up, down = lengths.up_to(value, step), lengths.down_to(value, step)
    assert down <= value <= up
    assert up - down in (0, step)
    assert (up / step).denominator == (down / step).denominator == 1
