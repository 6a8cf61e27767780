"""The plan of cuts, proven once more from the cloth up."""

from __future__ import annotations

import random
from collections import Counter
from decimal import Decimal, getcontext
from fractions import Fraction
from itertools import combinations, product

import pytest

from stash.match.coverage import check
from stash.model import Colouring, Coverage, Fabric, Kind, Mark, Piece, PieceCut, Sewn, Star, Way
from tests.engine import by_hand
from tests.engine.by_hand import INCH, Uses, piece
from tests.engine.test_coverage import random_star, random_uses


def exactly(value: Fraction) -> Decimal:
    return Decimal(value.numerator) / value.denominator


def left_on(star: Star, length: int, runs: list[int]) -> Decimal:
    """Inches left on a lane of `length` ticks: l - R (w + e) - G w sqrt2 in 60 digits (derived)."""
    getcontext().prec = 60
    head, strip = exactly(by_hand.head_of(star) / INCH), exactly(star.strip)
    return exactly(Fraction(length, INCH)) - len(runs) * head - sum(runs) * strip * Decimal(2).sqrt()


def margins(one: Piece) -> tuple[int, int, int, int]:
    """The box (x from, x to, y from, y to) that straightening leaves, ticks. What is trimmed of yardage and of fat
    cuts is the end where cutting begins."""
    length, width = by_hand.trimmed(one)
    edge = INCH // 2 if one.kind is Kind.SCRAP else 0
    first = edge if edge else one.length - length
    return edge, edge + width, first, first + length


def lies_in_its_piece(star: Star, cut: PieceCut, fabric: Fabric) -> None:
    one = next(each for each in fabric.pieces if each.id == cut.piece)
    assert (cut.piece_length, cut.piece_width, cut.rev) == (one.length, one.width, one.rev)
    if fabric.directional:
        assert cut.way is Way.ACROSS
    left, right, first, last = margins(one)
    boxes = []
    for strip in cut.strips:
        # A strip is the strip width to the tick (2.7 in is no whole tick).
        assert 0 <= star.strip * INCH - strip.width < 1
        size = (strip.length, strip.width) if cut.way is Way.ACROSS else (strip.width, strip.length)
        boxes.append((strip.x, strip.x + size[0], strip.y, strip.y + size[1]))
        assert left <= strip.x < strip.x + size[0] <= right
        assert first <= strip.y < strip.y + size[1] <= last
        # the cuts go from edge to edge, as a ruler lies
        assert size[0] == right - left if cut.way is Way.ACROSS else size[1] == last - first
        assert strip.runs
        assert left_on(star, strip.length, [run.segments for run in strip.runs]) >= 0
    for a, b in combinations(boxes, 2):
        assert a[1] <= b[0] or b[1] <= a[0] or a[3] <= b[2] or b[3] <= a[2]


def gives_every_run(star: Star, uses: Uses, answer: Coverage) -> None:
    """Each set's small diamonds are cut from the right fabric, in the runs of that set's way of sewing."""
    choice = [one.sewn for one in answer.sets]
    wanted: Counter[tuple[int, int, int]] = Counter()
    for number, (letters, sewn) in enumerate(zip(by_hand.sets(star), choice, strict=True), start=1):
        for letter in letters:
            if len(uses[letter]) == 2:
                assert sewn is Sewn.HALVED
                wanted.update((fabric.id, number, 4) for fabric in uses[letter])
            else:
                wanted.update((uses[letter][0].id, number, size) for size in by_hand.RUNS[sewn])
    cut = Counter(
        (one.fabric_id, run.set, run.segments) for one in answer.cuts for strip in one.strips for run in strip.runs
    )
    assert cut == wanted


Spent = tuple[int, int, int, int]


