"""Does the stash cover a colouring: against every choice tried, and the marks against worked examples."""

from __future__ import annotations

import math
import random
from collections import Counter
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from stash.match.coverage import check, covers
from stash.match.sequence import suggest
from stash.match.wishes import Wishes
from stash.model import Colour, Colouring, Fabric, Kind, LetterCover, Mark, Piece, Sewn, Star
from tests.engine import by_hand, proof
from tests.engine.by_hand import piece
from tests.engine.random_stars import random_fabric, random_piece, random_star, random_uses

STAR = Star(2, Fraction(5, 2), "ABA")
MIRRORED = Star(4, Fraction(5, 2), "ABCDCBA")


@pytest.mark.parametrize("seed", range(120))
def test_covered_and_to_buy_are_what_trying_every_choice_finds(seed: int) -> None:
    rng = random.Random(seed)
    star = random_star(rng, small_runs=seed % 4 == 0)
    uses = random_uses(rng, star, most=4 if seed % 2 else 3 * star.grid)
    stash, asked = by_hand.stash_of(uses), Colouring(by_hand.names(uses))
    fewest, not_whole = by_hand.verdict(star, uses)
    answer = check(star, asked, stash)
    assert answer.covered == (fewest == 0) == covers(star, asked, stash)
    assert sum(one.sewn is not Sewn.WHOLE for one in answer.sets) == not_whole
    choice = tuple(one.sewn for one in answer.sets)
    assert choice in set(by_hand.choices(star, uses))
    assert by_hand.to_buy(star, uses, choice) == fewest
    for letter in answer.letters:
        used = uses[letter.letter]
        lacking = sum(by_hand.lacks(star, one, by_hand.runs_for(star, uses, one, choice)) for one in used)
        assert letter.missing == lacking
        assert (letter.mark is Mark.SHORT) == (lacking > 0)
        assert letter.strips_on_hand == max(0, letter.strips_needed - lacking)
        eighths = [math.ceil((strips * star.strip + 1) / Fraction(9, 2)) for strips in (lacking, lacking + 1)]
        bought = [Fraction(9, 2) * count if lacking else None for count in eighths]
        assert [letter.buy, letter.buy_with_spare] == bought


def test_tight_is_a_run_under_half_an_inch_or_no_lane_to_spare() -> None:
    """Plans and lanes to spare by trying every piece, every way to turn it and every lane; of letters that are short
    nothing is said, the others are marked under the choice taken."""
    seen: Counter[object] = Counter()
    for seed in range(250):
        rng = random.Random(50_000 + seed)
        star = random_star(rng, grids=(2, 2, 3))
        uses = random_uses(rng, star, 2, 3 * star.grid)
        answer = check(star, Colouring(by_hand.names(uses)), by_hand.stash_of(uses))
        choice = [one.sewn for one in answer.sets]
        for letter in answer.letters:
            used, near, roomy = uses[letter.letter], False, True
            if letter.missing:
                continue
            for one in used:
                runs = by_hand.runs_for(star, uses, one, choice)
                longest = by_hand.runs_for(star, {letter.letter: used}, one, choice)[0]
                found = by_hand.cheapest(star, one, runs)
                assert found is not None
                near = near or found[0][0] == 1
                roomy = roomy and by_hand.has_lane_to_spare(star, one, runs, longest)
            assert (letter.mark is Mark.TIGHT) == (near or not roomy)
            assert (letter.spare is not None) == near
            left = [proof.left_on(star, strip) for cut in answer.cuts for strip in cut.strips
                    if cut.fabric in letter.fabrics]  # fmt: skip
            if near and left:
                assert min(left) < Decimal("0.5")
                assert letter.spare == pytest.approx(float(min(left)), abs=1e-6)
            seen[near, roomy] += 1
    assert min(seen[a, b] for a in (False, True) for b in (False, True)) >= 3, seen


