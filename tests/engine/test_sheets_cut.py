"""Pages of a star that is short, or that is being cut: what is to buy, and pieces as they are now."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

from stash.match.coverage import check
from stash.model import Colouring, Fabric, Kind, Piece, Star, StoredPlan, StoredStrip
from stash.sheets.job import make_job
from stash.sheets.shop import shop_text
from tests.engine.pages import pdf, text_of
from tests.engine.stashes import inch

POND = Star(2, Fraction(5, 2), "ABA")


def yards(number: int, length: float) -> Piece:
    return Piece(number, Kind.YARDAGE, inch(length), inch(40))


def shop(star: Star, uses: dict[str, tuple[str, ...]], *fabrics: Fabric) -> str:
    return shop_text(make_job("Pond", 1, star, Colouring(uses), fabrics)).replace("\n  ", " ")


def page(*args: object) -> str:
    return " ".join(text_of(pdf(make_job(*args), "cutting")).split())  # type: ignore[arg-type]


def test_strips_of_a_fabric_at_two_letters_are_bought_once() -> None:
    """2 x 2 without a repeat takes 1, 2 and 1 strips (common practice, no source); A and C of one fabric with 3 1/2 in,
    an inch of it straightening: it lacks one of two."""
    said = shop(replace(POND, order="ABC"), {"A": ("Fern",), "B": ("Rust",), "C": ("Fern",)},
                Fabric(1, "Fern", (yards(1, 3.5),)), Fabric(2, "Rust", (yards(2, 18),)))  # fmt: skip
    assert re.findall(r"(.*): (\d+) strips? of", said) == [("A C Fern", "1")]


def test_of_two_look_alikes_each_is_bought() -> None:
    """Four points of each: a run of four for each small diamond, two of which a strip of 40 in holds (derived)."""
    said = shop(POND, {"A": ("Rust", "Moss"), "B": ("Fern",)}, Fabric(1, "Fern", (yards(1, 18),)),
                Fabric(2, "Rust", (yards(2, 1.5),)), Fabric(3, "Moss", (yards(3, 1.5),)))  # fmt: skip
    assert re.findall(r"(.*): (\d+) strips? of", said) == [("A Rust", "1"), ("A Moss", "1")]


def test_what_is_not_measured_is_asked_for_by_fabric() -> None:
    said = shop(replace(POND, order="ABC"), {"A": ("Fern",), "B": ("Rust",), "C": ("Fern",)},
                Fabric(1, "Fern", recorded=False), Fabric(2, "Rust", (yards(2, 18),)))  # fmt: skip
    assert re.findall(r"(.*): (\d+) strips? of 2 1/2 in(.*);", said) == [("A C Fern", "2", ", if it is not there")]


def test_a_piece_that_is_begun_has_its_size_of_now_and_one_that_was_changed_is_not_to_be_cut() -> None:
    """18 in less 1 in of straightening and one strip of 2 1/2 are 14 1/2 (derived)."""
    uses = Colouring({"A": ("Fern",), "B": ("Rust",)})
    fabrics = [Fabric(1, "Fern", (yards(1, 18),)), Fabric(2, "Rust", (yards(2, 18),))]
    single = [replace(cut, strips=(one,)) for cut in check(POND, uses, fabrics).cuts for one in cut.strips]
    strips = [StoredStrip(number, cut) for number, cut in enumerate(single, 1)]
    strips[0] = replace(strips[0], booked=5)
    plan = StoredPlan(1, 1, 1, tuple(strips))
    now = [replace(fabrics[0], pieces=(replace(yards(1, 14.5), rev=2, cut_before=True),)), fabrics[1]]
    said = page("Pond", 1, POND, uses, now, [plan])
    assert "piece 1, now 14 1/2 in by 40 in" in said
    assert "measure from the edge where the last strip came off" in said
    assert "do not cut it by this page" not in said
    changed = [now[0], replace(fabrics[1], pieces=(replace(yards(2, 9), rev=2),))]
    said = page("Pond", 1, POND, uses, changed, [plan])
    assert said.count("do not cut it by this page") == 1
    assert said.index("piece 2") < said.index("do not cut it by this page")


def test_a_strip_of_two_runs_says_where_it_is_cut_and_setting_pieces_their_sizes() -> None:
    """A run of four takes 2 1/2 + 4 x 2 1/2 sqrt2 = 16.64 in, up to 1/8: 16 3/4 (derived). Corner squares n f sqrt2 +
    1/2 = 6.16, down to 1/8; triangle square 2 n f + 1/4 (2 + 2 sqrt2) = 9.21, up to 1/8 (derived)."""
    fq = tuple(Piece(number, Kind.FAT_QUARTER, inch(18), inch(21)) for number in (2, 3))
    fabrics = [Fabric(1, "Fern", (yards(1, 18),)), Fabric(2, "Rust", fq)]
    said = page("Pond", 1, POND, Colouring({"A": ("Fern",), "B": ("Rust",)}), fabrics)
    assert "4 + 4 segments of set 1" in said
    assert "A run takes at least 16 3/4 in for 4 segments." in said
    assert "four corner squares of 6 1/8 in, and one square of 9 1/4 in cut twice corner to corner" in said
