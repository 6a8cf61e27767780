"""The plan of cuts, proven once more from the cloth up."""

from __future__ import annotations

import math
import random
from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest

from stash.match.coverage import check
from stash.model import Colouring, Fabric, Kind, Mark, PieceCut, Sewn, Star, Way
from stash.star.ground import ground_layout
from tests.engine import by_hand, proof
from tests.engine.by_hand import INCH, Uses, piece
from tests.engine.random_stars import covered_cases

Plan = tuple[tuple[int, ...], tuple[int, ...], tuple[int, ...]]


def best_plans(star: Star, uses: Uses) -> list[Plan]:
    """What the best choices spend (sets not whole, then what all fabrics spend together), which sets of them are not
    whole, and the pieces they cut into: every choice is tried."""
    found: list[Plan] = []
    for choice in by_hand.choices(star, uses):
        asked = [(one, by_hand.runs_for(star, uses, one, choice)) for one in by_hand.each_fabric(uses)]
        each = [by_hand.cheapest(star, one, runs) for one, runs in asked]
        services = [one for one in each if one is not None]
        if len(services) == len(each):
            not_whole = tuple(i for i, sewn in enumerate(choice) if sewn is not Sewn.WHOLE)
            totals = (sum(column) for column in zip(*(spent for spent, _ in services), strict=True))
            pieces = sorted(number for _, numbers in services for number in numbers)
            found.append(((len(not_whole), *totals), not_whole, tuple(pieces)))
    least = min(found)[:2]
    return [plan for plan in found if plan[:2] == least]


def test_plans_of_small_stars_hold_from_the_cloth_up() -> None:
    seen: Counter[object] = Counter()
    for star, uses, answer in covered_cases(20_000, 150, (2, 3, 4), 6, 3, small_runs=0.4):
        proof.prove(star, uses, answer)
        kinds = {one.id: one.kind for fabric in by_hand.each_fabric(uses) for one in fabric.pieces}
        for cut in answer.cuts:
            seen.update((cut.way, kinds[cut.piece]))
        seen.update(one.sewn for one in answer.sets)
        seen[f"grid {star.grid}"] += 1
        seen["look-alikes"] += any(len(used) == 2 for used in uses.values())
        seen["no whole ticks"] += (star.strip * INCH).denominator > 1
        seen["slanted"] += star.stagger is not None
        seen["directional"] += any(fabric.directional for fabric in by_hand.each_fabric(uses))
    kinds_of_star = ("grid 2", "grid 3", "grid 4", "look-alikes", "no whole ticks", "slanted", "directional")
    for what in (*Sewn, *Way, *Kind, *kinds_of_star):
        assert seen[what] >= 2, what


def test_plans_are_the_best_of_all_plans() -> None:
    """Fewest sets not whole, no run too tight, fewest pieces, fewest along, least cloth (area); of equals the lowest
    sets not whole, then the oldest pieces."""
    seen: Counter[str] = Counter()
    for star, uses, answer in covered_cases(30_000, 300, (2, 2, 3), 3, 3):
        if star.grid == 3 and star.small_runs:
            continue  # too many to try by hand
        tight = {cut.fabric_id for cut in answer.cuts if proof.tight_strips(star, cut)}
        not_whole = tuple(i for i, one in enumerate(answer.sets) if one.sewn is not Sewn.WHOLE)
        spent = (
            len(not_whole), len(tight), len(answer.cuts), sum(cut.way is Way.ALONG for cut in answer.cuts),
            sum(cut.piece_length * cut.piece_width for cut in answer.cuts),
        )  # fmt: skip
        plans = best_plans(star, uses)
        assert (spent, not_whole, tuple(sorted(cut.piece for cut in answer.cuts))) in plans
        seen[f"grid {star.grid}"] += 1
        seen["some sets whole"] += 0 < len(not_whole) < star.grid
        seen["tight"] += bool(tight)
        seen["several pieces"] += len(answer.cuts) > len(by_hand.each_fabric(uses))
    assert all(seen[what] >= 3 for what in ("grid 3", "some sets whole", "tight", "several pieces")), seen


def test_few_pieces_come_before_few_along_and_those_before_small_ones() -> None:
    """A takes two runs of eight, 30.78 in each at 2 1/2 (derived); of each pair of pieces the first serves."""
    star = Star(2, Fraction(5, 2), "ABA")
    along = piece(1, 33, 8)
    for better, worse in (
        ([along], [piece(2, "7/2"), piece(3, "7/2")]),  # one piece along before two across
        ([piece(2, 36)], [along]),  # the larger across before the smaller along
        ([piece(3, 18)], [piece(2, 36)]),  # the smaller of two across
    ):
        fabrics = [Fabric(1, "Moss", tuple(worse + better)), Fabric(2, "Fern", (piece(9, 36),))]
        answer = check(star, Colouring({"A": ("Moss",), "B": ("Fern",)}), fabrics)
        assert [one.sewn for one in answer.sets] == [Sewn.WHOLE, Sewn.WHOLE]
        assert [cut.piece for cut in answer.cuts if cut.fabric == "Moss"] == [one.id for one in better]


def test_of_equal_pieces_the_oldest_is_cut() -> None:
    star = Star(2, Fraction(5, 2), "ABA")
    alike = [piece(number, 18, 21, Kind.FAT_QUARTER) for number in (3, 4, 5)]
    moss, fern = Fabric(1, "Moss", tuple(alike)), Fabric(2, "Fern", (piece(9, 36, 21), piece(2, 36, 21)))
    answer = check(star, Colouring({"A": ("Moss",), "B": ("Fern",)}), [moss, fern])
    assert [cut.piece for cut in answer.cuts] == [3, 2]


