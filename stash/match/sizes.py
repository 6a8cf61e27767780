"""Which stars the stash covers: grid by strip width, each with yes or how many letters are short.

A star is covered when `stash.match.sequence.suggest` finds a sequence. Whether there is one needs no search for the
least cost. With one way of sewing for all sets, letters do not depend on each other, and then the run that takes at
each letter the lightest fabric that serves it (a step below the one before) reaches as far as any: another run's
fabric at a letter is never lighter. So a run that such a walk finds is proof of "covered", and where even letters
taken each by itself have no run there is none. Only what lies between is left to the search itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from stash.colour.lab import is_hue
from stash.errors import UsageFault
from stash.match.coverage import ways_of_sewing
from stash.match.ground import lay_ground, supplies
from stash.match.joint import Domains, Joint
from stash.match.layers import EQUAL
from stash.match.sequence import least_step, suggest
from stash.match.service import Servant
from stash.match.supply import Offer, offers
from stash.match.wishes import Wishes
from stash.model import Fabric, SizeFit, Star
from stash.names import name_key
from stash.star import chart
from stash.star.yields import sewn_on_paper

Supply = tuple[tuple[Offer, ...], ...] | None
GRIDS = range(2, 11)
STRIPS = tuple(Fraction(quarters, 4) for quarters in range(6, 13))  # 1 1/2 to 3 in
SEARCH_AT_MOST = 2.0  # seconds for a star that only the search itself can decide


def sizes(stars: Iterable[Star], fabrics: Sequence[Fabric], wishes: Wishes | None = None) -> Iterator[SizeFit]:
    """One answer for each star, as they are found.

    Raises NotFound and UsageFault for wishes that do not fit. `wishes.any` is not looked at: the question is whether
    the stash covers them.
    """
    wishes = replace(wishes or Wishes(), any=False, top=1)
    looker = _Looker(list(fabrics), wishes)
    for star in stars:
        yield looker.fit(star)


class _Looker:
    """What stars of one stash share: the fabrics in order of value, and what each offers a strip width."""

    def __init__(self, fabrics: list[Fabric], wishes: Wishes) -> None:
        self.stash = fabrics
        self.wishes = wishes
        coloured = (fabric for fabric in fabrics if fabric.colour is not None and not fabric.archived)
        self.fabrics = sorted(coloured, key=_value, reverse=True)
        self.by_name = {name_key(fabric.name): fabric for fabric in fabrics if not fabric.archived}
        self.numbers = {fabric.id: number for number, fabric in enumerate(self.fabrics)}
        without = {name_key(name) for name in wishes.without}
        must = {name_key(name) for name in wishes.must}
        self.pool = [i for i, one in enumerate(self.fabrics) if self._wanted(one, without, must)]
        self._supplies: dict[Fraction, list[Supply]] = {}
        self._servants: dict[tuple[Fraction, Fraction, Fraction], Servant] = {}

    def _wanted(self, fabric: Fabric, without: set[str], must: set[str]) -> bool:
        wishes, key = self.wishes, name_key(fabric.name)
        if key in without or (wishes.measured and not fabric.recorded):
            return False
        assert fabric.colour is not None
        return key in must or wishes.hue is None or is_hue(fabric.colour, wishes.hue)

    def fit(self, star: Star) -> SizeFit:
        chart.check_star(star)
        try:
            sewn_on_paper(star)
        except UsageFault:
            return SizeFit(star, covered=False, letters_short=len(star.letters))
        walk = _Walk(star, self._joint(star), self.fabrics, self.pool, self.wishes)
        if self.wishes.must or self.wishes.fixed:
            return self._searched(star, max(1, walk.letters_short()))
        if walk.whole_run() is not None:
            return SizeFit(star, covered=True, letters_short=0)
        short = walk.letters_short()
        return SizeFit(star, covered=False, letters_short=short) if short else self._searched(star, 1)

    def _searched(self, star: Star, short: int) -> SizeFit:
        limit = SEARCH_AT_MOST if self.wishes.time_limit is None else self.wishes.time_limit
        answer = suggest(star, self.stash, replace(self.wishes, time_limit=limit), marked=False)
        if answer.sequences:
            return SizeFit(star, covered=True, letters_short=0)
        return SizeFit(star, covered=False, letters_short=short, proven=answer.proven)

    def _joint(self, star: Star) -> Joint:
        key = (star.strip, star.slant, star.width)
        if key not in self._servants:
            self._servants[key] = Servant(star)
        return Joint(star, self._servants[key], self._supply(star), frozenset(), ways_of_sewing(star))

    def _supply(self, star: Star) -> list[Supply]:
        if star.strip not in self._supplies:
            self._supplies[star.strip] = [
                (offers(fabric, star),) if fabric.recorded else None for fabric in self.fabrics
            ]
        ground = self.by_name.get(name_key(self.wishes.ground)) if self.wishes.ground else None
        if ground is None or not ground.recorded or ground.id not in self.numbers:
            return self._supplies[star.strip]
        mine = list(self._supplies[star.strip])
        mine[self.numbers[ground.id]] = supplies(ground, star, lay_ground(ground, star))
        return mine


class _Walk:
    """Runs through the letters of one star, from the lightest fabrics on (or from the darkest)."""

    def __init__(
        self, star: Star, joint: Joint, fabrics: Sequence[Fabric], pool: Sequence[int], wishes: Wishes
    ) -> None:
        self.joint = joint
        self.values = [_value(fabric) for fabric in fabrics]
        self.letters = range(len(star.letters))
        self.orders = [pool, pool[::-1]] if wishes.direction is None and wishes.ground else (
            [pool[::-1]] if wishes.direction == "dark" else [pool]
        )  # fmt: skip
        self.step = least_step(wishes, *self._ends(pool, wishes), len(self.letters))

    def _ends(self, pool: Sequence[int], wishes: Wishes) -> tuple[float, float]:
        """L* of the lightest and the darkest fabric that covers some letter; (0, 0) where none does."""
        lightest, darkest = wishes.lightest, wishes.darkest
        if lightest is None:
            lightest = next((self.values[i] for i in pool if self._covers_any(i)), 0.0)
        if darkest is None:
            darkest = next((self.values[i] for i in reversed(pool) if self._covers_any(i)), 0.0)
        if lightest < darkest:
            raise UsageFault(f"a run from {lightest:g} to {darkest:g} does not darken", do="give the light end first")
        return lightest, darkest

    def _covers_any(self, fabric: int) -> bool:
        return any(self.joint.serves(fabric, letter, self.joint.open) for letter in self.letters)

    def whole_run(self) -> tuple[int, ...] | None:
        """A run that one choice of sewing covers as a whole, where a walk finds one."""
        for order in self.orders:
            alone = self._run(order, self.joint.open)
            if alone is None:
                continue
            if self.joint.covered(alone):
                return alone
            for sewn in self.joint.open[0]:
                run = self._run(order, ((sewn,),) * len(self.joint.open))
                if run is not None:
                    return run
        return None

    def _run(self, order: Sequence[int], domains: Domains) -> tuple[int, ...] | None:
        run: list[int] = []
        at = 0
        for letter in self.letters:
            at = self._past(order, at, run[-1]) if run else 0
            while at < len(order) and not self.joint.serves(order[at], letter, domains):
                at += 1
            if at == len(order):
                return None
            run.append(order[at])
        return tuple(run)

    def _past(self, order: Sequence[int], at: int, before: int) -> int:
        """The first place in `order` from `at` on that is a step past the fabric `before`."""
        while at < len(order) and not self._is_step(before, order[at]):
            at += 1
        return at

    def _is_step(self, before: int, after: int) -> bool:
        step = abs(self.values[before] - self.values[after])
        return step > 0 and step >= self.step - EQUAL

    def letters_short(self) -> int:
        """The fewest letters that stay without a fabric that covers them by itself, in any run.

        `reached[k]` is the first place that a next letter may take after a run with k such letters; an earlier
        place is never worse. A letter for which no fabric is left at all is short, too.
        """
        return min(self._short(order) for order in self.orders)

    def _short(self, order: Sequence[int]) -> int:
        reached: Mapping[int, int] = {0: 0}
        for letter in self.letters:
            after: dict[int, int] = {}
            for short, at in reached.items():
                covering = self._next(order, at, letter)
                if covering < len(order):
                    _earliest(after, short, self._past(order, covering, order[covering]))
                _earliest(after, short + 1, self._past(order, at, order[at]) if at < len(order) else at)
            reached = after
        return min(reached)

    def _next(self, order: Sequence[int], at: int, letter: int) -> int:
        while at < len(order) and not self.joint.serves(order[at], letter, self.joint.open):
            at += 1
        return at


def _earliest(places: dict[int, int], short: int, at: int) -> None:
    places[short] = min(at, places.get(short, at))


def _value(fabric: Fabric) -> float:
    assert fabric.colour is not None
    return fabric.colour.L
