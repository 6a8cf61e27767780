"""How each strip set is to be sewn, so that the whole colouring can be cut from the stash.

A *choice* says for each strip set how it is sewn, alike for all its strips. The best choice has the fewest strips
to buy (none where some choice is possible), then the fewest sets not whole, then the least `Cost` of all fabrics
together, then the lowest sets not whole. Found exactly, by branch and bound: what a fabric lacks for the sets
already chosen, and the least it can lack for those still open, only grows. Choices for the first sets that leave every
fabric the same need have the same future, so only one of them is carried on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stash.match.service import NEVER, NO_NEED, PLACE_IN_NEED, SHARED, Cost, Need, Servant, Ways, with_more
from stash.match.supply import Supply
from stash.model import Sewn

BOUND_CELLS = 26  # above so many small diamonds of one fabric the look ahead costs more than it saves

Modes = tuple[Sewn, ...]


@dataclass(frozen=True, slots=True)
class Part:
    """One fabric's part of a star.

    `supply` -- what its pieces offer. `cells[i]` -- its small diamonds in a segment of strip set i + 1; `shared[i]` --
    those that it shares with a look-alike.
    """

    supply: Supply
    cells: tuple[int, ...]
    shared: tuple[int, ...]


def needed(part: Part, choice: Sequence[Sewn]) -> Need:
    """The need of `part` for the strip sets that `choice` speaks of (the first len(choice))."""
    need = list(NO_NEED)
    for sewn, cells, shared in zip(choice, part.cells, part.shared, strict=False):
        need[PLACE_IN_NEED[sewn]] += cells
        need[SHARED] += shared
    return (need[0], need[1], need[2], need[3], need[4])


class Chooser:
    """Finds the best choice for the parts of one colouring."""

    def __init__(self, servant: Servant, parts: Sequence[Part], allowed: Sequence[Modes]) -> None:
        """allowed -- for each strip set the ways of sewing to choose from, most wanted first."""
        self.servant = servant
        self.parts = parts
        self.allowed = allowed
        self.modes: Modes = tuple(dict.fromkeys(sewn for modes in allowed for sewn in modes))
        self._ways: list[tuple[Ways, ...]] = [
            tuple(servant.ways(offers) for offers in part.supply) for part in parts
        ]
        self._open = [[sum(part.cells[i:]) for i in range(len(allowed) + 1)] for part in parts]
        self._bounds: dict[tuple[int, Need, int], int] = {}
        self._reaches: dict[tuple[int, Need, int], bool] = {}

    def possible(self) -> bool:
        """Whether some choice needs nothing bought."""
        return self._extends((), set())

    def best(self) -> Modes | None:
        """The best choice; None where some set cannot be sewn from strips of the star's width at all."""
        fewest = self._fewest()
        if fewest is None:
            return None
        to_buy = sum(self.missing(part, need) for part, need in enumerate(self._needs(fewest)))
        return self._best_of(to_buy, _not_whole(fewest))

    def missing(self, part: int, need: Need) -> int:
        """Strips to buy for one part's need, at the best variant of its supply."""
        return min(self.servant.missing(ways, need) for ways in self._ways[part])

    def cost(self, part: int, need: Need) -> Cost:
        """The least cost of one part's need."""
        services = (self.servant.best(offers, need) for offers in self.parts[part].supply)
        return min((s.cost for s in services if s is not None), default=Cost(NEVER, 0, 0, 0, 0))

    def _needs(self, choice: Modes) -> list[Need]:
        return [needed(part, choice) for part in self.parts]

    def _bound(self, part: int, need: Need, cells: int) -> int:
        """The least strips to buy when `cells` more small diamonds come to `need`, however they are sewn."""
        if cells == 0 or self._open[part][0] > BOUND_CELLS:
            return self.missing(part, need)
        key = (part, need, cells)
        if key not in self._bounds:
            self._bounds[key] = min(
                self._bound(part, with_more(need, sewn, 1), cells - 1) for sewn in self.modes
            )
        return self._bounds[key]

    def _to_buy_at_least(self, choice: Modes) -> int:
        done = len(choice)
        return sum(self._bound(part, need, self._open[part][done]) for part, need in enumerate(self._needs(choice)))

    def _extends(self, choice: Modes, failed: set[tuple[int, tuple[Need, ...]]]) -> bool:
        """Whether `choice` for the first sets can be carried on to the last with nothing bought."""
        done, needs = len(choice), tuple(self._needs(choice))
        if (done, needs) in failed:
            return False
        if all(self._reach(part, need, self._open[part][done]) for part, need in enumerate(needs)):
            if done == len(self.allowed):
                return True
            if any(self._extends((*choice, sewn), failed) for sewn in self.allowed[done]):
                return True
        failed.add((done, needs))
        return False

    def _reach(self, part: int, need: Need, cells: int) -> bool:
        """Whether `need` can be served with `cells` more small diamonds, however those are sewn."""
        if cells == 0 or self._open[part][0] > BOUND_CELLS:
            return any(self.servant.serves(ways, need) for ways in self._ways[part])
        key = (part, need, cells)
        if key not in self._reaches:
            self._reaches[key] = any(self._reach(part, with_more(need, sewn, 1), cells - 1) for sewn in self.modes)
        return self._reaches[key]

    def _fewest(self) -> Modes | None:
        """The choice with the fewest strips to buy, then the fewest sets not whole."""
        best: Modes | None = None
        limit = (NEVER, 0)
        seen: dict[tuple[int, tuple[Need, ...]], int] = {}

        def extend(choice: Modes) -> None:
            nonlocal best, limit
            state, not_whole = (len(choice), tuple(self._needs(choice))), _not_whole(choice)
            if seen.get(state, NEVER) <= not_whole:
                return
            seen[state] = not_whole
            key = (self._to_buy_at_least(choice), not_whole)
            if key >= limit:
                return
            if len(choice) == len(self.allowed):
                best, limit = choice, key
                return
            for sewn in self.allowed[len(choice)]:
                extend((*choice, sewn))

        extend(())
        return best

    def _best_of(self, to_buy: int, not_whole: int) -> Modes | None:
        """The best of the choices with just `to_buy` strips to buy and `not_whole` sets not whole.

        Sets not whole are tried first, so that of equals the one with the lowest such sets is met first. Where
        something must be bought the first met is taken: its cuts are not planned.
        """
        best: Modes | None = None
        limit: tuple[int, ...] | None = None
        seen: set[tuple[int, int, tuple[Need, ...]]] = set()

        def extend(choice: Modes) -> None:
            nonlocal best, limit
            so_far = _not_whole(choice)
            state = (len(choice), so_far, tuple(self._needs(choice)))
            if state in seen:
                return
            seen.add(state)
            if so_far > not_whole or so_far + len(self.allowed) - len(choice) < not_whole:
                return
            if (best is not None and to_buy) or self._to_buy_at_least(choice) > to_buy:
                return
            spent = () if to_buy else self._spent(choice)
            if limit is not None and spent >= limit:
                return
            if len(choice) == len(self.allowed):
                best, limit = choice, spent
                return
            for sewn in sorted(self.allowed[len(choice)], key=lambda sewn: sewn is Sewn.WHOLE):
                extend((*choice, sewn))

        extend(())
        return best

    def _spent(self, choice: Modes) -> tuple[int, ...]:
        """Runs too tight, pieces, pieces cut along and area of the choice so far: it only grows, since whatever
        serves more serves less as well. A part not begun will cut into one piece at least."""
        total = [0, 0, 0, 0]
        for part, need in enumerate(self._needs(choice)):
            if need == NO_NEED:
                total[1] += 1
                continue
            cost = self.cost(part, need)
            for i, number in enumerate((cost.tight, cost.pieces, cost.along, cost.area)):
                total[i] += number
        return tuple(total)


def _not_whole(choice: Sequence[Sewn]) -> int:
    return sum(sewn is not Sewn.WHOLE for sewn in choice)
