"""What a maker types as a piece of cloth."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stash.errors import UsageFault
from stash.lengths import exact_text, to_ticks
from stash.model import Kind, NewPiece
from stash.typed import read_pieces

F = Fraction

CM = F(100, 254)
Y, FQ, FE = Kind.YARDAGE, Kind.FAT_QUARTER, Kind.FAT_EIGHTH


def piece(kind: Kind, length: F | int, width: F | int) -> NewPiece:
    return NewPiece(kind, to_ticks(F(length)), to_ticks(F(width)))


# Fat quarters and eighths are planned at 18 x 21 and 9 x 21, yardage at 40: common practice, no source.
@pytest.mark.parametrize(
    ("text", "count", "wanted"),
    [
        ("1/2 yd", 1, piece(Y, 18, 40)), ("13 1/2", 1, piece(Y, F(27, 2), 40)), ("50cm", 1, piece(Y, 50 * CM, 40)),
        ("1 m", 1, piece(Y, 100 * CM, 40)), ("fq", 1, piece(FQ, 18, 21)), (" FQ ", 1, piece(FQ, 18, 21)),
        ("fe", 1, piece(FE, 9, 21)), ("Fat Quarter", 1, piece(FQ, 18, 21)), ("fat-eighths", 1, piece(FE, 9, 21)),
        ("2 x fq", 2, piece(FQ, 18, 21)), ("2×FQ", 2, piece(FQ, 18, 21)), ("2 fq", 2, piece(FQ, 18, 21)),
        ("3 fat quarters", 3, piece(FQ, 18, 21)), ("12 x fat eighth", 12, piece(FE, 9, 21)),
        ("3 x 1/2 yd", 3, piece(Y, 18, 40)), ("2 x 1 m", 2, piece(Y, 100 * CM, 40)),
        ("18 x 21", 1, piece(FQ, 18, 21)), ("9x21", 1, piece(FE, 9, 21)), ("18 by 22", 1, piece(Y, 18, 22)),
        ('18" x 24"', 1, piece(Y, 18, 24)), ("18 x 24 in", 1, piece(Y, 18, 24)),
        ("50 x 55 cm", 1, piece(Y, 50 * CM, 55 * CM)), ("50 cm x 110", 1, piece(Y, 50 * CM, 110 * CM)),
        ("1 m x 110", 1, piece(Y, 100 * CM, 110 * CM)), ("1/2 yd x 42", 1, piece(Y, 18, 42)),
        ("1½ yd x 42 in", 1, piece(Y, 54, 42)), ("2 in x 18", 1, piece(Y, 2, 18)),
        ("2 x 18 x 24", 2, piece(Y, 18, 24)),
    ],
)  # fmt: skip
def test_sizes_without_a_kind(text: str, count: int, wanted: NewPiece) -> None:
    assert read_pieces(text) == (wanted,) * count


@pytest.mark.parametrize(
    ("text", "kind", "wanted"),
    [
        ("9 x 14", Kind.SCRAP, piece(Kind.SCRAP, 9, 14)), ("3 x 8", Kind.SCRAP, piece(Kind.SCRAP, 3, 8)),
        ("2 1/2 x 40", Kind.STRIPS, piece(Kind.STRIPS, F(5, 2), 40)),
        ("2 1/2 in", Kind.STRIPS, piece(Kind.STRIPS, F(5, 2), 40)),
        ("10", Kind.SQUARE, piece(Kind.SQUARE, 10, 10)), ("5 x 5", Kind.SQUARE, piece(Kind.SQUARE, 5, 5)),
        ("2 1/2 x 2 1/2", Kind.SQUARE, piece(Kind.SQUARE, F(5, 2), F(5, 2))),
        ("18", Kind.FAT_QUARTER, piece(FQ, 18, 21)), ("18 x 21", Kind.YARDAGE, piece(Y, 18, 21)),
        ("fq", Kind.YARDAGE, piece(FQ, 18, 21)), ("fq", Kind.FAT_QUARTER, piece(FQ, 18, 21)),
    ],
)  # fmt: skip
def test_sizes_with_a_kind(text: str, kind: Kind, wanted: NewPiece) -> None:
    assert read_pieces(text, kind=kind) == (wanted,)


def test_width_and_count() -> None:
    assert read_pieces("1/2 yd", width="42") == (piece(Y, 18, 42),)
    assert read_pieces("1/2 yd", width=F(42)) == (piece(Y, 18, 42),)
    assert read_pieces("1/2 yd", width=" ") == (piece(Y, 18, 40),)
    assert read_pieces("fq", width="20") == (piece(FQ, 18, 20),)
    assert read_pieces("18 x 24", width="24") == (piece(Y, 18, 24),)
    assert read_pieces("fq", count=4) == (piece(FQ, 18, 21),) * 4


@pytest.mark.parametrize(
    "text",
    [
        "", "  ", "0", "0 yd", "0 x 10", "10 x 0", "0x10", "0 x fq", "1000 x fq", "-1 x fq", "1.5 x fq", "101 m",
        "18 x 5000", "fq x 21", "x", "x fq", "2 x", "2 x 3 x 4 x 5", "1.5 x 18 x 21", "half a yard", "fq!", "1e9",
        "9" * 5000, "2 x " * 50, "\x1b[2J", "18 x nan", "1/2 x 1 yd",
    ],
)  # fmt: skip
def test_garbage_is_a_usage_fault(text: str) -> None:
    with pytest.raises(UsageFault) as fault:
        read_pieces(text)
    assert fault.value.do
    assert fault.value.line().isprintable()


@pytest.mark.parametrize(
    ("text", "question"),
    [("2", "inches or yards"), ("2 1/2 x 40", "inches or yards"), ("2 x 18", "2 pieces, or a side of 2"),
     ("2 x 18 in", "2 pieces, or a side of 2"), ("1,000 x 40", "two ways")],
)  # fmt: skip
def test_what_can_be_meant_in_two_ways_is_asked_about(text: str, question: str) -> None:
    with pytest.raises(UsageFault, match=question):
        read_pieces(text)


def test_both_ways_that_the_question_offers_are_read() -> None:
    assert read_pieces("2 x 18 x 40") == (piece(Y, 18, 40),) * 2
    assert read_pieces("2 x 18 in x 40") == (piece(Y, 18, 40),) * 2
    assert read_pieces("2 in x 18 in") == (piece(Y, 2, 18),)


def test_contradictions_are_refused() -> None:
    with pytest.raises(UsageFault, match="kind"):
        read_pieces("fq", kind=Kind.SCRAP)
    with pytest.raises(UsageFault, match="width"):
        read_pieces("18 x 21", width="22")
    with pytest.raises(UsageFault, match="how many"):
        read_pieces("2 x fq", count=2)
    with pytest.raises(UsageFault, match="alike"):
        read_pieces("fq", count=0)
    with pytest.raises(UsageFault, match="scrap"):
        read_pieces("9", kind=Kind.SCRAP)
    with pytest.raises(UsageFault, match="width of nothing"):
        read_pieces("9", width=F(0))


@given(st.text(alphabet="0123456789 x×/.,-½ydincmfqeabst\"'", max_size=30))
def test_any_text_is_pieces_or_a_usage_fault(text: str) -> None:
    try:
        pieces = read_pieces(text)
    except UsageFault:
        return
    assert 1 <= len(pieces) <= 999
    assert all(one.length > 0 and one.width > 0 for one in pieces)


@given(st.integers(1, 32_000_000), st.integers(1, 32_000_000))
def test_two_exact_sides_come_back(length: int, width: int) -> None:
    (one,) = read_pieces(f"{exact_text(length)} x {exact_text(width)}", kind=Kind.SCRAP)
    assert (one.length, one.width) == (length, width)
