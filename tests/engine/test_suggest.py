"""Light-to-dark sequences, against a search that looks at every run of a small stash.

The second search is written from the definitions: the cost, the targets, the least step, coverage of the whole, and
going down the list by `apart`.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import pairwise, permutations
from typing import Any

import pytest

from stash.match.sequence import suggest
from stash.match.wishes import Wishes
from stash.model import Colour, Fabric, Kind, Mark, Star, Suggestions
from tests.engine import by_hand
from tests.engine.by_hand import piece
from tests.engine.random_stars import random_fabric

HUES = {"red": 25, "orange": 60, "yellow": 90, "green": 140, "teal": 195, "blue": 260, "purple": 310, "pink": 0}
STARS = ((2, "ABA"), (2, "ABC"), (2, "ABC"), (3, "ABCBA"), (3, "ABCBA"), (2, "AAA"))
Listed = list[tuple[float, tuple[str, ...]]]


def key(name: str) -> str:
    return name.strip().casefold()


def has_hue(colour: Colour, hue: str) -> bool:
    if math.hypot(colour.a, colour.b) < 12:
        return True
    angle = math.degrees(math.atan2(colour.b, colour.a)) % 360
    if hue in ("warm", "cool"):
        return (angle >= 330 or angle <= 110) == (hue == "warm")
    away = abs(angle - HUES[hue])
    return min(away, 360 - away) <= 45


@cache
def together(star: Star, letters: tuple[tuple[str, Fabric], ...]) -> bool:
    """Whether some choice serves these letters; an unmeasured fabric asks for no cloth."""
    uses = {letter: (fabric,) for letter, fabric in letters if fabric.recorded}
    for choice in by_hand.choices(star, {letter: (fabric,) for letter, fabric in letters}):
        asked = [(fabric, by_hand.runs_for(star, uses, fabric, choice)) for (fabric,) in uses.values()]
        if all(by_hand.lacks(star, fabric, runs, 0) == 0 for fabric, runs in asked):
            return True
    return False


class ByHand:
    """All runs of a stash, looked at one by one. `weight` is what jumps of colour count where that is not wished."""

    weight = 0.5

    def __init__(self, star: Star, fabrics: list[Fabric], wishes: Wishes) -> None:
        self.star, self.wishes = star, wishes
        self.by_name = {key(fabric.name): fabric for fabric in fabrics}
        self.letters = star.letters
        self.fixed = {letter: self.by_name[key(name)] for letter, name in wishes.fixed.items()}
        self.must = {key(name) for name in wishes.must}
        without = {key(name) for name in wishes.without}
        self.pool = [
            fabric for fabric in fabrics
            if fabric.colour and not fabric.archived and key(fabric.name) not in without
            and (fabric.recorded or not wishes.measured)
            and (wishes.hue is None or key(fabric.name) in self.must or has_hue(fabric.colour, wishes.hue))
        ]  # fmt: skip
        self.candidates = {letter: self._candidates(letter) for letter in self.letters}

    def _candidates(self, letter: str) -> list[Fabric]:
        if letter in self.fixed:
            return [self.fixed[letter]]
        taken = self.fixed.values()
        return [
            fabric for fabric in self.pool
            if fabric not in taken and (self.wishes.any or together(self.star, ((letter, fabric),)))
        ]  # fmt: skip

    def answer(self) -> Listed:
        values = [fabric.colour.L for each in self.candidates.values() for fabric in each if fabric.colour]
        if not all(self.candidates.values()):
            return []
        light = max(values) if self.wishes.lightest is None else self.wishes.lightest
        dark = min(values) if self.wishes.darkest is None else self.wishes.darkest
        m = len(self.letters)
        targets = [light - (light - dark) * i / (m - 1) for i in range(m)] if m > 1 else [(light + dark) / 2]
        step = min(5.0, (light - dark) / (2 * (m - 1))) if m > 1 else 0.0
        step = step if self.wishes.min_step is None else self.wishes.min_step
        directions = {"light": [1], "dark": [-1], None: [1, -1] if self.wishes.ground else [1]}[self.wishes.direction]
        answers = []
        for fall in directions:
            runs = self._runs(fall, targets[::fall], step)
            clear = [one for one in runs if self._clear(one[1])] if self.wishes.ground else runs
            listed = self._apart(clear or runs)
            if listed:
                answers.append((len(self.near(listed[0][1])), listed))
        return min(answers, key=lambda one: one[0])[1] if answers else []

    def _runs(self, fall: int, targets: list[float], step: float) -> Listed:
        found = []
        everyone = {fabric.id: fabric for each in self.candidates.values() for fabric in each}
        for run in permutations(everyone.values(), len(self.letters)):
            if any(fabric not in self.candidates[x] for x, fabric in zip(self.letters, run, strict=True)):
                continue
            if not self.must <= {key(fabric.name) for fabric in run}:
                continue
            colours = [fabric.colour for fabric in run if fabric.colour]
            steps = [fall * (p.L - q.L) for p, q in pairwise(colours)]
            if any(one <= 0 or one < step - 1e-9 for one in steps):
                continue
            asked = tuple((x, f) for x, f in zip(self.letters, run, strict=True) if x not in self.fixed)
            if not self.wishes.any and not together(self.star, asked):
                continue
            cost = self._cost(colours, targets) + self.more(run)
            found.append((cost, tuple(fabric.name for fabric in run)))
        return self._in_order(found)

    def more(self, run: tuple[Fabric, ...]) -> float:
        """What other wishes add to a run's cost."""
        return 0.0

    def _cost(self, colours: list[Colour], targets: list[float]) -> float:
        weight = self.weight if self.wishes.colour_weight is None else self.wishes.colour_weight
        cost = sum((one.L - target) ** 2 / 100 for one, target in zip(colours, targets, strict=True))
        for p, q in pairwise(colours):
            cost += weight * (math.hypot(p.a - q.a, p.b - q.b) / 20) ** 2
        return cost + self.wishes.lively * sum((60 - min(math.hypot(one.a, one.b), 60)) / 20 for one in colours)

    @staticmethod
    def _in_order(found: Listed) -> Listed:
        """By cost; of costs within 1e-9 of each other by the tuple of case-folded names."""
        ordered: Listed = []
        waiting = sorted(found)
        while waiting:
            equal = [one for one in waiting if one[0] <= waiting[0][0] + 1e-9]
            ordered += sorted(equal, key=lambda one: tuple(map(key, one[1])))
            waiting = waiting[len(equal) :]
        return ordered

    def _apart(self, runs: Listed) -> Listed:
        apart = math.ceil(len(self.letters) / 2) if self.wishes.apart is None else self.wishes.apart
        listed: Listed = []
        for one in runs:
            if len(listed) < self.wishes.top and all(len(set(one[1]) - set(other)) >= apart for _, other in listed):
                listed.append(one)
        return listed

    def near(self, run: tuple[str, ...], kept: bool = False) -> list[int]:
        """Rows too near the ground: 12 at the centre, the stand-off at the edge (rows n to 2n - 1). `kept`: without
        the rows of letters that were fixed."""
        ground = self.by_name[key(self.wishes.ground or "")].colour if self.wishes.ground else None
        if ground is None:
            return []
        rows = []
        for row, letter in enumerate(self.star.order, start=1):
            off = max(12.0 if row == 1 else 0.0, self.wishes.stand_off if row >= self.star.grid else 0.0)
            colour = self.by_name[key(run[self.letters.index(letter)])].colour
            if colour and abs(colour.L - ground.L) < off and not (kept and letter in self.fixed):
                rows.append(row)
        return rows

    def _clear(self, run: tuple[str, ...]) -> bool:
        return not self.near(run, kept=True)