def test_what_is_said_to_be_missing_covers_it_once_it_is_bought() -> None:
    """The yards to buy of each fabric as one new piece of full width; and with a strip less of one of them the same
    choice is not possible."""
    count = 0
    for seed in range(40):
        rng = random.Random(60_000 + seed)
        star = random_star(rng, grids=(2, 3, 4))
        fabrics = [random_fabric(rng, i, star.strip) for i in range(1, len(star.letters) + 1)]
        uses = {letter: (fabric,) for letter, fabric in zip(star.letters, fabrics, strict=True)}
        asked = Colouring(by_hand.names(uses))
        answer = check(star, asked, fabrics)
        short = {letter.letter: letter for letter in answer.letters if letter.missing}
        for inches in ({key: letter.buy or 0 for key, letter in short.items()},
                       {key: letter.missing * star.strip + 1 for key, letter in short.items()}):  # fmt: skip
            bought = [
                replace(one, pieces=(*one.pieces, piece(900 + one.id, inches[letter], star.width)))
                if letter in inches else one
                for letter, one in zip(star.letters, fabrics, strict=True)
            ]  # fmt: skip
            proof.prove(star, {letter: (one,) for letter, one in zip(star.letters, bought, strict=True)},
                        check(star, asked, bought))  # fmt: skip
        for key, letter in short.items():
            count += 1
            fewer = [
                replace(one, pieces=(*one.pieces, *(
                    piece(1000 * one.id + i, star.strip, star.width, Kind.STRIPS)
                    for i in range(short[x].missing - (x == key)))))
                if x in short else one
                for x, one in zip(star.letters, fabrics, strict=True)
            ]  # fmt: skip
            assert not covers(star, asked, fewer), letter
    assert count > 30


@pytest.mark.parametrize("seed", range(40))
def test_more_cloth_never_makes_a_covered_colouring_short(seed: int) -> None:
    rng = random.Random(5000 + seed)
    star = random_star(rng)
    uses = random_uses(rng, star)
    before = check(star, Colouring(by_hand.names(uses)), by_hand.stash_of(uses))
    fabrics = [replace(one, pieces=(*one.pieces, random_piece(rng, one.id * 10 + 9, star.strip, 4)))
               for one in by_hand.each_fabric(uses)]  # fmt: skip
    after = check(star, Colouring(by_hand.names(uses)), fabrics)
    assert after.covered or not before.covered
    assert by_hand.verdict(star, {letter: tuple(next(f for f in fabrics if f.id == one.id) for one in used)
                                  for letter, used in uses.items()}) <= by_hand.verdict(star, uses)  # fmt: skip


def whole_only(number: int, name: str, lanes: int, L: float = 80) -> Fabric:
    """Just so many lanes of 3 in, 39 1/2 long: eight in a run fit (36.94 in), four and four do not (39.94)."""
    return Fabric(number, name, (piece(number, lanes * 3 + 1, "79/2"),), Colour(L, 0, 0))


def halved_only(number: int, name: str, quarters: int, L: float = 40) -> Fabric:
    """Fat quarters 21 in wide: a run of four fits (19.97 in), one of seven does not."""
    owned = tuple(piece(number * 10 + i, 18, 21, Kind.FAT_QUARTER) for i in range(quarters))
    return Fabric(number, name, owned, Colour(L, 0, 0))


