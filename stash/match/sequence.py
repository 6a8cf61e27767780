"""Light-to-dark sequences from the stash, in the order of a cost that is made least exactly.

Letters A, B, C ... get different fabrics with values falling (or rising), each step at least `min_step`. The cost is

    sum (L_r - T_r)^2 / 100  +  k * sum (d_r / 20)^2  +  c * sum (60 - min(C_r, 60)) / 20

with targets T evenly spaced, d_r the distance of neighbours in the a*b* plane and C_r the chroma; the last term keeps
a run from turning grey, since neutrals are near everything. A run that is to be near to a given fabric costs also

    sum (distance_r / 20)^2  +  1.5 for each main colour of the given fabric that no fabric of the run meets

where `stash.match.near` says what is a distance and what meets. (The cost is the project's own.)
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from time import monotonic

import numpy as np

from stash.colour.lab import hue_name
from stash.errors import UsageFault
from stash.match import reasons
from stash.match.candidates import Candidates, find_candidates
from stash.match.coverage import check
from stash.match.layers import Colours, Demand, Layers, Links, grained
from stash.match.listing import Listing
from stash.match.near import COLOUR_WEIGHT as NEAR_COLOUR_WEIGHT
from stash.match.programme import TimeUp
from stash.match.wishes import SMALL_STEP, Wishes
from stash.model import Colouring, Fabric, Mark, Reason, Star, Suggestions
from stash.model import Sequence as Run
from stash.star import chart
from stash.star.yields import sewn_on_paper

CENTRE_STAND_OFF = 12.0  # a centre as near to the ground reads as a hole (our own figure)
VIVID = 60.0  # chroma from which a fabric is lively enough
COLOUR_WEIGHT = 0.5


def suggest(
    star: Star, fabrics: Iterable[Fabric], wishes: Wishes | None = None, *, marked: bool = True
) -> Suggestions:
    """The `wishes.top` least-cost sequences of `star` from the stash, apart from each other as wished.

    marked -- with the marks of their letters, which take a full check each.

    Raises NotFound and UsageFault for names and wishes that do not fit. With no sequence, `reason` says which
    letter fails and why.
    """
    wishes = wishes or Wishes()
    chart.check_star(star)
    sewn_on_paper(star)
    check_wishes(star, wishes)
    stash = list(fabrics)
    found = find_candidates(star, stash, wishes)
    return _Search(star, stash, wishes, found, marked).answer()


def row_candidates(fabrics: Iterable[Fabric], target: float) -> tuple[Fabric, ...]:
    """Fabrics with a colour, nearest in value to `target` first, then by name."""
    coloured = [(abs(f.colour.L - target), f.name.casefold(), f) for f in fabrics if f.colour and not f.archived]
    return tuple(fabric for _, _, fabric in sorted(coloured, key=lambda one: one[:2]))


def spread(lightest: float, darkest: float, letters: int) -> tuple[float, ...]:
    """Targets evenly spaced from `lightest` to `darkest`; one letter gets the middle."""
    if letters == 1:
        return ((lightest + darkest) / 2,)
    return tuple(lightest + (darkest - lightest) * i / (letters - 1) for i in range(letters))


def least_step(wishes: Wishes, lightest: float, darkest: float, letters: int) -> float:
    """The least fall of L* from letter to letter: the one wished for, else the smaller of 5 and half an even step."""
    if wishes.min_step is not None:
        return wishes.min_step
    return min(SMALL_STEP, (lightest - darkest) / (2 * (letters - 1))) if letters > 1 else 0.0


def near_ground_rows(star: Star, values: Sequence[float], ground: float, stand_off: float) -> tuple[int, ...]:
    """Rows whose value (L* by letter) comes too near to the ground's: row 1, and those that touch it, n .. 2n-1."""
    by_letter = dict(zip(star.letters, values, strict=True))
    limits = dict.fromkeys(range(star.grid, 2 * star.grid), stand_off)
    limits[1] = CENTRE_STAND_OFF
    return tuple(
        row for row, limit in sorted(limits.items()) if abs(by_letter[star.order[row - 1]] - ground) < limit
    )


