"""What the fabrics of a star that is being cut still have to give: strips that stand as they are planned, and runs
that are asked of other pieces since the piece they were planned on was changed."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain, combinations

from stash.errors import Fault
from stash.match.coverage import Colours
from stash.match.cuts import Queues, cut_from
from stash.match.ground import lay_parts, supplies
from stash.match.packing import SIZES, Runs
from stash.match.service import Servant, Service
from stash.match.standing import Standing, is_straight, standing
from stash.match.supply import Offer, Supply, trims
from stash.model import Fabric, Hold, PieceCut, Run, Star, StoredPlan, StoredStrip, Way
from stash.names import name_key

MOST_CHOSEN = 5  # pieces whose standing strips are kept or planned elsewhere one by one; of more, all of them together


@dataclass(frozen=True, slots=True)
class Rest:
    """What one fabric still has to give.

    `kept` are the pieces whose strips stand; `replaced` the strips that are planned elsewhere, and `cuts` theirs.
    `missing` full-width strips are to buy for them. `runs` are all that wait, of both. `free` is what the pieces offer
    that nothing is cut from.
    """

    fabric: Fabric
    kept: tuple[Standing, ...]
    replaced: tuple[StoredStrip, ...]
    cuts: tuple[PieceCut, ...]
    missing: int
    runs: Runs
    free: Supply

    @property
    def all_cuts(self) -> tuple[PieceCut, ...]:
        """All that is still to cut, on the pieces as they are now."""
        return (*chain.from_iterable(one.cuts for one in self.kept), *self.cuts)


class Rests:
    """The rest of a plan, fabric by fabric: `each`, and `by_fabric` by id."""

    def __init__(self, star: Star, colours: Colours, plan: StoredPlan) -> None:
        self.star = star
        self.colours = colours
        self.servant = Servant(star)
        by_name = {name_key(fabric.name): fabric for fabric in colours.fabrics()}
        strips: defaultdict[int, list[StoredStrip]] = defaultdict(list)
        for strip in plan.strips:
            fabric = by_name.get(name_key(strip.cut.fabric))
            if fabric is None:
                raise Fault(
                    "the plan cuts this fabric, and the colouring has it no longer", strip.cut.fabric,
                    "let the plan go (l on the Cutting screen), then plan anew",
                )  # fmt: skip
            strips[fabric.id].append(strip)
        self.strips = strips
        self.each = [self._rest(fabric, strips[fabric.id]) for fabric in by_name.values()]
        self.by_fabric: Mapping[int, Rest] = {rest.fabric.id: rest for rest in self.each}

    def left_over(self, fabric: Fabric) -> Fabric:
        """The fabric as it will be when all is cut. An edge that strips were cut from needs no straightening, so what
        that takes is added."""
        rest = self.by_fabric.get(fabric.id)
        if rest is None:
            return fabric
        left = {one.cuts[-1].piece: one.left for one in rest.kept}
        left |= {cut.piece: cut.rest([strip.width for strip in cut.strips]) for cut in rest.cuts}
        pieces = []
        for piece in fabric.pieces:
            mine = [strip for strip in self.strips[fabric.id] if strip.cut.piece == piece.id]
            straight = piece.id in left or is_straight(piece, mine)
            length, width = left.get(piece.id, (piece.length, piece.width))
            if straight:
                off_length, off_width = trims(replace(piece, cut_before=True))
                length, width = length + off_length, width + off_width
            pieces.append(replace(piece, length=length, width=width, cut_before=piece.cut_before or straight))
        return replace(fabric, pieces=tuple(pieces))

    def _rest(self, fabric: Fabric, strips: Sequence[StoredStrip]) -> Rest:
        """Strips stand where they can; where the others then lack cloth, some that stand are planned elsewhere too:
        as few pieces as will do."""
        pieces = {piece.id: piece for piece in fabric.pieces}
        planned = dict.fromkeys(strip.cut.piece for strip in strips)
        found = [standing(pieces.get(key), [one for one in strips if one.cut.piece == key]) for key in planned]
        stand = [one for one in found if one.strips]
        first = self._served(fabric, strips, stand)
        if not first.missing:
            return first
        others = (self._served(fabric, strips, kept) for kept in _fewer(stand))
        return min((first, *others), key=lambda one: one.missing)

    def _served(self, fabric: Fabric, strips: Sequence[StoredStrip], kept: Sequence[Standing]) -> Rest:
        """The runs of all other strips that wait, from the pieces that no kept strip lies on."""
        ids = {strip.id for one in kept for strip in one.strips}
        replaced = tuple(strip for strip in strips if strip.booked is None and strip.id not in ids)
        cloth = _without(fabric, {cut.piece for one in kept for cut in one.cuts})
        offered, runs = self.offered(cloth), _counted(strip for strip in strips if strip.booked is None)
        if not replaced:
            return Rest(fabric, tuple(kept), (), (), 0, runs, offered)
        service = self._best(offered, _counted(replaced))
        if service is None:
            return Rest(fabric, tuple(kept), replaced, (), len(replaced), runs, offered)
        cuts = () if service.cost.missing else tuple(cut_from(self.star, cloth, service, _queues(replaced)))
        cut_into = {cut.piece for cut in cuts}
        free = tuple(tuple(offer for offer in each if offer.piece.id not in cut_into) for each in offered)
        return Rest(fabric, tuple(kept), replaced, cuts, service.cost.missing, runs, free)

    def offered(self, fabric: Fabric) -> Supply:
        """What a fabric offers the letters, in one variant for each way to keep the cloth of its parts of
        the quilt back."""
        parts = self.colours.parts_of(fabric)
        return supplies(fabric, self.star, lay_parts(fabric, self.star, parts) if parts else None)

    def _best(self, offered: Iterable[tuple[Offer, ...]], runs: Runs) -> Service | None:
        found = (self.servant.best_for(offers, runs) for offers in offered)
        services = [service for service in found if service is not None]
        return min(services, key=lambda service: service.cost, default=None)


def _fewer(stand: Sequence[Standing]) -> Iterator[Sequence[Standing]]:
    """The pieces that keep their strips where some do not: most of them first."""
    counts = range(len(stand) - 1, -1, -1) if len(stand) <= MOST_CHOSEN else (0,)
    return (kept for count in counts if count < len(stand) for kept in combinations(stand, count))


def _without(fabric: Fabric, taken: Collection[int]) -> Fabric:
    """The fabric with all of some pieces held."""
    return replace(fabric, pieces=tuple(
        replace(piece, hold=Hold(Way.ACROSS, piece.length)) if piece.id in taken else piece
        for piece in fabric.pieces
    ))  # fmt: skip


def _runs(strips: Iterable[StoredStrip]) -> list[Run]:
    return [run for strip in strips for run in strip.cut.strips[0].runs]


def _counted(strips: Iterable[StoredStrip]) -> Runs:
    asked = _runs(strips)
    counts = [sum(run.segments == size for run in asked) for size in SIZES]
    return (counts[0], counts[1], counts[2], counts[3], counts[4])


def _queues(strips: Iterable[StoredStrip]) -> Queues:
    asked = _runs(strips)
    return {size: deque(sorted(run.set for run in asked if run.segments == size)) for size in SIZES}