def test_of_equal_choices_the_lowest_set_is_not_whole() -> None:
    """Each fabric gives one run of eight and two of four: one set can be whole, and it is the higher one."""
    # L(8) = 30.78, L(4) = 16.64 at 2 1/2 (derived): a lane of 40 gives one run of eight or two of four, one of 20
    # a run of four only.
    star = Star(2, Fraction(5, 2), "ABA")
    owned = [(piece(10 * i, "7/2"), piece(10 * i + 1, 6, 20)) for i in (1, 2)]
    fabrics = [Fabric(i, f"Cloth {i}", pieces, directional=True) for i, pieces in enumerate(owned, start=1)]
    answer = check(star, Colouring({"A": ("Cloth 1",), "B": ("Cloth 2",)}), fabrics)
    assert answer.covered
    assert [one.sewn for one in answer.sets] == [Sewn.HALVED, Sewn.WHOLE]


@pytest.mark.parametrize(
    ("grid", "order", "strip"),
    [(4, "ABCDCBA", "5/2"), (6, "ABCDEFEDCBA", "27/10"), (8, "ABCDABCDABCDABC", "5/2"), (8, "ABCDEFGHIJKLMNO", "13/4"),
     (10, "ABCDEFGHIJIHGFEDCBA", "5/2")],
)  # fmt: skip
def test_plans_of_large_stars_hold_too(grid: int, order: str, strip: str) -> None:
    star = Star(grid, Fraction(strip), order)
    rng = random.Random(grid)
    fabrics = []
    for number, _ in enumerate(star.letters, start=1):
        owned = [
            piece(number * 100 + i, 18, 21, Kind.FAT_QUARTER) for i in range(rng.randint(2, 6) * grid // 4)
        ]
        length = 2 + 2 * grid * star.strip
        fabrics.append(Fabric(number, f"Cloth {number}", (*owned, piece(number * 100 + 99, length, "81/2"))))
    uses = {letter: (fabric,) for letter, fabric in zip(star.letters, fabrics, strict=True)}
    proof.prove(star, uses, check(star, Colouring(by_hand.names(uses)), fabrics))


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


def placed(room: tuple[int, ...], shelves: tuple[int, ...]) -> set[tuple[int, ...]]:
    """What is left of so many ticks of cloth on each piece once the shelves are off, in every way that they fit."""
    lefts = {room}
    for height in shelves:
        lefts = {
            (*left[:i], free - height, *left[i + 1 :])
            for left in lefts
            for i, free in enumerate(left)
            if free >= height
        }
    return lefts


def left_of(cut: PieceCut | None, room: int) -> int:
    """Ticks of a piece's straightened length that no strip lies on, from selvage to selvage."""
    if cut is None:
        return room
    ends = [strip.y + (strip.width if cut.way is Way.ACROSS else strip.length) for strip in cut.strips]
    return cut.piece_length - max(ends)


def shared_ground(rng: random.Random, star: Star, shelves: tuple[int, ...]) -> Fabric:
    """Yardage that often holds just some shelves and some strips, and now and then a fat quarter."""
    owned = []
    for number in range(1, rng.randint(2, 4)):
        inside = Fraction(sum(rng.choices((0, *shelves), k=2)), INCH) + rng.randint(0, 2) * star.strip
        owned.append(piece(number, 1 + inside + rng.choice((Fraction(0), Fraction(-1, 64), Fraction(1, 2)))))
    quarter = [piece(9, 18, 21, Kind.FAT_QUARTER)] * rng.randint(0, 1)
    return Fabric(1, "Linen", (*owned, *quarter), directional=rng.random() < 0.3)


def test_a_ground_that_serves_a_letter_is_counted_once() -> None:
    """Every place of the ground's shelves (all yardage 40 in wide) and every choice of sewing are tried."""
    seen: Counter[tuple[bool, bool]] = Counter()
    moss = Fabric(2, "Moss", (piece(20, 40),))
    for seed in range(150):
        rng = random.Random(40_000 + seed)
        star = Star(2, rng.choice((Fraction(2), Fraction(5, 2), Fraction(27, 10))), rng.choice(("ABA", "ABB")))
        shelves = tuple(math.ceil(one.height * INCH) for one in ground_layout(star, Fraction(40)).shelves)
        linen = shared_ground(rng, star, shelves)
        yardage = [one for one in linen.pieces if one.kind is Kind.YARDAGE]
        lefts = placed(tuple(by_hand.trimmed(one)[0] for one in yardage), shelves)
        for_letters = [
            replace(linen, pieces=(*(replace(one, length=left + INCH) for one, left in zip(yardage, each, strict=True)),
                                   *linen.pieces[len(yardage) :]))
            for each in lefts
        ] or [linen]  # fmt: skip
        fewest = min(by_hand.verdict(star, {"A": (one,), "B": (moss,)})[0] for one in for_letters)
        answer = check(star, Colouring({"A": ("Linen",), "B": ("Moss",)}, "Linen"), [linen, moss])
        assert answer.ground is not None
        assert (answer.ground.mark is Mark.SHORT) == (not lefts)
        assert answer.letters[0].missing == fewest
        assert answer.covered == (fewest == 0)
        seen[bool(lefts), answer.covered] += 1
        if answer.covered:
            proof.serves_every_small_diamond(star, {"A": (linen,), "B": (moss,)}, answer)
            cuts = {cut.piece: cut for cut in answer.cuts}
            free = tuple(left_of(cuts.get(one.id), by_hand.trimmed(one)[0]) for one in yardage)
            assert placed(free, shelves) or not lefts
    assert len(seen) == 4
    assert min(seen.values()) >= 5, seen
