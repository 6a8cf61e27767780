"""What is straightened before strips are cut, from first principles: for each kind of piece and each way to cut it, the
places of the strips, what is said of them, and what is left."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import sqrt

from stash.cli.check import coverage_json
from stash.cli.drawn_cuts import cut_lines
from stash.inventory.store import Store
from stash.match.coverage import check
from stash.match.replan import rest_cover
from stash.model import Fabric, Kind, NewFabric, NewPiece, Piece, Way
from stash.sheets.job import make_job
from stash.sheets.steps import steps_of_cuts, steps_of_plan, straighten_words
from tests.engine.pages import pdf, text_of
from tests.engine.stashes import inch
from tests.engine.straightened import ALL_ROUND, NOTHING, ONE_END, RUST, STAR, USES, W, covered, each_kind, said_of

RUN_OF_EIGHT = 2.5 + 8 * 2.5 * sqrt(2)  # L(8) = w + 8 w sqrt 2 (derived), 30.8 in


@each_kind
def test_strips_lie_on_what_straightening_leaves(
    kind: Kind, before: bool, length: int, width: int, way: Way, off: Fraction, edges: str
) -> None:
    """Boxes in inches: x along the width, y along the length. An end comes off at y 0; all round, off every edge."""
    _, found = covered(kind, before, length, width)
    cut = coverage_json(STAR, found)["cuts"][0]
    assert (cut["fabric"], cut["way"]) == ("Fern", str(way))
    left, right = (off, width - off) if edges == ALL_ROUND else (0, width)
    first, last = off, (length - off if edges == ALL_ROUND else length)
    assert (cut["straighten_in"], cut["straighten_edges"]) == (off, {ONE_END: 1, ALL_ROUND: 4, NOTHING: 0}[edges])
    for number, strip in enumerate(cut["strips"]):
        at = number * float(W)  # the ruler before this strip
        if way is Way.ACROSS:
            assert (strip["x_in"], strip["y_in"]) == (left, first + at)
            assert strip["length_in"] == right - left
            assert strip["y_in"] + strip["width_in"] <= last
        else:
            assert (strip["x_in"], strip["y_in"]) == (left + at, first)
            assert strip["length_in"] == last - first
            assert strip["x_in"] + strip["width_in"] <= right
        assert strip["length_in"] >= RUN_OF_EIGHT


@each_kind
def test_check_and_the_page_say_one_thing(
    kind: Kind, before: bool, length: int, width: int, way: Way, off: Fraction, edges: str
) -> None:
    fabrics, found = covered(kind, before, length, width)
    fern = steps_of_cuts(STAR, USES, found.cuts)[0]
    words, edge = said_of(way, off, edges)
    assert (straighten_words(STAR, fern), fern.edge) == (words, edge)

    lines = list(cut_lines(STAR, USES, found))
    there = "there" if words and edge == "the straightened edge" else edge
    both = f"{words}; measure from {there}" if words else f"measure from {there}"
    assert f"  {both}" in lines
    assert max(map(len, lines)) <= 80

    page = " ".join(text_of(pdf(make_job("Star", 1, STAR, USES, fabrics), "cutting")).split())
    assert both in page


@each_kind
def test_what_is_booked_is_what_is_drawn(
    kind: Kind, before: bool, length: int, width: int, way: Way, off: Fraction, edges: str, store: Store
) -> None:
    """After each tick the stash has what the strips and the edges leave; then nothing is straightened again."""
    store.add(NewFabric("Fern", (NewPiece(kind, inch(length), inch(width), before),)))
    store.add(NewFabric("Rust", (NewPiece(Kind.YARDAGE, inch(36), inch(40)),)))
    saved = store.save_star("Star", STAR, USES)
    plan = store.keep_plan(saved.id, 1, check(STAR, USES, store.fabrics()).cuts)
    long = length - (2 * off if edges == ALL_ROUND else off)
    wide = width - (2 * off if edges == ALL_ROUND else 0)
    mine = [strip for strip in plan.strips if strip.cut.fabric == "Fern"]
    for number, strip in enumerate(mine, start=1):
        store.book(plan.id, [strip.id])
        size = (long - number * W, wide) if way is Way.ACROSS else (long, wide - number * W)
        pieces = store.fabric("Fern").pieces
        assert [(one.length, one.width) for one in pieces] == ([(inch(size[0]), inch(size[1]))] if min(size) else [])
        if number == len(mine):
            continue
        now = store.plan(plan.id)
        (fern,) = [one for one in steps_of_plan(STAR, USES, now) if one.cut.fabric == "Fern"]
        assert (straighten_words(STAR, fern), fern.edge) == ("", "the edge where the last strip came off")
        assert fern.left == (pieces[0].length, pieces[0].width)
        # `check` speaks of the piece as it is now: strips from its own corner, and the same is left in the end
        rest = next(one for one in rest_cover(STAR, USES, store.fabrics(), now).cuts if one.fabric == "Fern")
        assert (rest.piece_length, rest.piece_width, rest.straighten) == (pieces[0].length, pieces[0].width, 0)
        assert [(one.x, one.y) for one in rest.strips] == [
            (0, i * inch(W)) if way is Way.ACROSS else (i * inch(W), 0) for i in range(len(mine) - number)
        ]
        assert rest.rest([one.width for one in rest.strips]) == fern.rest


def test_a_scrap_s_half_inch_is_said_in_centimetres_too() -> None:
    """1/2 in is 1.27 cm by definition."""
    fabrics = [Fabric(1, "Fern", (Piece(1, Kind.SCRAP, inch(33), inch(7)),)), RUST]
    star = replace(STAR, units="cm")
    fern = steps_of_cuts(star, USES, check(star, USES, fabrics).cuts)[0]
    assert straighten_words(star, fern) == "straighten all four edges first, 1.27 cm off each"
