"""Light-to-dark runs, found by looking at every run of a small stash, to hold the search against.

Written from the definitions: the cost, the targets, the least step, coverage of the whole, and going down the list by
`apart`.
"""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise, permutations

import pytest

from stash.match.wishes import Wishes
from stash.model import Colour, Fabric, Mark, Star, Suggestions
from tests.engine import by_hand

HUES = {"red": 25, "orange": 60, "yellow": 90, "green": 140, "teal": 195, "blue": 260, "purple": 310, "pink": 0}
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


def listed(answer: Suggestions) -> Listed:
    return [(one.cost, tuple(fabric.name for fabric in one.fabrics)) for one in answer.sequences]


def same_list(answer: Suggestions, expected: ByHand, told: object, within: float = 1e-9) -> Listed:
    """The runs found are those found by hand, at the same costs, none short where no wish allows it; gives them."""
    wanted, found = expected.answer(), listed(answer)
    assert [run for _, run in found] == [run for _, run in wanted], told
    assert [cost for cost, _ in found] == pytest.approx([cost for cost, _ in wanted], abs=within), told
    assert answer.proven, told
    if not expected.wishes.any and not expected.wishes.fixed:
        assert not any(Mark.SHORT in sequence.marks for sequence in answer.sequences), told
    return found