@pytest.mark.parametrize(
    ("star", "lanes"),
    [(Star(2, Fraction(3), "ABA", Fraction(79, 2)), 2), (Star(3, Fraction(3), "ABABA", Fraction(79, 2)), 5)],
)
def test_each_alone_but_not_together_is_short_and_never_listed(star: Star, lanes: int) -> None:
    """Letters that share a set must be sewn alike: whole is all that one has cloth for, halved all the other can."""
    light, dark = whole_only(1, "Linen", lanes), halved_only(2, "Moss", 4)
    plenty = [
        Fabric(3, "Cream", (piece(3, 60, "79/2"),), Colour(78, 0, 0)),
        Fabric(4, "Slate", (piece(4, 60, "79/2"),), Colour(43, 0, 0)),
    ]
    stash = [light, dark, *plenty]
    each_ends = {"lightest": 80.0, "darkest": 40.0, "lively": 0.0, "apart": 1, "top": 20}
    # Alone: with plenty beside it each is covered.
    for a, b in (("Linen", "Slate"), ("Cream", "Moss")):
        assert check(star, Colouring({"A": (a,), "B": (b,)}), stash).covered
    pair = Colouring({"A": ("Linen",), "B": ("Moss",)})
    answer = check(star, pair, stash)
    assert not answer.covered
    assert Mark.SHORT in {letter.mark for letter in answer.letters}
    assert answer.cuts == ()
    # It would be the cheapest of all: both values lie on their targets.
    unasked = suggest(star, stash, Wishes(any=True, **each_ends))  # type: ignore[arg-type]
    assert [one.name for one in unasked.sequences[0].fabrics] == ["Linen", "Moss"]
    listed = suggest(star, stash, Wishes(**each_ends))  # type: ignore[arg-type]
    found = [tuple(fabric.name for fabric in one.fabrics) for one in listed.sequences]
    assert found
    assert ("Linen", "Moss") not in found
    assert {("Linen", "Slate"), ("Cream", "Moss"), ("Cream", "Slate")} <= set(found)
    only = suggest(star, [light, dark], Wishes())
    assert only.sequences == ()
    assert only.reason is not None


def marks(star: Star, *owned: tuple[Piece, ...]) -> tuple[LetterCover, ...]:
    fabrics = [Fabric(i, f"Cloth {i}", pieces) for i, pieces in enumerate(owned, start=1)]
    uses = {letter: (fabric.name,) for letter, fabric in zip(star.letters, fabrics, strict=True)}
    return check(star, Colouring(uses), fabrics).letters


def test_covered_needs_one_more_lane_to_spare() -> None:
    # 2 x 2: A and B take two strips each, 5 in and 1 in of straightening; the third lane begins at 8 1/2 in.
    just, more = marks(STAR, (piece(1, 6),), (piece(2, "17/2"),))
    assert (just.mark, just.spare) == (Mark.TIGHT, None)
    assert more.mark is Mark.COVERED
    # A lane that would not hold the letter's longest run is none to spare.
    quarter, _ = marks(STAR, (piece(1, 6), piece(3, 18, 21, Kind.FAT_QUARTER)), (piece(2, 36),))
    assert quarter.mark is Mark.TIGHT


def test_a_run_that_leaves_under_half_an_inch_is_tight_and_said() -> None:
    # L(8) = 3 + 24 sqrt2 = 36.941 (derived), so 37 in leaves 0.06.
    star = Star(2, Fraction(3), "ABA")
    near, roomy = marks(star, (piece(1, 36, 37),), (piece(2, 36),))
    assert near.mark is Mark.TIGHT
    assert near.spare == pytest.approx(37 - 3 - 24 * 2**0.5, abs=1e-9)
    assert round(near.spare or 0, 2) == 0.06
    assert (roomy.mark, roomy.spare) == (Mark.COVERED, None)
    # 37 7/16 leaves 0.4965, 37 1/2 leaves 0.559.
    under, over = marks(star, (piece(1, 36, "599/16"),), (piece(2, 36, "75/2"),))
    assert under.mark is Mark.TIGHT
    assert over.mark is Mark.COVERED


@pytest.mark.parametrize(
    ("strips", "letter", "with_eighths", "spare"),
    [
        # Common practice, no source: a 4 x 4 mirrored star takes A 2, B 4, C 6, D 4 strips; 2 strips of 2 1/2 are
        # 5 in and need 1/4 yd, 4 are 10 in and need 3/8, 6 are 15 in and need 1/2 (1 in of straightening changes none).
        (2, "A", Fraction(1, 4), Fraction(1, 4)),
        (4, "B", Fraction(3, 8), Fraction(3, 8)),
        (6, "C", Fraction(1, 2), Fraction(5, 8)),
        (4, "D", Fraction(3, 8), Fraction(3, 8)),
    ],
)
def test_short_says_what_to_buy(strips: int, letter: str, with_eighths: Fraction, spare: Fraction) -> None:
    found = {one.letter: one for one in marks(MIRRORED, (), (), (), ())}[letter]
    assert (found.mark, found.strips_needed, found.missing, found.strips_on_hand) == (Mark.SHORT, strips, strips, 0)
    assert found.buy == with_eighths * 36
    # One strip more (derived): 3 are 8 1/2 with straightening, 5 are 13 1/2, 7 are 18 1/2.
    assert found.buy_with_spare == spare * 36


