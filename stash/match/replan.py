"""A star whose plan is cut in part: whether the cloth that is there gives the rest, and the rest planned again.

Strips on pieces that are as the plan and what is booked of it left them stand as they are: the edge they are measured
from is the one of the last cut, with no further straightening. Only strips on pieces that were changed since are
planned again, on the fabric's other pieces where those reach, else all that is left of the fabric together.
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from stash.errors import EXIT_NO, Fault
from stash.lengths import to_ticks
from stash.match.coverage import Colours, check, look_up, to_buy
from stash.match.cuts import Queues, cut_from, spare_segments
from stash.match.ground import lay_parts, supplies
from stash.match.packing import SIZES, Runs
from stash.match.service import Servant, Service
from stash.model import (
    Colouring,
    Coverage,
    Fabric,
    Hold,
    LetterCover,
    Mark,
    PieceCut,
    Run,
    SetSewn,
    Sewn,
    Star,
    StoredPlan,
    StoredStrip,
    Way,
)
from stash.names import name_key
from stash.star import chart
from stash.star.yields import strips_of_letter

LONGEST_RUN = {8: Sewn.WHOLE, 7: Sewn.SEVEN_ONE, 4: Sewn.HALVED, 2: Sewn.QUARTERED}


class RestNotCovered(Fault):
    """The cloth that is there does not give the strips that are still to cut."""

    exit_code = EXIT_NO


@dataclass(frozen=True, slots=True)
class Replan:
    """`cuts` in place of the strips (by id) that cannot be cut as planned; () for none."""

    strips: tuple[int, ...]
    cuts: tuple[PieceCut, ...]


def replan(star: Star, colouring: Colouring, fabrics: Iterable[Fabric], plan: StoredPlan) -> Replan:
    """Cuts that give the runs of all strips whose piece was changed since; each set stays sewn as it was planned.

    Raises RestNotCovered, which names the fabric and the strips it lacks.
    """
    rests = _Rests(star, look_up(star, colouring, fabrics), plan)
    for rest in rests.each:
        if rest.missing:
            strips = "strip" if rest.missing == 1 else "strips"
            raise RestNotCovered(
                f"what is left of it is short by {rest.missing} full-width {strips} for the rest of this plan; nothing "
                "was changed", rest.fabric.name,
                "record what you have of it (b or c on the Stash screen, or bought and count), then plan again",
            )  # fmt: skip
    return Replan(tuple(strip.id for rest in rests.each for strip in rest.replaced), rests.new_cuts())


def rest_cover(star: Star, colouring: Colouring, fabrics: Iterable[Fabric], plan: StoredPlan) -> Coverage:
    """What the stash says to a star whose plan is begun: strips that are cut already are on hand, the others are asked
    of the cloth that is there. Its cuts are those that are left."""
    stash = tuple(fabrics)
    rests = _Rests(star, look_up(star, colouring, stash), plan)
    letters = tuple(rests.letter(letter) for letter in star.letters)
    covered = all(letter.mark is Mark.COVERED for letter in letters)
    whole = check(star, colouring, stash)
    cuts = (*rests.kept_cuts(), *rests.new_cuts()) if covered else ()
    return Coverage(covered, letters, tuple(rests.sets()), cuts, whole.ground, quilt=whole.quilt)


def is_begun(star: Star, plan: StoredPlan | None) -> bool:
    """Whether a plan of all the star's strips is cut in part."""
    return plan is not None and len({strip.booked is None for strip in plan.strips}) == 2 and is_whole(star, plan)


def is_whole(star: Star, plan: StoredPlan) -> bool:
    """Whether the plan's strips, cut or not, make the star: eight segments of each set, in strips of its width.

    They do not where the rest was let go half way, or where the star was changed while it was cut.
    """
    cuts = [strip.cut.strips[0] for strip in plan.strips]
    wide = abs(cuts[0].width - to_ticks(star.strip)) <= 1 if cuts else False
    segments = Counter[int]()
    for cut in cuts:
        segments.update({run.set: run.segments for run in cut.runs})
    return wide and segments == {one.number: 8 * len(one.letters) for one in chart.strip_sets(star)}


@dataclass(frozen=True, slots=True)
class _Rest:
    """What one fabric still has to give: strips that stand (`kept`), strips that are `replaced`, and the service of
    their runs from `cloth`."""

    fabric: Fabric
    kept: tuple[StoredStrip, ...]
    replaced: tuple[StoredStrip, ...] = ()
    cloth: Fabric | None = None
    service: Service | None = None

    @property
    def runs(self) -> tuple[Run, ...]:
        return tuple(run for strip in self.replaced for run in strip.cut.strips[0].runs)

    @property
    def missing(self) -> int:
        if not self.replaced:
            return 0
        return len(self.replaced) if self.service is None else self.service.cost.missing


