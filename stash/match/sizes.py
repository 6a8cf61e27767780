"""Which stars the stash covers: grid by strip width, each with yes or how many letters are short.

A star is covered when `stash.match.sequence.suggest` finds a sequence; where the stash has fabrics that are not
measured yet, it is asked once more without these. Whether there is one needs no search for the least cost: a run that a
walk with one way of sewing for all sets finds is proof of "covered", and where even letters taken each by itself have
no run there is none (see `stash.match.walk`). Only what lies between is left to the search.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from stash.colour.lab import is_hue
from stash.errors import UsageFault
from stash.match.candidates import check_names
from stash.match.coverage import ways_of_sewing
from stash.match.ground import lay_ground, supplies
from stash.match.joint import Joint
from stash.match.sequence import check_wishes, least_step, suggest
from stash.match.service import Servant
from stash.match.supply import Supply, offers
from stash.match.walk import Pool, Walk
from stash.match.wishes import Wishes
from stash.model import Fabric, SizeFit, Star
from stash.names import name_key
from stash.star import chart
from stash.star.yields import sewn_on_paper

GRIDS = range(2, 11)
STRIPS = tuple(Fraction(quarters, 4) for quarters in range(6, 13))  # 1 1/2 to 3 in
SEARCH_AT_MOST = 2.0  # seconds for a star that only the search itself can decide


def sizes(stars: Iterable[Star], fabrics: Sequence[Fabric], wishes: Wishes | None = None) -> Iterator[SizeFit]:
    """One answer for each star, as they are found.

    Raises NotFound and UsageFault for wishes that do not fit, with the first answer. Of the wishes `any` is not looked
    at (the question is whether the stash covers them), nor what only says which runs come first; a fixed letter counts
    for the stars that have it.
    """
    looker = _Looker(list(fabrics), replace(wishes or Wishes(), any=False, top=1, apart=None, near=None))
    for star in stars:
        yield looker.fit(star)


class _Looker:
    """What stars of one stash share: the fabrics in order of value, and what each offers a strip width."""

    def __init__(self, fabrics: list[Fabric], wishes: Wishes) -> None:
        self.stash = fabrics
        self.wishes = wishes
        self.checked = False
        coloured = (fabric for fabric in fabrics if fabric.colour is not None and not fabric.archived)
        self.fabrics = sorted(coloured, key=_value, reverse=True)
        self.values = [_value(fabric) for fabric in self.fabrics]
        self.numbers = {name_key(fabric.name): number for number, fabric in enumerate(self.fabrics)}
        without, must = ({name_key(name) for name in names} for names in (wishes.without, wishes.must))
        self.must = {self.numbers[name] for name in must if name in self.numbers}
        self.pool = [i for i, one in enumerate(self.fabrics) if self._wanted(one, i in self.must, without)]
        self._supplies: dict[Fraction, list[Supply | None]] = {}
        self._servants: dict[tuple[Fraction, Fraction, Fraction], Servant] = {}

    def _wanted(self, fabric: Fabric, must: bool, without: set[str]) -> bool:
        wishes = self.wishes
        if name_key(fabric.name) in without or (wishes.measured and not fabric.recorded):
            return False
        assert fabric.colour is not None
        return must or wishes.hue is None or is_hue(fabric.colour, wishes.hue)

    def fit(self, star: Star) -> SizeFit:
        """The answer for one star: by a walk where that can tell, else by a search of `SEARCH_AT_MOST`."""
        chart.check_star(star)
        fixed = {letter: name for letter, name in self.wishes.fixed.items() if letter.upper() in star.letters}
        wishes = replace(self.wishes, fixed=fixed)
        self._check(star, wishes)
        try:
            sewn_on_paper(star)
        except UsageFault:
            return SizeFit(star, covered=False, letters_short=len(star.letters))
        pool = self._pool(star, wishes)
        found = self._asked(star, pool, wishes)
        unmeasured = {fabric for fabric in pool.order if not self.fabrics[fabric].recorded}
        if not found.covered or not unmeasured:
            return found
        bound = unmeasured & {*pool.fixed.values(), *pool.must}
        measured = replace(pool, order=tuple(one for one in pool.order if one not in unmeasured))
        without = bool(bound) or not self._asked(star, measured, replace(wishes, measured=True)).covered
        return replace(found, unmeasured=without)

    def _asked(self, star: Star, pool: Pool, wishes: Wishes) -> SizeFit:
        """The answer for the fabrics of a pool, which are those that the wishes let in."""
        joint = self._joint(star, frozenset(pool.fixed))
        ends = self._ends(star, joint, pool)
        step = 0.0 if ends is None else least_step(wishes, *ends, len(star.letters))
        walks = [Walk(len(star.letters), joint, one, step) for one in self._turns(pool)]
        if ends is not None and any(_is_covered(walk, joint) for walk in walks):
            return SizeFit(star, covered=True, letters_short=0)
        short = min(walk.letters_short() for walk in walks)
        if short or ends is None:
            return SizeFit(star, covered=False, letters_short=max(1, short))
        answer = suggest(star, self.stash, replace(wishes, time_limit=self._limit), marked=False)
        covered = bool(answer.sequences)
        return SizeFit(star, covered, letters_short=0 if covered else 1, proven=covered or answer.proven)

    @property
    def _limit(self) -> float:
        return SEARCH_AT_MOST if self.wishes.time_limit is None else self.wishes.time_limit

    def _check(self, star: Star, wishes: Wishes) -> None:
        """Wishes are the same for all stars, so the first star tells whether they fit the stash."""
        if self.checked:
            return
        check_wishes(star, wishes)
        lightest, darkest = wishes.lightest, wishes.darkest
        if lightest is not None and darkest is not None and lightest < darkest:
            raise UsageFault(f"a run from {lightest:g} to {darkest:g} does not darken", do="give the light end first")
        check_names(star, self.stash, wishes)
        self.checked = True

    def _pool(self, star: Star, wishes: Wishes) -> Pool:
        """Lightest first."""
        fixed = {
            star.letters.index(letter.upper()): self.numbers[name_key(name)] for letter, name in wishes.fixed.items()
        }
        must = tuple(sorted(self.must - set(fixed.values())))
        return Pool(tuple(sorted({*self.pool, *fixed.values()})), self.values, fixed, must)

    def _turns(self, pool: Pool) -> tuple[Pool, ...]:
        """The ends that a run may begin at: with no wish, the one that stands off the ground better."""
        if self.wishes.direction is not None:
            return (pool if self.wishes.direction == "light" else pool.turned(),)
        ground = self._ground()
        return (pool, pool.turned()) if ground is not None and ground.colour is not None else (pool,)

    def _ground(self) -> Fabric | None:
        name = self.wishes.ground
        return None if not name else next(one for one in self.stash if name_key(one.name) == name_key(name))

    def _ends(self, star: Star, joint: Joint, pool: Pool) -> tuple[float, float] | None:
        """L* of the ends of the run, from the lightest and the darkest fabric that may stand at some letter where
        nothing else is wished; None where there is none, or where it would not darken."""
        fixed = set(pool.fixed.values())
        free = [letter for letter in range(len(star.letters)) if letter not in pool.fixed]

        def may_stand(fabric: int) -> bool:
            return fabric in fixed or any(joint.serves(fabric, letter, joint.open) for letter in free)

        first = next((fabric for fabric in pool.order if may_stand(fabric)), None)
        if first is None:
            return None
        last = next(fabric for fabric in reversed(pool.order) if may_stand(fabric))
        lightest = self.values[first] if self.wishes.lightest is None else self.wishes.lightest
        darkest = self.values[last] if self.wishes.darkest is None else self.wishes.darkest
        return (lightest, darkest) if lightest >= darkest else None

    def _joint(self, star: Star, exempt: frozenset[int]) -> Joint:
        key = (star.strip, star.slant, star.width)
        if key not in self._servants:
            self._servants[key] = Servant(star)
        return Joint(star, self._servants[key], self._supply(star), exempt, ways_of_sewing(star))

    def _supply(self, star: Star) -> list[Supply | None]:
        if star.strip not in self._supplies:
            self._supplies[star.strip] = [
                (offers(fabric, star),) if fabric.recorded else None for fabric in self.fabrics
            ]
        ground = self._ground()
        number = None if ground is None else self.numbers.get(name_key(ground.name))
        if ground is None or number is None or not ground.recorded:
            return self._supplies[star.strip]
        mine = list(self._supplies[star.strip])
        mine[number] = supplies(ground, star, lay_ground(ground, star))
        return mine


def _is_covered(walk: Walk, joint: Joint) -> bool:
    """Whether a walk finds a run that one choice of sewing covers as a whole. (None found is no proof.)"""
    alone = walk.run(joint.open)
    if alone is None:
        return False
    if joint.covered(alone):
        return True
    return any(walk.run(((sewn,),) * len(joint.open)) is not None for sewn in joint.open[0])


def _value(fabric: Fabric) -> float:
    assert fabric.colour is not None
    return fabric.colour.L