def random_stash(rng: random.Random, star: Star) -> list[Fabric]:
    """6 to 10 fabrics; some of one colour, some unmeasured, some with no colour, some put away."""
    fabrics = []
    words = rng.sample(["Ash", "bay", "Cedar", "dune", "Elm", "fern", "Gorse", "heath", "Iris", "jute", "Éclair"], 11)
    for number in range(1, rng.randint(6, 10) + 1):
        one = random_fabric(rng, number, star.strip, 2, 4 * star.grid)
        plenty = (piece(number * 10, 60, 42),) if rng.random() < 0.5 else one.pieces
        one = replace(one, name=words[number - 1], pieces=plenty)
        if fabrics and rng.random() < 0.3:
            one = replace(one, colour=rng.choice(fabrics).colour)
        odd = rng.random()
        if odd < 0.15:
            one = replace(one, pieces=(), recorded=False)
        elif odd < 0.2:
            one = replace(one, colour=None)
        elif odd < 0.25:
            one = replace(one, archived=True)
        fabrics.append(one)
    rng.shuffle(fabrics)
    return fabrics


def random_wishes(rng: random.Random, star: Star, fabrics: list[Fabric]) -> Wishes:
    usable = [fabric.name for fabric in fabrics if fabric.colour and not fabric.archived]
    wishes = Wishes(top=rng.choice((1, 2, 5, 12)), apart=rng.choice((None, 1, 1, len(star.letters))))
    picked = rng.sample(usable, min(3, len(usable)))
    ground = Fabric(99, "Ground", (piece(990, 900, 44),), Colour(rng.choice((96, 12, 55)), 0, 0))
    stand_off = rng.choice((25.0, 25.0, 10.0, 40.0))
    changes: list[dict[str, Any]] = [
        {"hue": rng.choice(("warm", "cool", *HUES))},
        {"direction": rng.choice(("dark", "light"))},
        {"any": True},
        {"measured": True},
        {"lightest": float(rng.randint(70, 95)), "darkest": float(rng.randint(10, 40))},
        {"min_step": rng.choice((0.0, 1.0, 8.0, 20.0))},
        {"colour_weight": rng.choice((0.0, 2.0)), "lively": rng.choice((0.0, 1.0))},
        {"ground": "ground", "stand_off": stand_off, "without": ("Ground",)},
    ]
    if len(picked) == 3:
        changes += [{"must": (picked[0].upper(),)}, {"without": (picked[1],)}]
        changes += [{"fixed": {rng.choice(star.letters): picked[2]}}]
    for change in rng.sample(changes, rng.randint(0, 3)):
        without = (*wishes.without, *change.get("without", ()))
        wishes = replace(wishes, **{**change, "without": without})
        if "ground" in change:
            fabrics.append(ground)
    return wishes