def check_wishes(star: Star, wishes: Wishes) -> None:
    """Raises UsageFault for a figure, direction or hue that cannot be."""
    letters = len(star.letters)
    if wishes.top < 1:
        raise UsageFault(f"a list of {wishes.top} cannot be", do="ask for 1 or more")
    if wishes.apart is not None and not 1 <= wishes.apart <= letters:
        raise UsageFault(f"colourings cannot be {wishes.apart} fabrics apart", do=f"use 1 to {letters}")
    if wishes.direction not in (None, "light", "dark"):
        raise UsageFault(f'"{wishes.direction}" is no direction', do="use light or dark")
    for what, value in (
        ("least step", wishes.min_step),
        ("weight of colour", wishes.colour_weight),
        ("weight of liveliness", wishes.lively),
        ("stand-off", wishes.stand_off),
    ):
        if value is not None and not 0 <= value <= 1000:
            raise UsageFault(f"a {what} of {value} cannot be", do="use 0 to 1000")
    if wishes.hue is not None:
        hue_name(wishes.hue)
    for value in (wishes.lightest, wishes.darkest):
        if value is not None and not 0 <= value <= 100:
            raise UsageFault(f"a value of {value} cannot be", do="values run from 0 (black) to 100 (white)")


@dataclass(frozen=True, slots=True)
class _Answer:
    """The runs of one direction (`falling`: light to dark), each its cost and its fabrics by number; `near` rows of
    the first are near the ground."""

    falling: bool
    runs: tuple[tuple[float, tuple[int, ...]], ...]
    proven: bool
    near: int


