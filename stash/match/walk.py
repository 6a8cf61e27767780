"""The quick answer whether a star's letters have a run of fabrics, and how many letters have none.

With one way of sewing for all sets, letters do not depend on each other. Then the run that takes at each letter the
first fabric that serves it (a step past the one before) reaches as far as any: another run's fabric at a letter is
never earlier. Fabrics that must be used somewhere stand in the order of their values, so what is remembered beside
the letter is how many of them have their place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from stash.match.joint import Domains, Joint
from stash.match.layers import EQUAL


@dataclass(frozen=True, slots=True)
class Pool:
    """The fabrics that may stand in a run, by number, lightest first or darkest first.

    `values` L* by number; `fixed` letter (from 0) to fabric; `must` those to be used besides, in the same order.
    `order` holds the fixed ones too, which stand nowhere else.
    """

    order: tuple[int, ...]
    values: Sequence[float]
    fixed: Mapping[int, int]
    must: tuple[int, ...]

    def turned(self) -> Pool:
        """The same fabrics from the other end."""
        return Pool(self.order[::-1], self.values, self.fixed, self.must[::-1])


class Walk:
    """Goes through the letters of one star from one end of a pool. A *place* is a place in the pool's order; `at` is
    the first that the next letter may take."""

    def __init__(self, letters: int, joint: Joint, pool: Pool, step: float) -> None:
        self.letters = range(letters)
        self.joint = joint
        self.pool = pool
        self.step = step
        self.places = {fabric: place for place, fabric in enumerate(pool.order)}
        self.free = Places(len(pool.order), self._is_free)
        self._bound = {*pool.fixed.values(), *pool.must}
        self._pasts: dict[int, int] = {}

    def _is_free(self, place: int) -> bool:
        return self.pool.order[place] not in self._bound

    def run(self, domains: Domains) -> tuple[int, ...] | None:
        """A run in which each letter's fabric covers it by itself with some choice of `domains`; None for none."""
        able = self._able_places(domains)
        reached: dict[int, tuple[int, tuple[int, ...]]] = {0: (0, ())}
        for letter in self.letters:
            after: dict[int, tuple[int, tuple[int, ...]]] = {}
            for used, (at, run) in reached.items():
                for place, more in self._able(at, letter, used, able[letter]):
                    past = self._past(place)
                    if used + more not in after or past < after[used + more][0]:
                        after[used + more] = (past, (*run, self.pool.order[place]))
            reached = after
        found = reached.get(len(self.pool.must))
        return None if found is None else found[1]

    def letters_short(self) -> int:
        """The fewest letters that stay without a fabric that covers them by itself, in any run.

        A letter for which no fabric is left at all is short, too, and so is one whose fixed fabric is not a step past
        the one before; a fabric that must be used and finds no place counts as a letter.
        """
        able = self._able_places(self.joint.open)
        reached: dict[tuple[int, int], int] = {(0, 0): 0}
        for letter in self.letters:
            after: dict[tuple[int, int], int] = {}
            for (short, used), at in reached.items():
                for place, more in self._able(at, letter, used, able[letter]):
                    _earliest(after, (short, used + more), self._past(place))
                for past, more in self._unable(at, letter, used):
                    _earliest(after, (short + 1, used + more), past)
            reached = after
        return min(short + len(self.pool.must) - used for short, used in reached)

    def _able_places(self, domains: Domains) -> list[Places]:
        """For each letter the places whose fabric covers it by itself with some choice of `domains`."""
        order = self.pool.order
        found: list[Places] = []
        for letter in self.letters:
            server = self.joint.server(letter, domains)
            found.append(Places(len(order), partial(_at, server, order)))
        return found

    def _able(self, at: int, letter: int, used: int, able: Places) -> Iterator[tuple[int, int]]:
        """Places whose fabric covers the letter, each with how many more of those that must be used it uses."""
        pool = self.pool
        if letter in pool.fixed:
            place = self.places[pool.fixed[letter]]
            if place >= at:
                yield place, 0
            return
        place = able.next(at)
        while place < len(pool.order) and not self._is_free(place):
            place = able.next(place + 1)
        if place < len(pool.order):
            yield place, 0
        if used < len(pool.must):
            place = self.places.get(pool.must[used], -1)
            if place >= at and able.next(place) == place:
                yield place, 1

    def _unable(self, at: int, letter: int, used: int) -> Iterator[tuple[int, int]]:
        """The same for a letter that is left short: where the next one may begin."""
        pool = self.pool
        if letter not in pool.fixed:
            first = self.free.next(at)
            yield (at if first == len(pool.order) else self._past(first)), 0
            must = self.places.get(pool.must[used], -1) if used < len(pool.must) else -1
            if must >= at:
                yield self._past(must), 1
        elif self.places[pool.fixed[letter]] < at:
            yield at, 0

    def _past(self, place: int) -> int:
        """The first place a step past the fabric at `place`."""
        if place not in self._pasts:
            values = [self.pool.values[fabric] for fabric in self.pool.order[place:]]
            steps = (abs(values[0] - value) for value in values)
            past = (at for at, step in enumerate(steps, start=place) if step > 0 and step >= self.step - EQUAL)
            self._pasts[place] = next(past, len(self.pool.order))
        return self._pasts[place]


class Places:
    """Places that pass a test, each tested once."""

    def __init__(self, count: int, passes: Callable[[int], bool]) -> None:
        self._passes = passes
        self._next = [-1] * count + [count]

    def next(self, at: int) -> int:
        """The first place from `at` on that passes; the number of places where none does."""
        place = at
        while self._next[place] < 0 and not self._passes(place):
            place += 1
        found = place if self._next[place] < 0 else self._next[place]
        self._next[at : place + 1] = [found] * (place + 1 - at)
        return found


def _at(server: Callable[[int], bool], order: Sequence[int], place: int) -> bool:
    return server(order[place])


def _earliest(places: dict[tuple[int, int], int], key: tuple[int, int], at: int) -> None:
    places[key] = min(at, places.get(key, at))