def listed(answer: Suggestions) -> Listed:
    return [(one.cost, tuple(fabric.name for fabric in one.fabrics)) for one in answer.sequences]


def one_case(seed: int) -> tuple[Star, list[Fabric], Wishes]:
    rng = random.Random(seed)
    grid, order = rng.choice(STARS)
    star = Star(grid, rng.choice((Fraction(2), Fraction(5, 2), Fraction(3))), order)
    fabrics = random_stash(rng, star)
    return star, fabrics, random_wishes(rng, star, fabrics)


@pytest.mark.parametrize("block", range(12))
def test_the_list_is_what_looking_at_every_run_finds(block: int) -> None:
    lengths: Counter[int] = Counter()
    for seed in range(block * 25, block * 25 + 25):
        star, fabrics, wishes = one_case(seed)
        expected = ByHand(star, fabrics, wishes)
        wanted = expected.answer()
        answer = suggest(star, fabrics, wishes)
        found = listed(answer)
        assert [run for _, run in found] == [run for _, run in wanted], (seed, wishes)
        assert [cost for cost, _ in found] == pytest.approx([cost for cost, _ in wanted], abs=1e-9)
        assert answer.proven
        assert (answer.reason is None) == bool(wanted)
        for sequence in answer.sequences:
            names = tuple(fabric.name for fabric in sequence.fabrics)
            assert list(sequence.near_ground) == expected.near(names)
            if not wishes.any and not wishes.fixed:
                assert Mark.SHORT not in sequence.marks
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
        wanted = ByHand(star, fabrics, wishes).answer()
        found = listed(suggest(star, fabrics, wishes))
        assert [run for _, run in found] == [run for _, run in wanted], seed
        assert [cost for cost, _ in found] == pytest.approx([cost for cost, _ in wanted], abs=1e-9)
        by_name = {fabric.name: fabric for fabric in fabrics}
        unasked = listed(suggest(star, fabrics, replace(wishes, any=True)))
        refused += any(
            all(together(star, ((x, by_name[name]),)) for x, name in zip(star.letters, run, strict=True))
            and not together(star, tuple((x, by_name[name]) for x, name in zip(star.letters, run, strict=True)))
            for _, run in unasked
        )
    assert refused > 15


def plain(number: int, name: str, L: float, a: float = 0, b: float = 0) -> Fabric:
    return Fabric(number, name, (piece(number, 60),), Colour(L, a, b))


STAR = Star(2, Fraction(5, 2), "ABA")


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