class _Search:
    """One search, in one direction or in both."""

    def __init__(self, star: Star, stash: list[Fabric], wishes: Wishes, found: Candidates, marked: bool) -> None:
        self.marked = marked
        self.star = star
        self.stash = stash
        self.wishes = wishes
        self.found = found
        self.count = len(star.letters)
        self.deadline = None if wishes.time_limit is None else monotonic() + wishes.time_limit
        self.colours = Colours(*(
            np.array([getattr(found.colour(i), axis) for i in range(len(found.fabrics))], dtype=np.float64)
            for axis in ("L", "a", "b")
        ))  # fmt: skip

    def answer(self) -> Suggestions:
        """The runs of the direction that leaves fewer rows near the ground, or why there is none."""
        empty = reasons.no_candidate(self.star, self.found, self.wishes)
        if empty is not None:
            return self._none((), 0.0, empty)
        ends = self.found.ends()
        assert ends is not None
        lightest = ends[0] if self.wishes.lightest is None else self.wishes.lightest
        darkest = ends[1] if self.wishes.darkest is None else self.wishes.darkest
        if lightest < darkest:
            raise UsageFault(f"a run from {lightest:g} to {darkest:g} does not darken", do="give the light end first")
        self.light_to_dark = spread(lightest, darkest, self.count)
        self.min_step = least_step(self.wishes, lightest, darkest, self.count)
        answers = [self._one_way(falling) for falling in self._directions()]
        with_runs = [answer for answer in answers if answer.runs]
        if not with_runs:
            answer = answers[0]
            if not answer.proven:
                reason = Reason("", "the time limit was reached before a sequence was found")
            else:
                layers, links = self._layers(answer.falling, None), self._links(answer.falling)
                reason = reasons.no_run(self.star, self.found, layers, links, self.colours, self.min_step)
            return self._none(self._targets(answer.falling), self.min_step, reason, answer.proven)
        best = min(with_runs, key=lambda answer: answer.near)
        sequences = tuple(self._sequence(best.falling, cost, run) for cost, run in best.runs)
        proven = all(answer.proven for answer in answers)
        return self._suggestions(sequences, self._targets(best.falling), proven)

    def _directions(self) -> tuple[bool, ...]:
        if self.wishes.direction is not None:
            return (self.wishes.direction == "light",)
        return (True, False) if self.found.ground is not None and self.found.ground.colour else (True,)

    def _targets(self, falling: bool) -> tuple[float, ...]:
        return self.light_to_dark if falling else self.light_to_dark[::-1]

    def _links(self, falling: bool) -> Links:
        weight = self.wishes.colour_weight
        if weight is None:
            weight = COLOUR_WEIGHT if self.found.near is None else NEAR_COLOUR_WEIGHT
        return Links(1 if falling else -1, self.min_step, weight)

    def _ground_value(self) -> float | None:
        ground = self.found.ground
        return None if ground is None or ground.colour is None else ground.colour.L

    def _one_way(self, falling: bool) -> _Answer:
        """The runs of one direction: clear of the ground where there are such, else without that rule."""
        ground = self._ground_value()
        runs, proven = self._list(falling, ground)
        if not runs and ground is not None and proven:
            runs, proven = self._list(falling, None)
        near = 0
        if runs and ground is not None:
            near = len(self._near(runs[0][1]))
        return _Answer(falling, runs, proven, near)

    def _list(self, falling: bool, ground: float | None) -> tuple[tuple[tuple[float, tuple[int, ...]], ...], bool]:
        apart = self.wishes.apart or -(-self.count // 2)
        demands = [Demand(np.arange(len(self.colours.L)) == i, 1) for i in self.found.must]
        if self.found.near is not None:
            demands += self.found.near.demands()
        listing = Listing(
            self._layers(falling, ground), self._links(falling), self.colours, self.found.joint, demands, apart,
            self.deadline,
        )  # fmt: skip
        runs: list[tuple[float, tuple[int, ...]]] = []
        try:
            while len(runs) < self.wishes.top and (found := listing.next()) is not None:
                runs.append((found.cost, found.run))
        except TimeUp:
            return tuple(runs), False
        return tuple(runs), True

    def _layers(self, falling: bool, ground: float | None) -> Layers:
        nodes, costs = [], []
        chroma = np.hypot(self.colours.a, self.colours.b)
        own = self.wishes.lively * (VIVID - np.minimum(chroma, VIVID)) / 20
        if self.found.near is not None:
            own += self.found.near.cost
        for letter, target in enumerate(self._targets(falling)):
            here = np.array(self.found.letters[letter], dtype=np.int64)
            if ground is not None and letter not in self.found.fixed:
                here = here[np.abs(self.colours.L[here] - ground) >= self._stand_off(letter)]
            nodes.append(here)
            costs.append(grained((self.colours.L[here] - target) ** 2 / 100 + own[here]))
        return Layers(tuple(nodes), tuple(costs))

    def _stand_off(self, letter: int) -> float:
        """How far in L* the rows of a letter keep from the ground."""
        rows = [row for row, one in enumerate(self.star.order, start=1) if one == self.star.letters[letter]]
        at_edge = self.wishes.stand_off if any(row >= self.star.grid for row in rows) else 0.0
        return max(at_edge, CENTRE_STAND_OFF if 1 in rows else 0.0)

    def _near(self, run: Sequence[int]) -> tuple[int, ...]:
        ground = self._ground_value()
        if ground is None:
            return ()
        return near_ground_rows(self.star, [float(self.colours.L[i]) for i in run], ground, self.wishes.stand_off)

    def _sequence(self, falling: bool, cost: float, run: Sequence[int]) -> Run:
        fabrics = tuple(self.found.fabrics[i] for i in run)
        marks = self._marks(fabrics) if self.marked else ()
        meets = self.found.near.met_by(run, self.star.letters) if self.found.near is not None else ()
        return Run(cost, fabrics, self._targets(falling), marks, self._near(run), meets)

    def _marks(self, fabrics: Sequence[Fabric]) -> tuple[Mark, ...]:
        uses = {letter: (fabric.name,) for letter, fabric in zip(self.star.letters, fabrics, strict=True)}
        ground = self.found.ground.name if self.found.ground is not None else None
        return tuple(letter.mark for letter in check(self.star, Colouring(uses, ground), self.stash).letters)

    def _suggestions(
        self, sequences: tuple[Run, ...], targets: tuple[float, ...], proven: bool, reason: Reason | None = None
    ) -> Suggestions:
        notes = reasons.notes(self.found, self.min_step, self.wishes, self._ground_value())
        notes += reasons.relative_values(sequences)
        near, main = ("", ()) if self.found.near is None else (self.found.near.fabric.name, self.found.near.main)
        return Suggestions(sequences, targets, self.min_step, proven, reason, notes, near, main)

    def _none(self, targets: tuple[float, ...], step: float, reason: Reason, proven: bool = True) -> Suggestions:
        self.min_step = step
        return self._suggestions((), targets, proven, reason)
