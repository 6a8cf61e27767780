"""Whether one choice of sewing serves all letters of a run together, fabric by fabric.

Each letter of a run has a fabric of its own, so what a fabric must serve follows from its letter and the choice
alone. *Domains* narrow the choice: for each strip set the ways of sewing still open.
"""

from __future__ import annotations

from collections.abc import Sequence

from stash.match.choice import Chooser, Modes, Part
from stash.match.service import NO_NEED, PLACE_IN_NEED, Need, Servant, Ways
from stash.match.supply import Offer
from stash.model import Sewn, Star
from stash.star import chart

Domains = tuple[Modes, ...]


class Joint:
    """The letters of a star against what each fabric offers.

    supplies -- for each fabric (numbered by name) its offers in one or more variants; None for a fabric that needs
    no cover (no piece recorded yet). exempt -- letters (numbered from 0) whose fabric stands uncovered too.
    """

    def __init__(
        self,
        star: Star,
        servant: Servant,
        supplies: Sequence[tuple[tuple[Offer, ...], ...] | None],
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
        self._kinds: dict[int, tuple[Ways, ...]] = {}
        self._serves: dict[tuple[tuple[Ways, ...], tuple[tuple[Modes, int], ...]], bool] = {}

    def _kind(self, fabric: int, supply: tuple[tuple[Offer, ...], ...]) -> tuple[Ways, ...]:
        """What the pieces offer, written so that fabrics alike in it are equal: more lanes than any letter could
        use are not counted."""
        if fabric not in self._kinds:
            self._kinds[fabric] = tuple(
                tuple(
                    sorted(
                        tuple((capacity, min(count, self._most_lanes)) for capacity, count in ways if capacity)
                        for ways in self.servant.ways(offers)
                    )
                )
                for offers in supply
            )
        return self._kinds[fabric]

    def serves(self, fabric: int, letter: int, domains: Domains) -> bool:
        """Whether `fabric` covers `letter` by itself with some choice from `domains`."""
        supply = self.supplies[fabric]
        if supply is None or letter in self.exempt:
            return True
        kind = self._kind(fabric, supply)
        asked = tuple(
            sorted((modes, cells) for modes, cells in zip(domains, self.cells[letter], strict=True) if cells)
        )
        key = (kind, asked)
        if key not in self._serves:
            self._serves[key] = any(self._serve_some(ways, asked) for ways in kind)
        return self._serves[key]

    def _serve_some(self, ways: Ways, asked: Sequence[tuple[Modes, int]]) -> bool:
        """Depth first: what serves part of a need serves less of it too, so a need that fails ends its branch."""
        failed: set[tuple[int, Need]] = set()

        def extends(done: int, need: Need) -> bool:
            if (done, need) in failed or not self.servant.serves(ways, need):
                return False
            if done == len(asked):
                return True
            modes, cells = asked[done]
            if any(extends(done + 1, _with(need, sewn, cells)) for sewn in modes):
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


def _with(need: Need, sewn: Sewn, cells: int) -> Need:
    more = list(need)
    more[PLACE_IN_NEED[sewn]] += cells
    return (more[0], more[1], more[2], more[3], more[4])


def _fixed(domains: Domains, number: int, sewn: Sewn) -> Domains:
    return (*domains[:number], (sewn,), *domains[number + 1 :])
