"""The marks of a star that is being cut: what is cut is on hand, the rest is asked of the cloth that is there."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from stash.lengths import TICKS_PER_INCH
from stash.match.coverage import plain_cover, short_of
from stash.match.rests import Rest, Rests
from stash.match.service import Servant
from stash.match.supply import HALF_INCH, lanes_of
from stash.model import LetterCover, Mark, PieceCut, Run, Star, Way
from stash.star import chart


def letter_cover(rests: Rests, letter: str) -> LetterCover:
    """One letter's cover; marked as by a check, but on the strips that are still to cut."""
    star, used = rests.star, rests.colours.letters[letter]
    mine = [rests.by_fabric[fabric.id] for fabric in used]
    missing = sum(rest.missing for rest in mine)
    cover = replace(plain_cover(star, letter, used), about=any(_rests_on_estimate(rest) for rest in mine))
    if missing:
        return short_of(star, cover, missing)
    sets = {one.number for one in chart.strip_sets(star) if letter in one.letters}
    waiting = [(rest, run) for rest in mine for run in _runs(rest) if run.set in sets]
    left = _least_left(rests.servant, [cut for rest in mine for cut in rest.all_cuts]) if waiting else None
    longest = {rest.fabric.id: max(run.segments for of, run in waiting if of is rest) for rest, _ in waiting}
    roomy = left is None and all(
        _has_lane_to_spare(rests, rest, longest[rest.fabric.id]) for rest in mine if rest.fabric.id in longest
    )
    return replace(cover, mark=Mark.COVERED if roomy else Mark.TIGHT, spare=left)


def _runs(rest: Rest) -> Iterable[Run]:
    return (run for cut in rest.all_cuts for strip in cut.strips for run in strip.runs)


def _rests_on_estimate(rest: Rest) -> bool:
    """Whether what is still to cut comes from an estimated piece; all pieces are looked at where cloth is missing."""
    used = {cut.piece for cut in rest.all_cuts}
    return any(piece.estimated for piece in rest.fabric.pieces if rest.missing or piece.id in used)


def _least_left(servant: Servant, cuts: Sequence[PieceCut]) -> float | None:
    """The least length left on a strip, inches, where it is under 1/2."""
    strips = [strip for cut in cuts for strip in cut.strips]
    tight = [
        strip for strip in strips
        if servant.gauge.most(strip.length - HALF_INCH, len(strip.runs)) < sum(run.segments for run in strip.runs)
    ]  # fmt: skip
    left = (
        servant.left_on(strip.length, len(strip.runs), sum(run.segments for run in strip.runs)) for strip in tight
    )
    return min(left, default=None)


def _has_lane_to_spare(rests: Rests, rest: Rest, longest: int) -> bool:
    """Whether a lane that holds a run of `longest` segments is free when all runs that wait are cut: on a piece that
    nothing is cut from, or beside the strips, unless that is cloth for a part of the quilt; or with the runs laid some
    other way, as a check asks before the first cut."""
    free = [lanes.length for offers in rest.free for offer in offers for lanes in offer.ways]
    if not rests.colours.parts_of(rest.fabric):
        free += _beside(rests.star, rest)
    return any(rests.servant.gauge.fits(length, 1, longest) for length in free) or any(
        rests.servant.has_lane_to_spare(offers, rest.runs, longest) for offers in rests.offered(rest.fabric)
    )


def _beside(star: Star, rest: Rest) -> Iterable[int]:
    """The lengths in ticks of the lanes that the strips leave on their own pieces. One that a plan of another star
    holds cloth of is straightened anew by whoever comes second."""
    pieces = {piece.id: piece for piece in rest.fabric.pieces}
    lefts = [(one.cuts[-1].piece, one.cuts[-1].way, one.left) for one in rest.kept]
    lefts += [(cut.piece, cut.way, cut.rest([each.width for each in cut.strips])) for cut in rest.cuts]
    for number, way, (length, width) in lefts:
        left = replace(pieces[number], length=length, width=width, cut_before=True)
        side, lane = (length, width) if way is Way.ACROSS else (width, length)
        if left.hold is not None:
            lanes = lanes_of(left, star.strip, way)
            side, lane = lanes.count * side, lanes.length
        if side >= star.strip * TICKS_PER_INCH:
            yield lane