def test_one_strip_short() -> None:
    # 2 1/2 and 1 in are 3 1/2: 1/8 yd; two strips are 6 in: 1/4 yd (derived).
    found, other = marks(STAR, (piece(1, 5),), (piece(2, 36),))
    assert (found.missing, found.strips_on_hand, found.strips_needed) == (1, 1, 2)
    assert (found.buy, found.buy_with_spare) == (Fraction(9, 2), Fraction(9))
    assert other.mark is Mark.COVERED
    metric, _ = marks(replace(STAR, units="cm"), (piece(1, 5),), (piece(2, 36),))
    # 8.89 cm go to 10, 15.24 cm to 20.
    assert (metric.buy, metric.buy_with_spare) == (Fraction(1000, 254), Fraction(2000, 254))


def test_unmeasured_and_about() -> None:
    guess = piece(2, 36, estimated=True)
    moss, fern = Fabric(1, "Moss", recorded=False), Fabric(2, "Fern", (guess,))
    answer = check(STAR, Colouring({"A": ("Moss",), "B": ("Fern",)}), [moss, fern])
    assert not answer.covered
    assert [letter.mark for letter in answer.letters] == [Mark.UNMEASURED, Mark.COVERED]
    assert [letter.about for letter in answer.letters] == [False, True]
    assert answer.cuts == ()
    # Used up is not unmeasured.
    gone = check(STAR, Colouring({"A": ("Moss",), "B": ("Fern",)}), [replace(moss, recorded=True), fern])
    assert gone.letters[0].mark is Mark.SHORT
    # An estimated piece that is not relied on is not spoken of.
    sure = replace(fern, pieces=(piece(3, "17/2"), piece(4, 60, estimated=True)))
    known = check(STAR, Colouring({"A": ("Sure",), "B": ("Fern",)}), [Fabric(5, "Sure", (piece(5, 36),)), sure])
    assert not known.letters[1].about


def test_a_fabric_at_two_letters_shows_its_missing_number_at_both() -> None:
    star = Star(2, Fraction(5, 2), "ABC")
    moss, fern = Fabric(1, "Moss", (piece(1, 6),)), Fabric(2, "Fern", (piece(2, 36),))
    answer = check(star, Colouring({"A": ("Moss",), "B": ("moss ",), "C": ("Fern",)}), [moss, fern])
    # A takes one strip, B two; two lanes are there.
    assert [letter.missing for letter in answer.letters] == [1, 1, 0]
    assert [letter.strips_on_hand for letter in answer.letters] == [0, 1, 1]
    assert [letter.buy for letter in answer.letters] == [Fraction(9, 2), Fraction(9, 2), None]


def test_look_alikes_take_four_points_each_and_halve_their_set() -> None:
    # L(4) = 2.5 + 10 sqrt2 = 16.64 (derived): a fat quarter 21 in wide gives a run of four on each of seven lanes.
    quarter = tuple(piece(i, 18, 21, Kind.FAT_QUARTER) for i in (1, 2))
    moss, fern = Fabric(1, "Moss", quarter[:1]), Fabric(2, "Fern", quarter[1:])
    plain = Fabric(3, "Linen", (piece(3, 36),))
    answer = check(STAR, Colouring({"A": ("Linen",), "B": ("Moss", "Fern")}), [moss, fern, plain])
    assert answer.covered
    assert [one.sewn for one in answer.sets] == [Sewn.HALVED, Sewn.HALVED]
    runs = {cut.fabric: [run.segments for strip in cut.strips for run in strip.runs] for cut in answer.cuts}
    assert runs == {"Linen": [4] * 4, "Moss": [4, 4], "Fern": [4, 4]}
