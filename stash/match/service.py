"""What it takes for one fabric to serve its part of a star: strips to buy, pieces to cut into, and how.

A fabric's *need* counts its small diamonds by how their strip set is sewn. Of the ways to serve a need the best is
the one with the fewest strips to buy; then with no run that leaves under 1/2 in on its lane; then fewest pieces
cut into; fewest cut along; smallest pieces (by area together); oldest pieces.
"""

from __future__ import annotations

from dataclasses import dataclass

from stash.lengths import TICKS_PER_INCH, to_ticks
from stash.match.holding import can_hold, fewest_more, too_heavy
from stash.match.packing import Capacity, Runs, lay, left_after, segments_of, take
from stash.match.supply import HALF_INCH, Lanes, Offer
from stash.model import Sewn, Star, Way
from stash.star.yields import RunGauge, run_gauge

NEVER = 10**6  # strips to buy where no number of bought strips would do

# Small diamonds by how their set is sewn; the last counts those that two look-alikes share (a run of four each).
Need = tuple[int, int, int, int, int]
NO_NEED: Need = (0, 0, 0, 0, 0)
PLACE_IN_NEED = {Sewn.WHOLE: 0, Sewn.SEVEN_ONE: 1, Sewn.HALVED: 2, Sewn.QUARTERED: 3}
SHARED = 4


def runs_of(need: Need) -> Runs:
    """The runs of 8, 7, 4, 2, 1 that a need asks for."""
    whole, seven_one, halved, quartered, shared = need
    return (whole, seven_one, 2 * halved + shared, 4 * quartered, seven_one)


def with_more(need: Need, sewn: Sewn, cells: int) -> Need:
    """`need` and `cells` small diamonds more, of sets that are sewn so."""
    more = list(need)
    more[PLACE_IN_NEED[sewn]] += cells
    return (more[0], more[1], more[2], more[3], more[4])


@dataclass(frozen=True, slots=True)
class PieceService:
    """What one piece serves: its lanes and the runs on each lane that is used."""

    offer: Offer
    lanes: Lanes
    fillings: tuple[Runs, ...]


@dataclass(frozen=True, slots=True, order=True)
class Cost:
    """What a service costs, to be made least from left to right. `area` in square ticks."""

    missing: int
    tight: int
    pieces: int
    along: int
    area: int
    oldest: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Service:
    """How a fabric serves its need: the pieces that are cut into, oldest first, and what that costs."""

    cost: Cost
    pieces: tuple[PieceService, ...]


Ways = tuple[tuple[tuple[Capacity, int], ...], ...]  # for each piece its ways as (capacity, number of lanes)


class Servant:
    """Answers what serves a need, for one star. It remembers what it worked out."""

    def __init__(self, star: Star) -> None:
        self.gauge: RunGauge = run_gauge(star)
        self._capacities: dict[int, Capacity] = {}
        self._serves: dict[tuple[Ways, Need], bool] = {}
        self._missing: dict[tuple[Ways, Need], int] = {}
        self._best: dict[tuple[tuple[Offer, ...], Need], Service | None] = {}
        self.bought = self.capacity(to_ticks(star.width))

    def capacity(self, length: int) -> Capacity:
        """The most segments that 1, 2, 3 ... runs give together on a lane of `length` ticks."""
        if length not in self._capacities:
            found: list[int] = []
            while length > 0 and (most := self.gauge.most(length, len(found) + 1)) > len(found):
                found.append(most)
            self._capacities[length] = tuple(found)
        return self._capacities[length]

    def ways(self, offers: tuple[Offer, ...]) -> Ways:
        """Each piece's ways as (capacity, lanes)."""
        return tuple(
            tuple((self.capacity(lanes.length), lanes.count) for lanes in offer.ways) for offer in offers
        )

    def serves(self, ways: Ways, need: Need) -> bool:
        """Whether the pieces' lanes serve `need` with nothing bought."""
        key = (ways, need)
        if key not in self._serves:
            self._serves[key] = can_hold(ways, runs_of(need))
        return self._serves[key]

    def missing(self, ways: Ways, need: Need) -> int:
        """The fewest full-width strips that, added to the pieces' lanes, serve `need`; `NEVER` if none do."""
        key = (ways, need)
        if key not in self._missing:
            self._missing[key] = self.missing_for(ways, runs_of(need))
        return self._missing[key]

    def missing_for(self, ways: Ways, runs: Runs) -> int:
        """The fewest full-width strips that, added to the pieces' lanes, hold `runs`; `NEVER` if none do."""
        fewest = fewest_more(ways, self.bought, runs)
        return NEVER if fewest is None else fewest

    def best(self, offers: tuple[Offer, ...], need: Need) -> Service | None:
        """The best service of `need`; None where no number of bought strips would do."""
        key = (offers, need)
        if key not in self._best:
            self._best[key] = self._find_best(offers, need)
        return self._best[key]

    def _find_best(self, offers: tuple[Offer, ...], need: Need) -> Service | None:
        return self._best_with(offers, runs_of(need), self.missing(self.ways(offers), need))

    def best_for(self, offers: tuple[Offer, ...], runs: Runs) -> Service | None:
        """The best service of plain runs; None where no number of bought strips would do."""
        return self._best_with(offers, runs, self.missing_for(self.ways(offers), runs))

    def _best_with(self, offers: tuple[Offer, ...], runs: Runs, missing: int) -> Service | None:
        if missing == NEVER:
            return None
        for tight, keep_back in ((0, HALF_INCH), (1, 0)):
            found = _Search(self, offers, missing, keep_back).best(runs)
            if found is not None:
                cost = Cost(missing, tight, found.pieces, found.along, found.area, found.oldest)
                return Service(cost, tuple(one.laid() for one in found.taken))
        raise AssertionError("what is missing was found, but not how to serve it")

    def has_lane_to_spare(self, offers: tuple[Offer, ...], runs: Runs, longest: int) -> bool:
        """Whether `runs` can be served and one lane that holds a run of `longest` segments still be free."""
        ways = self.ways(offers)
        for i, offered in enumerate(ways):
            for capacity, count in offered:
                if capacity and capacity[0] >= longest:
                    one_less = (*ways[:i], ((capacity, count - 1),), *ways[i + 1 :])
                    if can_hold(one_less, runs):
                        return True
        return False

    def least_left(self, service: PieceService) -> float:
        """The least length left on a used lane, inches."""
        return min(self.left_on(service.lanes.length, sum(one), segments_of(one)) for one in service.fillings)

    def left_on(self, length: int, runs: int, segments: int) -> float:
        """What runs with so many segments together leave of a lane of `length` ticks, inches (for people: exact tests
        are the gauge's)."""
        strip = self.gauge.strip / self.gauge.scale
        head = self.gauge.head / self.gauge.scale
        return (length - runs * head - segments * strip * 2**0.5) / TICKS_PER_INCH


