"""Light-to-dark sequences, against a search that looks at every run of a small stash, and against sums done by hand."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest

from stash.match.sequence import suggest
from stash.match.wishes import Wishes
from stash.model import Colour, Fabric, Kind, Mark, Star
from tests.engine.by_hand import piece
from tests.engine.random_wishes import STAR, one_case, plain
from tests.engine.runs_by_hand import ByHand, listed, same_list, together


@pytest.mark.parametrize("block", range(12))
def test_the_list_is_what_looking_at_every_run_finds(block: int) -> None:
    lengths: Counter[int] = Counter()
    for seed in range(block * 25, block * 25 + 25):
        star, fabrics, wishes = one_case(seed)
        expected = ByHand(star, fabrics, wishes)
        answer = suggest(star, fabrics, wishes)
        found = same_list(answer, expected, (seed, wishes))
        assert (answer.reason is None) == bool(found)
        for sequence in answer.sequences:
            names = tuple(fabric.name for fabric in sequence.fabrics)
            assert list(sequence.near_ground) == expected.near(names)
        lengths[len(found)] += 1
    assert lengths[0] < 20
    assert len(lengths) > 1


def cloth_for_one_way(rng: random.Random, number: int, star: Star) -> Fabric:
    """At 3 in: full widths of 39 1/2 in hold eight, or seven, but not four and four; 36 1/2 in holds seven, not eight;
    fat quarters hold 4; 10 1/2 in holds one (derived: L(8) 36.94, L(7) 32.70, 4 + 4 39.94, L(4) 19.97, L(1) 7.24)."""
    lanes = rng.randint(1, 4 * star.grid // 2)
    owned = {
        "whole": [piece(number * 10, 3 * lanes + 1, "79/2")],
        "7+1": [piece(number * 10, 3 * lanes + 1, "73/2"), piece(number * 10 + 1, 3 * lanes + 1, "21/2")],
        "halved": [piece(number * 10 + i, 18, 21, Kind.FAT_QUARTER) for i in range(rng.randint(1, 4))],
        "mixed": [piece(number * 10, 3 * lanes + 1, "79/2"), piece(number * 10 + 1, 18, 21, Kind.FAT_QUARTER)],
    }[rng.choice(("whole", "whole", "7+1", "halved", "halved", "mixed"))]
    # Few colours, so that many runs cost alike and names decide.
    colour = Colour(rng.choice((20, 35, 50, 65, 80)), rng.choice((0, 20)), 0)
    return Fabric(number, f"Cloth {number}", tuple(owned), colour, directional=True)


def test_sets_must_be_sewn_alike_by_all_their_fabrics() -> None:
    """Stashes where fabrics that cover their letters alone mostly do not cover the star together."""
    refused = 0
    for seed in range(60):
        rng = random.Random(seed)
        grid, order = rng.choice(((2, "ABA"), (2, "ABC"), (3, "ABCBA"), (3, "ABABC"), (3, "AABBA")))
        star = Star(grid, Fraction(3), order, Fraction(79, 2), small_runs=grid == 2 and rng.random() < 0.3)
        fabrics = [cloth_for_one_way(rng, number, star) for number in range(1, 9)]
        wishes = Wishes(top=6, apart=rng.choice((1, None)))
        same_list(suggest(star, fabrics, wishes), ByHand(star, fabrics, wishes), seed)
        by_name = {fabric.name: fabric for fabric in fabrics}
        unasked = listed(suggest(star, fabrics, replace(wishes, any=True)))
        refused += any(
            all(together(star, ((x, by_name[name]),)) for x, name in zip(star.letters, run, strict=True))
            and not together(star, tuple((x, by_name[name]) for x, name in zip(star.letters, run, strict=True)))
            for _, run in unasked
        )
    assert refused > 15


def test_the_cost_by_hand() -> None:
    """Targets 90 and 30; A costs 0 in value, chroma 10: 0.25 * 50 / 20 = 0.625; B chroma 30: 0.375; the colours are 40
    apart: 0.5 * 4 = 2 (worked by hand from the definition)."""
    answer = suggest(STAR, [plain(1, "Cream", 90, 10, 0), plain(2, "Moss", 30, -30, 0)])
    assert answer.targets == (90, 30)
    assert answer.min_step == 5
    assert [one.cost for one in answer.sequences] == pytest.approx([3.0], abs=1e-9)


def test_equal_costs_go_by_case_folded_name() -> None:
    fabrics = [plain(1, "zinnia", 90), plain(2, "Aster", 90), plain(3, "aloe", 90), plain(4, "Ink", 20)]
    answer = suggest(STAR, fabrics, Wishes(apart=1))
    assert [run[0] for _, run in listed(answer)] == ["aloe", "Aster", "zinnia"]
    assert listed(answer) == listed(suggest(STAR, fabrics[::-1], Wishes(apart=1)))


@pytest.mark.parametrize(("ground", "first"), [(97, "Cream"), (8, "Ink")])
def test_the_run_goes_the_way_that_leaves_fewer_rows_near_the_ground(ground: float, first: str) -> None:
    """A B B: B alone touches the ground, so a light ground wants the light end inside, a dark one outside."""
    star = Star(2, Fraction(5, 2), "ABB")
    fabrics = [plain(1, "Cream", 85), plain(4, "Ink", 20)]
    cloth = Fabric(9, "Sheet", (piece(9, 300, 44),), Colour(ground, 0, 0))
    for direction in (None, "light", "dark"):
        wishes = Wishes(ground="Sheet", without=("Sheet",), direction=direction, top=1)
        wanted = ByHand(star, [*fabrics, cloth], wishes).answer()
        found = listed(suggest(star, [*fabrics, cloth], wishes))[0][1]
        assert found == wanted[0][1]
        if direction is None:
            assert found[0] == first


def test_where_no_run_stands_off_the_rule_is_dropped_and_rows_are_marked() -> None:
    fabrics = [plain(1, "Cream", 60), plain(2, "Moss", 50)]
    cloth = Fabric(9, "Sheet", (piece(9, 300, 44),), Colour(55, 0, 0))
    answer = suggest(STAR, [*fabrics, cloth], Wishes(ground="Sheet", without=("Sheet",), direction="light"))
    assert [one.near_ground for one in answer.sequences] == [(1, 2, 3)]
    assert any("medium ground" in note for note in answer.notes)


def test_a_fixed_fabric_stands_even_where_it_is_short() -> None:
    fabrics = [replace(plain(1, "Cream", 90), pieces=()), plain(2, "Moss", 30)]
    assert suggest(STAR, fabrics).sequences == ()
    answer = suggest(STAR, fabrics, Wishes(fixed={"A": "Cream"}))
    assert listed(answer)[0][1] == ("Cream", "Moss")
    assert answer.sequences[0].marks[0] is Mark.SHORT


def test_a_letter_that_nothing_covers_is_named() -> None:
    star = Star(3, Fraction(5, 2), "ABCBA")
    fabrics = [replace(plain(i, f"Cloth {i}", 95 - 10 * i), pieces=(piece(i, "27/2"),)) for i in range(1, 7)]
    assert suggest(star, fabrics).sequences  # five lanes each, and B takes the most: four
    little = [replace(fabric, pieces=(piece(fabric.id, "17/2"),)) for fabric in fabrics]
    answer = suggest(star, little)  # three lanes each
    assert answer.reason is not None
    assert answer.reason.letter == "B"
