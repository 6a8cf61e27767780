"""Cloth that plans of other stars hold: the plans of all of them fit a piece together, whichever is cut first."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import permutations

import pytest

from stash.match.coverage import check
from stash.match.holds import hold_back
from stash.model import Colouring, Fabric, Kind, Piece, PieceCut, Star, StoredPlan, StoredStrip, Way
from tests.engine import by_hand, proof
from tests.engine.by_hand import piece
from tests.engine.random_stars import random_star

NAMES = {1: "One", 2: "Two", 3: "Three"}
Planned = tuple[Star, tuple[PieceCut, ...]]


def kept(number: int, cuts: Iterable[PieceCut]) -> StoredPlan:
    """The plan of star `number` as a stash keeps it."""
    strips = [replace(cut, strips=(strip,)) for cut in cuts for strip in cut.strips]
    return StoredPlan(number, number, 1, tuple(StoredStrip(100 * number + i, one) for i, one in enumerate(strips)))


def shared_fabric(rng: random.Random, number: int) -> Fabric:
    """One or two pieces that give several stars strips, mostly cut across."""
    owned = []
    for i in range(rng.randint(1, 2)):
        kind = rng.choice((Kind.YARDAGE, Kind.FAT_QUARTER, Kind.STRIPS, Kind.SCRAP))
        size = {
            Kind.YARDAGE: (rng.randint(4, 60) + Fraction(rng.randint(0, 3), 4), rng.choice((9, 18, 31, 37, 40))),
            Kind.FAT_QUARTER: (18, rng.randint(20, 22)),
            Kind.STRIPS: (rng.choice((5, 8)), 42),
            Kind.SCRAP: (rng.randint(14, 44), rng.randint(14, 44)),
        }[kind]
        owned.append(piece(10 * number + i, *size, kind, cut_before=rng.random() < 0.3))
    return Fabric(number, f"Cloth {number}", tuple(owned), directional=rng.random() < 0.7)


def planned_together(seed: int) -> tuple[list[Fabric], list[Planned]]:
    """A stash and plans of up to three stars on it, each made while those before it hold their cloth. Every answer is
    what trying all choices finds on what is not held."""
    rng = random.Random(seed)
    fabrics = [shared_fabric(rng, number) for number in (1, 2, 3)]
    planned: list[Planned] = []
    for number in NAMES:
        star = random_star(rng, grids=(2,))
        plans = [kept(i, cuts) for i, (_, cuts) in enumerate(planned, start=1)]
        held = hold_back(fabrics, plans, number, NAMES)
        uses = {letter: (one,) for letter, one in zip(star.letters, rng.sample(held, len(star.letters)), strict=True)}
        answer = check(star, Colouring(by_hand.names(uses)), held)
        fewest = by_hand.verdict(star, uses)[0]
        assert answer.covered == (fewest == 0)
        assert sum(letter.missing for letter in answer.letters) == fewest
        if answer.covered:
            planned.append((star, answer.cuts))
    return fabrics, planned


def fits(star: Star, cuts: Sequence[PieceCut], pieces: dict[int, Piece]) -> bool:
    """Whether each piece as it is now gives the strips planned on it, cut the same way and each long enough."""
    for cut in cuts:
        lanes = by_hand.lanes(pieces[cut.piece], star, cut.way)
        if len(lanes) < len(cut.strips):
            return False
        if not all(proof.holds_its_runs(star, lanes[0], strip) for strip in cut.strips):
            return False
    return True


def after(cuts: Sequence[PieceCut], pieces: dict[int, Piece]) -> dict[int, Piece]:
    """The pieces once they are straightened and the strips cut."""
    left = dict(pieces)
    for cut in cuts:
        length, width = by_hand.trimmed(pieces[cut.piece])
        taken = sum(strip.width for strip in cut.strips)
        length, width = (length - taken, width) if cut.way is Way.ACROSS else (length, width - taken)
        left[cut.piece] = replace(pieces[cut.piece], length=length, width=width, cut_before=True)
    return left


def test_plans_that_hold_cloth_fit_together_whichever_is_cut_first() -> None:
    shared: Counter[Kind] = Counter()
    for seed in range(75):
        fabrics, planned = planned_together(70_000 + seed)
        start = {one.id: one for fabric in fabrics for one in fabric.pieces}
        for order in permutations(planned):
            pieces = start
            for star, cuts in order:
                assert fits(star, cuts, pieces)
                pieces = after(cuts, pieces)
        plans = Counter(cut.piece for _, cuts in planned for cut in cuts)
        shared.update(start[number].kind for number, count in plans.items() if count > 1)
    assert min(shared[kind] for kind in (Kind.YARDAGE, Kind.FAT_QUARTER, Kind.STRIPS)) >= 5, shared


WIDER, NARROWER = Star(2, Fraction(5, 2), "ABA"), Star(2, Fraction(3, 2), "ABA")
USES = Colouring({"A": ("Fern",), "B": ("Moss",)})
MOSS = Fabric(2, "Moss", (piece(2, 90),))


def covered_once_the_other_is_cut(fern: Piece) -> bool:
    """Whether a star of 2 1/2 in strips, planned on Fern and Moss, is still covered when one of 1 1/2, planned beside
    it, has been cut first."""
    fabrics = [Fabric(1, "Fern", (fern,), directional=fern.kind is Kind.SCRAP), MOSS]
    first = check(WIDER, USES, fabrics)
    assert first.covered
    held = hold_back(fabrics, [kept(1, first.cuts)], 2, NAMES)
    second = check(NARROWER, USES, held)
    pieces = {one.id: one for fabric in fabrics for one in fabric.pieces}
    if second.covered:
        pieces = after(second.cuts, pieces)
    left = [replace(fabric, pieces=tuple(pieces[one.id] for one in fabric.pieces)) for fabric in fabrics]
    return check(WIDER, USES, left).covered


@pytest.mark.parametrize(
    "fern",
    [
        # L(4) = 16.64 at 2 1/2 (derived): a scrap 17 3/4 wide has lanes of 16 3/4, straightened again of 15 3/4.
        piece(1, 24, "71/4", Kind.SCRAP),
        # L(8) = 30.78 (derived): cut along, 32 in give lanes of 31; cut before, 31 in give lanes of 30 1/2.
        piece(1, 32, 8),
    ],
)
def test_what_straightening_takes_off_the_other_side_is_held_too(fern: Piece) -> None:
    assert covered_once_the_other_is_cut(fern)


def test_a_piece_that_is_straightened_on_one_side_only_serves_both() -> None:
    assert covered_once_the_other_is_cut(piece(1, 12, 40))
    assert covered_once_the_other_is_cut(piece(1, "31/2", 40, Kind.FAT_QUARTER))


@pytest.mark.parametrize(("long", "shared"), [("9", False), ("19/2", True)])
def test_a_plan_that_is_begun_holds_its_straightening_too(long: str, shared: bool) -> None:
    """1 and 2 1/2 in of Fern are cut and 2 1/2 are still to cut. Another star takes 1/2 and 2 1/2 in, and when it
    is cut first Fern is straightened once more, by 1/2: 9 1/2 in are enough for both, 9 are not."""
    fern = Fabric(1, "Fern", (piece(1, long),))
    first = check(WIDER, USES, [fern, MOSS])
    plan = kept(1, first.cuts)
    begun = replace(plan, strips=(replace(plan.strips[0], booked=7), *plan.strips[1:]))
    now = replace(fern, pieces=(piece(1, Fraction(long) - Fraction(7, 2), cut_before=True),))
    held = hold_back([now, MOSS], [begun], 2, NAMES)
    second = check(Star(2, Fraction(5, 2), "ABB"), USES, held)  # one strip of Fern
    assert second.covered == shared
    pieces = {1: now.pieces[0], 2: MOSS.pieces[0]}
    if second.covered:
        pieces = after(second.cuts, pieces)
    rest = tuple(replace(cut, strips=cut.strips[1:]) for cut in first.cuts if cut.piece == 1)
    assert fits(WIDER, rest, pieces)
