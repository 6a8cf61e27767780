"""A star that is being cut: what its plan still asks, of the cloth as it is now."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import pytest

from stash.errors import Fault
from stash.lengths import TICKS_PER_INCH
from stash.match.coverage import check
from stash.match.ground import lay_parts
from stash.match.replan import cover, is_begun, is_whole, plan_in_hand, replan, rest_cover
from stash.model import (
    Colouring,
    Fabric,
    Hold,
    Kind,
    Mark,
    Piece,
    PieceCut,
    Star,
    Way,
)
from tests.engine.begun_star import POND, USES, book, cloth, kept, of, yards
from tests.engine.proof import holds_its_runs
from tests.engine.random_stars import random_fabric
from tests.engine.rest_by_hand import fewest_missing
from tests.engine.stashes import inch


def test_what_is_left_to_cut_lies_on_the_piece_as_it_is_now() -> None:
    """Of 9 in, 1 in of straightening and the first of two strips leave 5 1/2; the second begins there (derived)."""
    fabrics = cloth([yards(1, 9)], [yards(2, 18)])
    plan, now = book(kept(POND, USES, fabrics), fabrics, [1])
    (cut,) = [one for one in rest_cover(POND, USES, now, plan).cuts if one.fabric == "Fern"]
    assert (cut.piece_length, cut.trim_length) == (inch(5.5), 0)
    assert [(one.x, one.y, one.length, one.width) for one in cut.strips] == [(0, 0, inch(40), inch(2.5))]


def test_as_few_strips_as_can_be_are_short() -> None:
    """Two strips stand on a piece that would give three; the one that lay on a changed piece finds no room elsewhere.
    One strip is short where what stands is kept, none where that piece is planned anew as a whole (derived)."""
    fabrics = cloth([yards(1, 18)], [yards(2, 3.5), yards(3, 3.5)])
    plan = kept(POND, USES, fabrics)
    lost = cloth([yards(1, 18)], [yards(2, 3.5)])
    found = rest_cover(POND, USES, lost, plan)
    assert (of(found.letters, "B").mark, of(found.letters, "B").missing) == (Mark.SHORT, 1)
    # 8 1/2 in give three strips of which the plan uses one or two; with the other piece gone they give both
    fabrics = cloth([yards(1, 18)], [yards(2, 3.5), yards(3, 8)])
    plan = kept(POND, USES, fabrics)
    assert rest_cover(POND, USES, cloth([yards(1, 18)], [yards(3, 8)]), plan).covered


def test_strips_that_stand_on_one_piece_stay_where_those_of_another_move() -> None:
    """Six strips of C: piece 30 holds them all; of two pieces with three each one was cut down to two (derived). What
    stands on the other is kept, and one strip is short; planned anew as a whole it would be two."""
    star, uses = Star(4, Fraction(5, 2), "ABCDCBA"), Colouring({"A": ("Fern",), "B": ("Fern",), "C": ("Rust",),
                                                                "D": ("Fern",)})  # fmt: skip
    fabrics = cloth([yards(1, 60)], [yards(2, 8.5), yards(3, 8.5)])
    plan, now = book(kept(star, uses, fabrics), fabrics, [])
    rust = [one.id for one in plan.strips if one.cut.fabric == "Rust"]
    assert len(rust) == 6
    # one strip of each piece is cut; then somebody takes 1/2 in of the second: 2 strips there need a new edge
    plan, now = book(plan, now, [rust[0], rust[3]])
    pieces = {one.id: one for one in now[1].pieces}
    assert [one.length for one in pieces.values()] == [inch(5), inch(5)]
    pieces[3] = replace(pieces[3], length=inch(4.5), rev=9)
    found = rest_cover(star, uses, [now[0], replace(now[1], pieces=tuple(pieces.values()))], plan)
    assert of(found.letters, "C").missing == 1


def test_about_and_tight_stay_while_a_star_is_cut() -> None:
    """7 in give both strips of Rust and leave 1 in: no strip more to spare, until both are cut (derived)."""
    fabrics = cloth([yards(1, 18, estimated=True)], [yards(2, 7)])
    plan = kept(POND, USES, fabrics)
    fern = [one.id for one in plan.strips if one.cut.fabric == "Fern"]
    rust = [one.id for one in plan.strips if one.cut.fabric == "Rust"]
    begun, now = book(plan, fabrics, [rust[0]])
    found = rest_cover(POND, USES, now, begun)
    assert found.covered
    assert [(one.mark, one.about) for one in found.letters] == [(Mark.COVERED, True), (Mark.TIGHT, False)]
    begun, now = book(plan, fabrics, [*fern, rust[0]])
    assert not of(rest_cover(POND, USES, now, begun).letters, "A").about  # all of it is cut
    begun, now = book(plan, fabrics, [*rust, fern[0]])
    assert [one.mark for one in rest_cover(POND, USES, now, begun).letters] == [Mark.COVERED, Mark.COVERED]
    # another piece of it is a strip to spare
    more = [fabrics[0], replace(fabrics[1], pieces=(*fabrics[1].pieces, yards(3, 3.5)))]
    begun, now = book(plan, more, [rust[0]])
    assert of(rest_cover(POND, USES, now, begun).letters, "B").mark is Mark.COVERED


def test_less_than_half_an_inch_on_a_strip_is_said() -> None:
    """At 2 1/2 in a run of eight takes 2 1/2 + 8 x 2 1/2 sqrt2 = 30.78 in (derived): 31 in leave 0.22."""
    narrow = Piece(2, Kind.YARDAGE, inch(30), inch(31))
    fabrics = cloth([yards(1, 18)], [narrow])
    begun, now = book(kept(POND, USES, fabrics), fabrics, [1])
    rust = of(rest_cover(POND, USES, now, begun).letters, "B")
    assert rust.mark is Mark.TIGHT
    assert rust.spare == pytest.approx(31 - 2.5 - 20 * 2**0.5)


def test_cloth_that_another_star_holds_is_named() -> None:
    held = replace(yards(2, 7), hold=Hold(Way.ACROSS, inch(7), ("Mill Pond",)))
    fabrics = cloth([yards(1, 18)], [yards(2, 7)])
    begun, now = book(kept(POND, USES, fabrics), fabrics, [1])
    rust = of(rest_cover(POND, USES, [now[0], replace(now[1], pieces=(replace(held, rev=5, length=inch(6)),))],
                         begun).letters, "B")  # fmt: skip
    assert (rust.mark, rust.held_for) == (Mark.SHORT, ("Mill Pond",))


@pytest.mark.parametrize("seed", range(60))
def test_the_rest_of_any_plan_lies_on_what_is_there(seed: int) -> None:
    """Random plans, cut in part, some pieces changed since: covered is said only with cuts that can be made, that give
    just the runs that wait; and where nothing was changed the plan stands."""
    rng = random.Random(seed)
    while True:
        star = Star(2, Fraction(5, 2), rng.choice(["ABA", "ABC", "AAB"]), small_runs=rng.random() < 0.3)
        fabrics = [random_fabric(rng, i, star.strip, pieces=3, most=4) for i in range(1, len(star.letters) + 1)]
        uses = Colouring({letter: (one.name,) for letter, one in zip(star.letters, fabrics, strict=True)})
        if check(star, uses, fabrics).covered:
            break
    plan = kept(star, uses, fabrics)
    plan, now = book(plan, fabrics, [one.id for one in plan.strips if rng.random() < 0.4])
    waiting = [one.cut for one in plan.strips if one.booked is None]
    found = rest_cover(star, uses, now, plan)
    assert found.covered
    _prove_rest(star, now, waiting, found.cuts)
    changed = [replace(one, pieces=tuple(_shortened(rng, piece) for piece in one.pieces)) for one in now]
    found = rest_cover(star, uses, changed, plan)
    if found.covered:
        _prove_rest(star, changed, waiting, found.cuts)
        replan(star, uses, changed, plan)
    else:
        with pytest.raises(Fault):
            replan(star, uses, changed, plan)
    by_name = {one.name: one for one in changed}
    for one in found.letters:
        mine = [strip for strip in plan.strips if strip.cut.fabric == one.fabrics[0]]
        assert one.missing == fewest_missing(star, by_name[one.fabrics[0]], mine)


def _shortened(rng: random.Random, piece: Piece) -> Piece:
    if rng.random() < 0.5:
        return piece
    return replace(piece, length=max(1, piece.length - rng.randint(1, 6) * TICKS_PER_INCH // 2), rev=piece.rev + 5)


def _prove_rest(star: Star, fabrics: list[Fabric], waiting: list[PieceCut], cuts: tuple[PieceCut, ...]) -> None:
    pieces = {piece.id: piece for one in fabrics for piece in one.pieces}
    boxes: dict[int, list[tuple[int, int, int, int]]] = {}
    for cut in cuts:
        piece = pieces[cut.piece]
        assert (cut.piece_length, cut.piece_width, cut.rev) == (piece.length, piece.width, piece.rev)
        for strip in cut.strips:
            assert holds_its_runs(star, strip.length, strip)
            across = cut.way is Way.ACROSS
            x_end, y_end = (strip.length, strip.width) if across else (strip.width, strip.length)
            box = strip.x, strip.x + x_end, strip.y, strip.y + y_end
            assert 0 <= box[0] < box[1] <= piece.width
            assert 0 <= box[2] < box[3] <= piece.length
            boxes.setdefault(cut.piece, []).append(box)
    for mine in boxes.values():
        for a, b in combinations(mine, 2):
            assert a[1] <= b[0] or b[1] <= a[0] or a[3] <= b[2] or b[3] <= a[2]

    def given(each: Iterable[PieceCut]) -> Counter[tuple[str, int, int]]:
        return Counter((cut.fabric, run.set, run.segments) for cut in each for one in cut.strips for run in one.runs)

    assert given(cuts) == given(waiting)


def test_halved_sets_are_a_whole_plan_and_count_what_is_cut() -> None:
    """18 x 21 in gives runs of four only (common practice, no source); a strip of 40 in gives two of them."""
    fq = [Piece(number, Kind.FAT_QUARTER, inch(18), inch(21)) for number in (2, 3)]
    fabrics = cloth([yards(1, 18)], fq)
    plan = kept(POND, USES, fabrics)
    assert {len(one.cut.strips[0].runs) for one in plan.strips if one.cut.fabric == "Fern"} == {2}
    assert is_whole(POND, plan)
    plan, now = book(plan, fabrics, [one.id for one in plan.strips if one.cut.fabric == "Fern"])
    assert is_begun(POND, plan)
    assert plan_in_hand(POND, USES, [plan]) == plan
    assert cover(POND, USES, [replace(now[0], pieces=()), now[1]], plan).covered


def test_a_star_that_is_all_cut_lacks_nothing_and_a_further_one_is_another_question() -> None:
    fabrics = cloth([yards(1, 6)], [yards(2, 6)])
    plan = kept(POND, USES, fabrics)
    done, now = book(plan, fabrics, [one.id for one in plan.strips])
    found = cover(POND, USES, now, plan_in_hand(POND, USES, [done]))
    assert found.covered
    assert found.cuts == ()
    assert {one.mark for one in found.letters} == {Mark.COVERED}
    further = replace(plan, id=2)  # kept later, with nothing cut yet: what was cut before says nothing of it
    assert plan_in_hand(POND, USES, [further, done]) is None
    other = Colouring({"A": ("Fern",), "B": ("Moss",)})
    assert plan_in_hand(POND, other, [done]) is None
    assert plan_in_hand(Star(2, Fraction(3), "ABA"), USES, [done]) is None


@pytest.mark.parametrize(("over", "mark"), [("13/2", Mark.COVERED), ("0", Mark.SHORT)])
def test_the_ground_is_asked_of_what_the_strips_leave(over: str, mark: Mark) -> None:
    """Rust is B and the ground: 2 strips and 1 in of straightening are 6 in. Cut one by one, what is said of the ground
    stays what it was: 1/2 in over, or short (derived)."""
    uses = replace(USES, ground="Rust")
    (on,) = lay_parts(Fabric(2, "Rust", (yards(2, 90),)), POND, ("ground",)).parts
    fabrics = cloth([yards(1, 18)], [yards(2, float(on.length + Fraction(over)))])
    plan = kept(POND, uses, fabrics)
    first = check(POND, uses, fabrics).ground
    assert first is not None
    assert first.mark is mark
    for count in range(1, len(plan.strips) + 1):
        begun, now = book(plan, fabrics, [one.id for one in plan.strips[:count]])
        assert cover(POND, uses, now, plan_in_hand(POND, uses, [begun])).ground == first


def test_a_lane_that_another_star_holds_is_none_to_spare() -> None:
    """12 in: two strips stand and 6 in are held, with their straightening; what is left gives no strip (derived)."""
    fabrics = cloth([yards(1, 18)], [yards(2, 12)])
    begun, now = book(kept(POND, USES, fabrics), fabrics, [1])
    assert of(rest_cover(POND, USES, now, begun).letters, "B").mark is Mark.COVERED
    held = replace(now[1], pieces=(replace(now[1].pieces[0], hold=Hold(Way.ACROSS, inch(6), ("Mill Pond",))),))
    assert of(rest_cover(POND, USES, [now[0], held], begun).letters, "B").mark is Mark.TIGHT