class _Rests:
    def __init__(self, star: Star, colours: Colours, plan: StoredPlan) -> None:
        self.star = star
        self.colours = colours
        self.plan = plan
        self.servant = Servant(star)
        by_name = {name_key(fabric.name): fabric for fabric in colours.fabrics()}
        strips: dict[int, list[StoredStrip]] = {}
        for strip in plan.strips:
            fabric = by_name.get(name_key(strip.cut.fabric))
            if fabric is None:
                raise Fault(
                    "the plan cuts this fabric, and the colouring has it no longer", strip.cut.fabric,
                    "let the plan go (l on the Cutting screen), then plan anew",
                )  # fmt: skip
            strips.setdefault(fabric.id, []).append(strip)
        self.each = [self._rest(fabric, strips.get(fabric.id, [])) for fabric in by_name.values()]
        self.by_fabric = {rest.fabric.id: rest for rest in self.each}

    def _rest(self, fabric: Fabric, strips: Sequence[StoredStrip]) -> _Rest:
        stands = {key for key, group in _plannings(strips).items() if _is_as_planned(fabric, group)}
        waiting = [strip for strip in strips if strip.booked is None]
        kept = tuple(strip for strip in waiting if _planning(strip) in stands)
        changed = tuple(strip for strip in waiting if _planning(strip) not in stands)
        if not changed:
            return _Rest(fabric, kept)
        beside = self._served(fabric, kept, changed)
        return beside if not beside.missing else self._served(fabric, (), (*kept, *changed))

    def _served(
        self, fabric: Fabric, kept: tuple[StoredStrip, ...], replaced: tuple[StoredStrip, ...]
    ) -> _Rest:
        """The runs of `replaced` from the pieces that no kept strip lies on."""
        taken = {strip.cut.piece for strip in kept}
        pieces = tuple(
            replace(piece, hold=Hold(Way.ACROSS, piece.length, piece.width)) if piece.id in taken else piece
            for piece in fabric.pieces
        )
        cloth = replace(fabric, pieces=pieces)
        parts = self.colours.parts_of(fabric)
        laid = lay_parts(cloth, self.star, parts) if parts else None
        runs = _counted(run for strip in replaced for run in strip.cut.strips[0].runs)
        found = [self.servant.best_for(offers, runs) for offers in supplies(cloth, self.star, laid)]
        services = [service for service in found if service is not None]
        best = min(services, key=lambda service: service.cost, default=None)
        return _Rest(fabric, kept, replaced, cloth, best)

    def letter(self, letter: str) -> LetterCover:
        used = self.colours.letters[letter]
        missing = sum(self.by_fabric[fabric.id].missing for fabric in used)
        on_paper = strips_of_letter(self.star, letter)
        names, cells = tuple(fabric.name for fabric in used), chart.cells(self.star, letter)
        if not missing:
            return LetterCover(letter, names, cells, on_paper, on_paper, Mark.COVERED)
        buy, spare = (to_buy(self.star, count * self.star.strip) for count in (missing, missing + 1))
        on_hand = max(0, on_paper - missing)
        return LetterCover(letter, names, cells, on_paper, on_hand, Mark.SHORT, missing, buy, spare)

    def sets(self) -> Iterable[SetSewn]:
        cuts = [strip.cut for strip in self.plan.strips]
        for one in chart.strip_sets(self.star):
            runs = [run for cut in cuts for run in cut.strips[0].runs if run.set == one.number]
            longest = max((run.segments for run in runs), default=8)
            yield SetSewn(one.number, LONGEST_RUN[longest], spare_segments(self.servant.gauge, cuts, one.number))

    def new_cuts(self) -> tuple[PieceCut, ...]:
        cuts: list[PieceCut] = []
        for rest in self.each:
            if rest.service is not None and rest.cloth is not None:
                cuts += cut_from(self.star, rest.cloth, rest.service, _queues(rest.runs))
        return tuple(cuts)

    def kept_cuts(self) -> tuple[PieceCut, ...]:
        """The strips that stand, piece by piece."""
        groups = _plannings([strip for rest in self.each for strip in rest.kept])
        return tuple(
            replace(group[0].cut, strips=tuple(strip.cut.strips[0] for strip in group)) for group in groups.values()
        )


Planning = tuple[int, int, int, int]


def _planning(strip: StoredStrip) -> Planning:
    """Strips of one piece that were planned together: the piece as it was then."""
    cut = strip.cut
    return cut.piece, cut.rev, cut.piece_length, cut.piece_width


def _plannings(strips: Iterable[StoredStrip]) -> dict[Planning, list[StoredStrip]]:
    groups: dict[Planning, list[StoredStrip]] = {}
    for strip in strips:
        groups.setdefault(_planning(strip), []).append(strip)
    return groups


def _is_as_planned(fabric: Fabric, strips: Sequence[StoredStrip]) -> bool:
    """Whether a piece is just what its planning and the strips booked of it have left."""
    cut = strips[0].cut
    rest = cut.rest([strip.cut.strips[0].width for strip in strips if strip.booked is not None])
    there = next((piece for piece in fabric.pieces if piece.id == cut.piece), None)
    return rest == ((there.length, there.width) if there else (0, 0))


def _counted(runs: Iterable[Run]) -> Runs:
    asked = list(runs)
    counts = [sum(run.segments == size for run in asked) for size in SIZES]
    return (counts[0], counts[1], counts[2], counts[3], counts[4])


def _queues(runs: Iterable[Run]) -> Queues:
    asked = list(runs)
    return {size: deque(sorted(run.set for run in asked if run.segments == size)) for size in SIZES}
