"""The plan of cuts: every strip with its piece, its place on it, and the runs it gives."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction

from stash.lengths import TICKS_PER_INCH
from stash.match.choice import Part
from stash.match.packing import SIZES, Runs
from stash.match.service import PieceService, Service
from stash.match.supply import trims
from stash.model import CutStrip, Fabric, PieceCut, Run, Sewn, Star, Way
from stash.star.yields import RUNS

SEWN_WITH = {max(runs): sewn for sewn, runs in RUNS.items()}  # by the longest run

Queues = dict[int, deque[int]]  # strip sets waiting for a run, by the run's segments


def piece_cuts(star: Star, fabric: Fabric, part: Part, choice: Sequence[Sewn], service: Service) -> list[PieceCut]:
    """The cuts of one fabric, piece by piece; the lowest sets come first on the oldest pieces."""
    return cut_from(star, fabric, service, _waiting(part, choice))


def cut_from(star: Star, fabric: Fabric, service: Service, queues: Queues) -> list[PieceCut]:
    """The cuts of one fabric for the runs that wait in `queues`, which are taken out."""
    return [_on_piece(star, fabric, served, queues) for served in service.pieces]


def sewn_as(cuts: Sequence[PieceCut], number: int) -> Sewn | None:
    """How set `number` is sewn, by the longest run of it; None where the cuts have no run of it."""
    found = (run.segments for cut in cuts for strip in cut.strips for run in strip.runs if run.set == number)
    return SEWN_WITH.get(max(found, default=0))


def _waiting(part: Part, choice: Sequence[Sewn]) -> Queues:
    queues: Queues = {size: deque() for size in SIZES}
    for number, (sewn, cells, shared) in enumerate(zip(choice, part.cells, part.shared, strict=True), start=1):
        for segments in RUNS[sewn] * cells + (4,) * shared:
            queues[segments].append(number)
    return queues


def _on_piece(star: Star, fabric: Fabric, served: PieceService, queues: Queues) -> PieceCut:
    piece, lanes = served.offer.piece, served.lanes
    bare = PieceCut(
        fabric.id, fabric.name, piece.id, piece.rev, piece.length, piece.width, lanes.way, (), *trims(piece)
    )
    strips = [(lanes.length, _runs(filling, queues)) for filling in served.fillings]
    return replace(bare, strips=_strips_on(bare, star.strip * TICKS_PER_INCH, strips))


def _strips_on(cut: PieceCut, width: Fraction, strips: Iterable[tuple[int, tuple[Run, ...]]]) -> tuple[CutStrip, ...]:
    """Strips of `width` ticks, each with its length and its runs, one beside the other from the corner of a
    straightened piece."""
    laid = []
    for lane, (length, runs) in enumerate(strips):
        x, y = cut.corner
        off = math.ceil(width * lane)
        x, y = (x, y + off) if cut.way is Way.ACROSS else (x + off, y)
        laid.append(CutStrip(x, y, length, math.floor(width), runs))
    return tuple(laid)


def _runs(filling: Runs, queues: Queues) -> tuple[Run, ...]:
    return tuple(
        Run(queues[size].popleft(), size) for size, count in zip(SIZES, filling, strict=True) for _ in range(count)
    )
