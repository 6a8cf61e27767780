"""The plan of cuts: every strip with its piece, its place on it, and the runs it gives."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Sequence
from fractions import Fraction

from stash.lengths import TICKS_PER_INCH
from stash.match.choice import Part
from stash.match.packing import SIZES, Runs
from stash.match.service import PieceService, Service
from stash.match.supply import trims
from stash.model import CutStrip, Fabric, PieceCut, Run, Sewn, Star, Way
from stash.star.yields import RUNS, RunGauge

Queues = dict[int, deque[int]]  # strip sets waiting for a run, by the run's segments


def piece_cuts(star: Star, fabric: Fabric, part: Part, choice: Sequence[Sewn], service: Service) -> list[PieceCut]:
    """The cuts of one fabric, piece by piece; the lowest sets come first on the oldest pieces."""
    return cut_from(star, fabric, service, _waiting(part, choice))


def cut_from(star: Star, fabric: Fabric, service: Service, queues: Queues) -> list[PieceCut]:
    """The cuts of one fabric for the runs that wait in `queues`, which are taken out."""
    return [_on_piece(star, fabric, served, queues) for served in service.pieces]


def spare_segments(gauge: RunGauge, cuts: Sequence[PieceCut], number: int) -> int:
    """How many more segments the tightest lane of strip set `number` would give."""
    spares = [
        gauge.most(strip.length, len(strip.runs)) - sum(run.segments for run in strip.runs)
        for cut in cuts
        for strip in cut.strips
        if any(run.set == number for run in strip.runs)
    ]
    return min(spares, default=0)


def _waiting(part: Part, choice: Sequence[Sewn]) -> Queues:
    queues: Queues = {size: deque() for size in SIZES}
    for number, (sewn, cells, shared) in enumerate(zip(choice, part.cells, part.shared, strict=True), start=1):
        for segments in RUNS[sewn] * cells + (4,) * shared:
            queues[segments].append(number)
    return queues


def _on_piece(star: Star, fabric: Fabric, served: PieceService, queues: Queues) -> PieceCut:
    piece, lanes = served.offer.piece, served.lanes
    trim_length, trim_width, margin = trims(piece)
    first_y = margin if margin else trim_length
    strip_ticks = star.strip * TICKS_PER_INCH
    strips = []
    for lane, filling in enumerate(served.fillings):
        off = _lane_offset(strip_ticks, lane)
        x, y = (margin, first_y + off) if lanes.way is Way.ACROSS else (margin + off, first_y)
        strips.append(CutStrip(x, y, lanes.length, math.floor(strip_ticks), _runs(filling, queues)))
    return PieceCut(
        fabric.id, fabric.name, piece.id, piece.rev, piece.length, piece.width, lanes.way, tuple(strips),
        trim_length, trim_width,
    )  # fmt: skip


def _lane_offset(strip_ticks: Fraction, lane: int) -> int:
    return math.ceil(strip_ticks * lane)


def _runs(filling: Runs, queues: Queues) -> tuple[Run, ...]:
    return tuple(
        Run(queues[size].popleft(), size) for size, count in zip(SIZES, filling, strict=True) for _ in range(count)
    )