@dataclass(frozen=True, slots=True)
class _Taken:
    """Runs that one piece gives."""

    offer: Offer
    lanes: Lanes
    capacity: Capacity
    runs: Runs

    def laid(self) -> PieceService:
        laid = lay(self.capacity, self.lanes.count, self.runs)
        assert laid is not None
        return PieceService(self.offer, self.lanes, laid)


@dataclass(frozen=True, slots=True)
class _Found:
    pieces: int
    along: int
    area: int
    oldest: tuple[int, ...]
    taken: tuple[_Taken, ...]

    def key(self) -> tuple[int, int, int, tuple[int, ...]]:
        return self.pieces, self.along, self.area, self.oldest


_NONE_TAKEN = _Found(0, 0, 0, (), ())


class _Search:
    """The cheapest pieces for given runs when `missing` bought strips may help: piece by piece, oldest first, over
    what is left of the runs."""

    def __init__(self, servant: Servant, offers: tuple[Offer, ...], missing: int, keep_back: int) -> None:
        self.servant = servant
        self.offers = offers
        self.missing = missing
        self.bought = ((servant.bought, missing),)
        self.ways: Ways = tuple(
            tuple((servant.capacity(lanes.length - keep_back), lanes.count) for lanes in offer.ways)
            for offer in offers
        )
        self.known: dict[tuple[int, int, Runs], _Found | None] = {}

    def best(self, runs: Runs) -> _Found | None:
        """Few pieces come before all else, so one is tried first, then two, and so on."""
        each = (self._best(runs, 0, most) for most in range(len(self.offers) + 1))
        return next((found for found in each if found is not None), None)

    def _best(self, runs: Runs, first: int, most: int) -> _Found | None:
        """The cheapest of at most `most` pieces, those from `first` on."""
        if (first, most, runs) not in self.known:
            self.known[first, most, runs] = self._find(runs, first, most)
        return self.known[first, most, runs]

    def _find(self, runs: Runs, first: int, most: int) -> _Found | None:
        if can_hold((self.bought,), runs):
            return _NONE_TAKEN
        rest = self.ways[first:]
        if not most or not rest or too_heavy((*rest, self.bought), most + 1, runs):
            return None
        if not can_hold((*rest, self.bought), runs):
            return None
        if most == 1 and not self.missing:
            return self._of_one(runs, first)
        choices = [self._best(runs, first + 1, most)]
        offer = self.offers[first]
        for lanes, (capacity, _) in zip(offer.ways, self.ways[first], strict=True):
            for left in left_after(capacity, lanes.count, runs):
                if left != runs:
                    taken = _Taken(offer, lanes, capacity, take(runs, left))
                    choices.append(_with(taken, self._best(left, first + 1, most - 1)))
        return min((found for found in choices if found is not None), key=_Found.key, default=None)

    def _of_one(self, runs: Runs, first: int) -> _Found | None:
        """The cheapest piece that serves all of `runs`."""
        able = (
            _with(_Taken(offer, lanes, way[0], runs), _NONE_TAKEN)
            for offer, ways in zip(self.offers[first:], self.ways[first:], strict=True)
            for lanes, way in zip(offer.ways, ways, strict=True)
            if can_hold(((way,),), runs)
        )
        return min((found for found in able if found is not None), key=_Found.key, default=None)


def _with(taken: _Taken, rest: _Found | None) -> _Found | None:
    if rest is None:
        return None
    piece = taken.offer.piece
    return _Found(
        rest.pieces + 1,
        rest.along + (taken.lanes.way is Way.ALONG),
        rest.area + piece.length * piece.width,
        (piece.id, *rest.oldest),
        (taken, *rest.taken),
    )
