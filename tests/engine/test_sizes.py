"""Which stars a stash covers: the quick answer against the search itself, and the letters short by brute force."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import combinations, pairwise

import pytest

from stash.errors import Fault, UsageFault
from stash.match.coverage import covers
from stash.match.sequence import suggest
from stash.match.sizes import GRIDS, STRIPS, sizes
from stash.match.wishes import Wishes
from stash.model import Colour, Colouring, Fabric, Kind, Piece, SizeFit, Star
from stash.star.beds import widest_bed
from stash.star.chart import make_order
from stash.star.geometry import finished
from tests.engine.by_hand import inch
from tests.engine.random_sizes import asked_at_random, found_by_search, random_stash


@pytest.mark.parametrize("seed", range(150))
def test_covered_is_just_what_suggest_finds(seed: int) -> None:
    rng = random.Random(seed)
    fabrics = random_stash(rng, rng.choice([3, 5, 8, 12, 20]))
    repeat, small = rng.choice(["none", "mirror"]), rng.random() < 0.3
    stars = [
        Star(grid, strip, make_order(repeat, grid), small_runs=small)
        for grid in (2, 3, 4)
        for strip in (Fraction(3, 2), Fraction(5, 2), Fraction(13, 4))
    ]
    wishes = asked_at_random(rng, fabrics)
    found = list(sizes(stars, fabrics, wishes))
    assert [one.star for one in found] == stars
    for one in found:
        assert one.proven
        assert one.covered is found_by_search(one.star, fabrics, wishes)
        assert one.covered is (one.letters_short == 0)


def chains(fabrics: Sequence[Fabric], letters: int, step: float) -> Iterator[tuple[Fabric, ...]]:
    """Every run of so many fabrics whose values fall by a step or more."""
    falling = sorted(fabrics, key=lambda one: one.colour.L if one.colour else 0, reverse=True)
    for run in combinations(falling, letters):
        values = [one.colour.L for one in run if one.colour]
        if all(a - b >= step and a > b for a, b in pairwise(values)):
            yield run


def covers_alone(star: Star, letter: str, fabric: Fabric) -> bool:
    """Whether a fabric gives a letter's strips, every other letter having more than enough."""
    plenty = Fabric(99, "plenty", (Piece(99, Kind.YARDAGE, inch(900), inch(45)),))
    uses = {one: ("plenty",) if one != letter else (fabric.name,) for one in star.letters}
    return covers(star, Colouring(uses), [fabric, plenty])


@pytest.mark.parametrize("seed", range(20))
def test_the_letters_short_are_the_fewest_of_all_runs(seed: int) -> None:
    rng = random.Random(seed)
    fabrics = random_stash(rng, 6)
    star = Star(2, Fraction(5, 2), rng.choice(["ABC", "ABA"]))
    wishes = Wishes(min_step=4.0)
    (found,) = sizes([star], fabrics, wishes)
    fewest = min(
        (
            sum(not covers_alone(star, letter, one) for letter, one in zip(star.letters, run, strict=True))
            for run in chains([one for one in fabrics if one.recorded], len(star.letters), 4.0)
        ),
        default=len(star.letters),
    )
    if any(not one.recorded for one in fabrics):
        assert found.letters_short <= max(fewest, 1)  # unmeasured fabrics count as candidates
    else:
        assert found.letters_short == (fewest or (0 if found.covered else 1))


def test_no_fabric_at_all_leaves_every_letter_short() -> None:
    star = Star(3, Fraction(5, 2), "ABCDE")
    assert list(sizes([star], [])) == [SizeFit(star, covered=False, letters_short=5)]
    narrow = Star(3, Fraction(3), "ABCDE", width=Fraction(4))  # no run of any kind on cloth 4 in wide
    assert list(sizes([narrow], [])) == [SizeFit(narrow, covered=False, letters_short=5)]


def test_ends_that_do_not_darken_are_refused() -> None:
    with pytest.raises(UsageFault, match="does not darken"):
        list(sizes([Star(2, Fraction(5, 2), "ABA")], [], Wishes(lightest=20, darkest=80)))


def test_one_end_alone_is_no_fault_where_a_star_has_no_fabric_to_reach_it() -> None:
    star = Star(2, Fraction(5, 2), "ABA")
    dark = Fabric(1, "Dark", (Piece(1, Kind.YARDAGE, inch(36), inch(40)),), Colour(12, 0, 0))
    for fabrics in ([], [dark]):
        (fit,) = sizes([star], fabrics, Wishes(darkest=30))
        assert not fit.covered
        assert fit.letters_short == 2 - len(fabrics)


@pytest.mark.parametrize(
    "wishes",
    [
        Wishes(ground="Nowhere"),
        Wishes(without=("Nowhere",)),
        Wishes(must=("Nowhere",)),
        Wishes(fixed={"A": "Nowhere"}),
        Wishes(hue="plaid"),
        Wishes(must=("F01",), without=("F01",)),
    ],
)
def test_wishes_that_do_not_fit_the_stash_are_refused_as_suggest_does(wishes: Wishes) -> None:
    star = Star(2, Fraction(5, 2), "ABC")
    fabrics = [Fabric(1, "F01", (), Colour(50, 0, 0))]
    faults = []
    for ask in (lambda: suggest(star, fabrics, wishes), lambda: list(sizes([star], fabrics, wishes))):
        with pytest.raises(Fault) as caught:
            ask()
        faults.append(caught.value.line())
    assert faults[0] == faults[1]


def test_a_fixed_fabric_counts_where_it_is_short_and_only_at_letters_that_a_star_has() -> None:
    yard = [(Piece(number, Kind.YARDAGE, inch(36), inch(40)),) for number in range(6)]
    full = [Fabric(number, f"F{number}", piece, Colour(95 - 9 * number, 0, 0)) for number, piece in enumerate(yard)]
    scrap = Fabric(9, "Scrap", (Piece(9, Kind.SCRAP, inch(4), inch(4)),), Colour(90, 0, 0))
    small, large = Star(2, Fraction(5, 2), "ABA"), Star(3, Fraction(5, 2), "ABCBA")
    wishes = Wishes(fixed={"C": "Scrap"})
    assert [one.covered for one in sizes([small, large], [*full, scrap], wishes)] == [True, False]
    fixed_first = Wishes(fixed={"A": "Scrap"})
    assert [one.covered for one in sizes([small, large], [*full, scrap], fixed_first)] == [True, True]


def test_the_whole_grid_is_nine_by_seven_and_its_squares_are_those_of_the_books() -> None:
    """4 x 4 of 2 1/4 strips: centre 33.80 [source: American magazine pattern, allpeoplequilt.com, americana star
    wall quilt]; 3 x 3 of 2 1/2 finishes 28.97 [source: agfblog.com, April 2019]."""
    assert (len(GRIDS), len(STRIPS)) == (9, 7)
    squares = {(3, Fraction(5, 2)): 28.97, (4, Fraction(9, 4)): 33.80}
    for (grid, strip), square in squares.items():
        assert strip in STRIPS
        assert float(finished(Star(grid, strip, make_order("none", grid))).square) == pytest.approx(square, abs=0.006)


def test_the_widest_bed_a_star_spans() -> None:
    """Mattresses 28, 39, 54, 60 in wide [source: thesprucecrafts.com standard mattress sizes]."""
    beds = [widest_bed(Star(grid, Fraction(5, 2), make_order("none", grid))) for grid in (2, 3, 4, 5, 6, 7)]
    # squares of 19.3, 29.0, 38.6, 48.3, 57.9 and 67.6 in (derived)
    assert beds == [None, "crib", "crib", "twin", "full", "queen"]