def cheapest(star: Star, fabric: Fabric, runs: tuple[int, ...]) -> Spent | None:
    """Too tight or not, pieces, pieces along, area: the least over every piece, way and number of pieces."""
    head, strip = by_hand.head_of(star), star.strip * INCH
    best: Spent | None = None
    for turned in product(*((None, *by_hand.ways(fabric)) for _ in fabric.pieces)):
        used = [(one, way) for one, way in zip(fabric.pieces, turned, strict=True) if way is not None]
        lanes = [lane for one, way in used for lane in by_hand.lanes(one, star, way)[: len(runs)]]
        for tight, back in ((0, INCH // 2), (1, 0)):
            if by_hand.packs(tuple(sorted(lane - back for lane in lanes)), runs, head, strip):
                spent = (tight, len(used), sum(way is Way.ALONG for _, way in used),
                         sum(one.length * one.width for one, _ in used))  # fmt: skip
                best = spent if best is None else min(best, spent)
                break
    return best


def least_spent(star: Star, uses: Uses) -> tuple[int, ...]:
    """Sets not whole, then what all fabrics spend together: the least over every choice."""
    found = []
    for choice in by_hand.choices(star, uses):
        each = [cheapest(star, one, by_hand.runs_for(star, uses, one, choice)) for one in by_hand.each_fabric(uses)]
        if None not in each:
            totals = (sum(column) for column in zip(*(one for one in each if one is not None), strict=True))
            found.append((sum(sewn is not Sewn.WHOLE for sewn in choice), *totals))
    return min(found)


def covered_cases(first: int, count: int) -> list[tuple[Star, Uses, Coverage]]:
    found = []
    for seed in range(first, first + count):
        rng = random.Random(seed)
        star = random_star(rng, small_runs=seed % 4 == 0)
        uses = random_uses(rng, star)
        answer = check(star, Colouring(by_hand.names(uses)), by_hand.stash_of(uses))
        if answer.covered:
            found.append((star, uses, answer))
    return found


def test_plans_of_small_stars_hold_from_the_cloth_up() -> None:
    cases = covered_cases(20_000, 500)
    assert len(cases) > 60
    seen: Counter[object] = Counter()
    for star, uses, answer in cases:
        fabrics = {fabric.id: fabric for fabric in by_hand.each_fabric(uses)}
        assert len({cut.piece for cut in answer.cuts}) == len(answer.cuts)  # a piece is cut one way
        for cut in answer.cuts:
            lies_in_its_piece(star, cut, fabrics[cut.fabric_id])
            seen[cut.way] += 1
        gives_every_run(star, uses, answer)
        seen.update(one.sewn for one in answer.sets)
    assert seen[Way.ALONG] > 10
    assert all(seen[sewn] for sewn in Sewn)


def test_plans_are_the_best_of_all_plans() -> None:
    """Fewest sets not whole, no run too tight, fewest pieces, fewest along, least cloth (area)."""
    for star, uses, answer in covered_cases(30_000, 240):
        if star.grid == 3 and star.small_runs:
            continue  # too many to try by hand
        strips = [strip for cut in answer.cuts for strip in cut.strips]
        tight = {cut.fabric_id for cut in answer.cuts for strip in cut.strips
                 if left_on(star, strip.length, [run.segments for run in strip.runs]) < Decimal("0.5")}  # fmt: skip
        mine = (
            sum(one.sewn is not Sewn.WHOLE for one in answer.sets), len(tight), len(answer.cuts),
            sum(cut.way is Way.ALONG for cut in answer.cuts),
            sum(cut.piece_length * cut.piece_width for cut in answer.cuts),
        )  # fmt: skip
        assert strips
        assert mine == least_spent(star, uses)
        by_letter = {letter.letter: letter for letter in answer.letters}
        for letter, used in uses.items():
            assert (by_letter[letter].spare is not None) == bool(tight & {fabric.id for fabric in used})


@pytest.mark.parametrize("grid", [4, 6, 8, 10])
def test_plans_of_large_stars_hold_too(grid: int) -> None:
    order = {4: "ABCDCBA", 6: "ABCDEFEDCBA", 8: "ABCDABCDABCDABC", 10: "ABCDEFGHIJIHGFEDCBA"}[grid]
    star = Star(grid, Fraction(5, 2), order)
    rng = random.Random(grid)
    fabrics = []
    for number, _ in enumerate(star.letters, start=1):
        owned = [piece(number * 100 + i, 18, 21, Kind.FAT_QUARTER) for i in range(rng.randint(2, 6) * grid // 4)]
        fabrics.append(Fabric(number, f"Cloth {number}", (*owned, piece(number * 100 + 99, 4 * grid + 1, "81/2"))))
    uses = {letter: (fabric,) for letter, fabric in zip(star.letters, fabrics, strict=True)}
    answer = check(star, Colouring(by_hand.names(uses)), fabrics)
    assert answer.covered
    for cut in answer.cuts:
        lies_in_its_piece(star, cut, next(fabric for fabric in fabrics if fabric.id == cut.fabric_id))
    gives_every_run(star, uses, answer)


def test_cloth_kept_for_the_ground_is_not_cut_for_letters() -> None:
    """One fabric at A and as the ground: the strips and the ground's shelves share its length."""
    star = Star(2, Fraction(5, 2), "ABA")
    linen, moss = Fabric(1, "Linen", (piece(1, 200),)), Fabric(2, "Moss", (piece(2, 36),))
    roomy = check(star, Colouring({"A": ("Linen",), "B": ("Moss",)}, "Linen"), [linen, moss])
    assert roomy.covered
    assert roomy.ground is not None
    assert roomy.ground.mark is Mark.COVERED
    ground = roomy.ground.length_needed
    # Straightening, the ground, and two strips: just enough; an eighth less leaves one strip; the ground stays whole.
    for spare, covered in ((Fraction(0), True), (Fraction(-1, 8), False)):
        cut_down = Fabric(1, "Linen", (piece(1, 1 + ground + 5 + spare),))
        answer = check(star, Colouring({"A": ("Linen",), "B": ("Moss",)}, "Linen"), [cut_down, moss])
        assert answer.covered == covered
        assert answer.ground is not None
        assert answer.ground.mark is not Mark.SHORT
        if covered:
            used = max(strip.y + strip.width for strip in answer.cuts[0].strips)
            assert used <= cut_down.pieces[0].length - ground * INCH
        else:
            assert (answer.letters[0].mark, answer.letters[0].missing) == (Mark.SHORT, 1)
