"""A fabric of each kind, cut each way, and what is straightened of it (common practice, no source)."""

from __future__ import annotations

from fractions import Fraction

import pytest

from stash.match.coverage import check
from stash.model import Colouring, Coverage, Fabric, Kind, Piece, Star, Way
from tests.engine.stashes import inch

W = Fraction(5, 2)
STAR = Star(2, W, "ABA", small_runs=True)
USES = Colouring({"A": ("Fern",), "B": ("Rust",)})
RUST = Fabric(2, "Rust", (Piece(2, Kind.YARDAGE, inch(36), inch(40)),))
ONE_END, ALL_ROUND, NOTHING = "one end", "all four edges", ""


# Kind, cut before, length and width in inches, way; what comes off each edge, and which edges (common practice, no
# source). Fern gives two runs of eight for A, from strips at least 30.8 in long: a long piece is cut along, a wide one
# across.
KINDS = [
    (Kind.YARDAGE, False, 18, 40, Way.ACROSS, 1, ONE_END),
    (Kind.YARDAGE, False, 40, 8, Way.ALONG, 1, ONE_END),
    (Kind.YARDAGE, True, 18, 40, Way.ACROSS, Fraction(1, 2), ONE_END),
    (Kind.YARDAGE, True, 40, 8, Way.ALONG, Fraction(1, 2), ONE_END),
    (Kind.FAT_QUARTER, False, 9, 36, Way.ACROSS, Fraction(1, 2), ONE_END),
    (Kind.FAT_QUARTER, False, 36, 9, Way.ALONG, Fraction(1, 2), ONE_END),
    (Kind.FAT_EIGHTH, False, 36, 9, Way.ALONG, Fraction(1, 2), ONE_END),
    (Kind.SCRAP, False, 7, 33, Way.ACROSS, Fraction(1, 2), ALL_ROUND),
    (Kind.SCRAP, False, 33, 7, Way.ALONG, Fraction(1, 2), ALL_ROUND),
    (Kind.SCRAP, True, 33, 7, Way.ALONG, Fraction(1, 2), ALL_ROUND),
    (Kind.SQUARE, False, 32, 32, Way.ACROSS, 0, NOTHING),
    (Kind.STRIPS, False, 32, 5, Way.ALONG, 0, NOTHING),
]
each_kind = pytest.mark.parametrize(("kind", "before", "length", "width", "way", "off", "edges"), KINDS)


def covered(kind: Kind, before: bool, length: int, width: int) -> tuple[list[Fabric], Coverage]:
    fabrics = [Fabric(1, "Fern", (Piece(1, kind, inch(length), inch(width), cut_before=before),)), RUST]
    found = check(STAR, USES, fabrics)
    assert found.covered
    return fabrics, found


def said_of(way: Way, off: Fraction, edges: str) -> tuple[str, str]:
    """What is straightened, and what is measured from: a side, where cloth straight at one end only is cut along."""
    if not edges:
        return "", "the edge"
    amount, each = {1: "1 in", Fraction(1, 2): "1/2 in"}[off], " each" if edges == ALL_ROUND else ""
    edge = "a side" if (way, edges) == (Way.ALONG, ONE_END) else "the straightened edge"
    return f"straighten {edges} first, {amount} off{each}", edge
