"""Whether one choice of sewing serves all letters of a run together, fabric by fabric.

Each letter of a run has a fabric of its own, so what a fabric must serve follows from its letter and the choice
alone. *Domains* narrow the choice: for each strip set the ways of sewing still open.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property

import numpy as np

from stash.match.choice import Chooser, Modes, Part
from stash.match.layers import Bools, Ints
from stash.match.packing import most_segments
from stash.match.service import NO_NEED, Need, Servant, Ways, with_more
from stash.match.supply import Offer, Supply
from stash.model import Sewn, Star
from stash.star import chart

Domains = tuple[Modes, ...]
Asked = tuple[tuple[Modes, int], ...]  # of a letter: ways of sewing and small diamonds of each set that has it
Answers = dict[int, bool]  # by the number of what pieces offer
NO_COVER = -1


class Joint:
    """The letters of a star against what each fabric offers.

    supplies -- for each fabric (numbered by name) what it offers; None for one that needs no cover (no piece recorded
    yet). exempt -- letters (numbered from 0) whose fabric stands uncovered too.
    """

    def __init__(
        self,
        star: Star,
        servant: Servant,
        supplies: Sequence[Supply | None],
        exempt: frozenset[int],
        modes: Modes,
    ) -> None:
        self.servant = servant
        self.supplies = supplies
        self.exempt = exempt
        sets = chart.strip_sets(star)
        self.open: Domains = (modes,) * len(sets)
        self.cells = [tuple(one.letters.count(letter) for one in sets) for letter in star.letters]
        self._most_lanes = max(4 * sum(cells) for cells in self.cells)
        self._kind_of: dict[int, int] = {}
        self._kinds: dict[tuple[Ways, ...], int] = {}
        self._variants: list[list[tuple[Ways, int]]] = []  # of each kind, with the most segments they can give
        self._servers: dict[tuple[int, Domains], Callable[[int], bool]] = {}
        self._serves: dict[Asked, tuple[Answers, list[Answers], list[Answers]]] = {}

    def serves(self, fabric: int, letter: int, domains: Domains) -> bool:
        """Whether `fabric` covers `letter` by itself with some choice from `domains`."""
        return self.server(letter, domains)(fabric)

    def serving(self, fabrics: Ints, letter: int, domains: Domains) -> Bools:
        """Which of `fabrics` do. What fabrics alike in their pieces do is asked once."""
        if letter in self.exempt:
            return np.ones(len(fabrics), dtype=bool)
        server = self.server(letter, domains)
        kinds, first, which = np.unique(self._kinds_of[fabrics], return_index=True, return_inverse=True)
        answers = [kind == NO_COVER or server(int(fabrics[at])) for kind, at in zip(kinds, first, strict=True)]
        return np.array(answers, dtype=bool)[which]

    @cached_property
    def _kinds_of(self) -> Ints:
        """The kind of each fabric's pieces; `NO_COVER` for those that need none."""
        return np.array([
            NO_COVER if supply is None else self._kind(fabric, supply) for fabric, supply in enumerate(self.supplies)
        ])  # fmt: skip

    def server(self, letter: int, domains: Domains) -> Callable[[int], bool]:
        """What tells of each fabric whether it covers `letter` by itself with some choice from `domains`."""
        known = self._servers.get((letter, domains))
        if known is None:
            known = self._servers[letter, domains] = self._server(letter, domains)
        return known

    def _server(self, letter: int, domains: Domains) -> Callable[[int], bool]:
        asked = tuple(
            sorted((modes, cells) for modes, cells in zip(domains, self.cells[letter], strict=True) if cells)
        )
        if asked not in self._serves:
            self._add(asked)
        known, less, more = self._serves[asked]
        segments = 8 * sum(self.cells[letter])

        def serves(fabric: int) -> bool:
            supply = self.supplies[fabric]
            if supply is None or letter in self.exempt:
                return True
            kind = self._kind(fabric, supply)
            if kind not in known:
                if any(one.get(kind) is False for one in less):
                    known[kind] = False
                elif any(one.get(kind) for one in more):
                    known[kind] = True
                else:
                    known[kind] = any(
                        most >= segments and self._serve_some(ways, asked) for ways, most in self._variants[kind]
                    )
            return known[kind]

        return serves

    def _add(self, asked: Asked) -> None:
        """Make room for the answers to a question, and find those that ask for less or for more."""
        mine: Answers = {}
        less, more = [], []
        for other, (answers, smaller, larger) in self._serves.items():
            if _is_part(other, asked):
                less.append(answers)
                larger.append(mine)
            elif _is_part(asked, other):
                more.append(answers)
                smaller.append(mine)
        self._serves[asked] = mine, less, more

    def _kind(self, fabric: int, supply: Supply) -> int:
        """The number of what the pieces offer: the same for fabrics alike in it."""
        kind = self._kind_of.get(fabric)
        if kind is None:
            variants = tuple(self._written(offers) for offers in supply)
            kind = self._kinds.setdefault(variants, len(self._kinds))
            if kind == len(self._variants):
                self._variants.append([(ways, most_segments(ways)) for ways in variants])
            self._kind_of[fabric] = kind
        return kind

    def _written(self, offers: tuple[Offer, ...]) -> Ways:
        """The ways of the pieces, in order; more lanes than any letter could use are not counted."""
        return tuple(
            sorted(
                tuple((capacity, min(count, self._most_lanes)) for capacity, count in ways if capacity)
                for ways in self.servant.ways(offers)
            )
        )

    def _serve_some(self, ways: Ways, asked: Sequence[tuple[Modes, int]]) -> bool:
        """Depth first: what serves part of a need serves less of it too, so a need that fails ends its branch."""
        failed: set[tuple[int, Need]] = set()

        def extends(done: int, need: Need) -> bool:
            if (done, need) in failed or not self.servant.serves(ways, need):
                return False
            if done == len(asked):
                return True
            modes, cells = asked[done]
            if any(extends(done + 1, with_more(need, sewn, cells)) for sewn in modes):
                return True
            failed.add((done, need))
            return False

        return extends(0, NO_NEED)

    def covered(self, run: Sequence[int]) -> bool:
        """Whether some choice serves every letter of `run` (a fabric for each letter)."""
        return self._chooser(run, self.open).possible()

    def split(self, run: Sequence[int], domains: Domains) -> list[Domains]:
        """Narrower domains that together hold every choice in `domains`: for the set that divides `run` most."""
        choices = [i for i, modes in enumerate(domains) if len(modes) > 1]
        divided = max(choices, key=lambda i: (self._refused(run, domains, i), -i))
        return [_fixed(domains, divided, sewn) for sewn in domains[divided]]

    def _refused(self, run: Sequence[int], domains: Domains, number: int) -> int:
        """How many letters of `run` are refused, over the ways of sewing set `number`."""
        narrowed = (_fixed(domains, number, sewn) for sewn in domains[number])
        return sum(
            not self.serves(fabric, letter, one) for one in narrowed for letter, fabric in enumerate(run)
        )

    def _chooser(self, run: Sequence[int], domains: Domains) -> Chooser:
        parts = []
        for letter, fabric in enumerate(run):
            supply = self.supplies[fabric]
            if supply is not None and letter not in self.exempt:
                parts.append(Part(supply, self.cells[letter], (0,) * len(domains)))
        return Chooser(self.servant, parts, domains)


def _is_part(small: Asked, large: Asked) -> bool:
    """Whether each set of `small` has a set of its own in `large` that asks for as much, with the same ways or fewer.

    (Sets are paired from the largest down; where that finds no pairs, nothing is said.)
    """
    if len(small) > len(large):
        return False
    pairs = zip(*(sorted(one, key=lambda each: each[1], reverse=True) for one in (small, large)), strict=False)
    return all(cells <= more and set(narrow) <= set(modes) for (modes, cells), (narrow, more) in pairs)


def _fixed(domains: Domains, number: int, sewn: Sewn) -> Domains:
    return (*domains[:number], (sewn,), *domains[number + 1 :])
