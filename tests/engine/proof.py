"""A plan of cuts proven from first principles: rectangles on a piece, and run lengths in whole numbers.

Nothing of `stash.match` or `stash.star` is used; sizes are exact ticks.
"""

from __future__ import annotations

import math
from collections import Counter
from decimal import Decimal, getcontext
from fractions import Fraction
from itertools import combinations

from stash.model import Coverage, CutStrip, Fabric, Kind, Mark, Piece, PieceCut, Sewn, Star, Way
from tests.engine import by_hand
from tests.engine.by_hand import HALF_INCH, INCH, Uses

Box = tuple[int, int, int, int]  # x from, x to, y from, y to


def prove(star: Star, uses: Uses, answer: Coverage) -> None:
    """All that has to hold of a covered colouring's plan."""
    fabrics = {fabric.id: fabric for fabric in by_hand.each_fabric(uses)}
    assert answer.covered
    assert {letter.mark for letter in answer.letters} <= {Mark.COVERED, Mark.TIGHT}
    assert len({cut.piece for cut in answer.cuts}) == len(answer.cuts)  # a piece is cut one way, in one go
    for cut in answer.cuts:
        lies_on_its_piece(star, cut, fabrics[cut.fabric_id])
    serves_every_small_diamond(star, uses, answer)
    spares_what_it_says(star, answer)


def straightened(piece: Piece) -> Box:
    """What straightening leaves. What is trimmed of yardage and of fat cuts is the end where cutting begins; a
    scrap loses 1/2 in all round."""
    length, width = by_hand.trimmed(piece)
    if piece.kind is Kind.SCRAP:
        return HALF_INCH, HALF_INCH + width, HALF_INCH, HALF_INCH + length
    return 0, width, piece.length - length, piece.length


def lies_on_its_piece(star: Star, cut: PieceCut, fabric: Fabric) -> None:
    """Every strip lies inside its piece, over no other, from edge to edge, and is long enough for its runs."""
    piece = next(each for each in fabric.pieces if each.id == cut.piece)
    assert (cut.piece_length, cut.piece_width, cut.rev) == (piece.length, piece.width, piece.rev)
    assert cut.fabric == fabric.name
    assert cut.way in by_hand.ways(fabric, piece)
    left, right, first, last = straightened(piece)
    boxes = [_box(cut.way, strip) for strip in cut.strips]
    for (x, x_end, y, y_end), strip in zip(boxes, cut.strips, strict=True):
        assert left <= x < x_end <= right
        assert first <= y < y_end <= last
        # A ruler's cuts go from edge to edge: a strip is as long as the straightened piece.
        assert (x, x_end) == (left, right) if cut.way is Way.ACROSS else (y, y_end) == (first, last)
        assert strip.width == math.floor(star.strip * INCH)  # 2.7 in is no whole tick
        assert strip.runs
        assert holds_its_runs(star, strip.length, strip)
    for a, b in combinations(boxes, 2):
        assert a[1] <= b[0] or b[1] <= a[0] or a[3] <= b[2] or b[3] <= a[2]
    # The strips of the exact width fit side by side as well.
    room = last - first if cut.way is Way.ACROSS else right - left
    assert len(boxes) * star.strip * INCH <= room


def _box(way: Way, strip: CutStrip) -> Box:
    along_x, along_y = (strip.length, strip.width) if way is Way.ACROSS else (strip.width, strip.length)
    return strip.x, strip.x + along_x, strip.y, strip.y + along_y


def holds_its_runs(star: Star, length: int, strip: CutStrip, more: int = 0) -> bool:
    """Whether `length` ticks hold all runs of a strip, L(N) = w + N w sqrt2 + (n - 1) |stagger - f| each (derived),
    with `more` segments besides."""
    segments = sum(run.segments for run in strip.runs) + more
    return by_hand.holds(length, len(strip.runs), segments, by_hand.head_of(star), star.strip * INCH)


def serves_every_small_diamond(star: Star, uses: Uses, answer: Coverage) -> None:
    """Each set gives 8 segments for each of its small diamonds, from that letter's fabric, in the runs of the one way
    that the set is sewn; two look-alikes four points each."""
    assert [one.set for one in answer.sets] == list(range(1, star.grid + 1))
    wanted: Counter[tuple[int, int, int]] = Counter()
    for letters, one in zip(by_hand.sets(star), answer.sets, strict=True):
        assert one.sewn in by_hand.modes(star)
        for letter in letters:
            if len(uses[letter]) == 2:
                assert one.sewn is Sewn.HALVED
                wanted.update((fabric.id, one.set, 4) for fabric in uses[letter])
            else:
                wanted.update((uses[letter][0].id, one.set, size) for size in by_hand.RUNS[one.sewn])
    cut = Counter(
        (one.fabric_id, run.set, run.segments) for one in answer.cuts for strip in one.strips for run in strip.runs
    )
    assert cut == wanted
    for one in answer.sets:
        given = sum(segments * count for (_, number, segments), count in cut.items() if number == one.set)
        assert given == 8 * star.grid


def spares_what_it_says(star: Star, answer: Coverage) -> None:
    """Every strip gives so many segments more as all of its sets have to spare together, and for each set some strip
    would not give what one more takes: at most one of each of the set's runs that lie on it."""
    strips = [strip for cut in answer.cuts for strip in cut.strips]
    spare = {one.set: one.spare_segments for one in answer.sets}
    for strip in strips:
        assert holds_its_runs(star, strip.length, strip, sum(spare[which] for which in {run.set for run in strip.runs}))
    for one in answer.sets:
        mine = [strip for strip in strips if any(run.set == one.set for run in strip.runs)]
        assert not all(
            holds_its_runs(star, strip.length, strip, sum(spare[run.set] for run in strip.runs)
                           + sum(run.set == one.set for run in strip.runs))
            for strip in mine
        )  # fmt: skip


def tight_strips(star: Star, cut: PieceCut) -> list[CutStrip]:
    """Those with under 1/2 in to spare."""
    return [strip for strip in cut.strips if not holds_its_runs(star, strip.length - HALF_INCH, strip)]


def left_on(star: Star, strip: CutStrip) -> Decimal:
    """Inches left on a strip: l - R (w + e) - G w sqrt2 in 60 digits (derived)."""
    getcontext().prec = 60
    segments = sum(run.segments for run in strip.runs)
    whole = Fraction(strip.length, INCH) - len(strip.runs) * by_hand.head_of(star) / INCH
    return _exactly(whole) - segments * _exactly(star.strip) * Decimal(2).sqrt()


def _exactly(value: Fraction) -> Decimal:
    return Decimal(value.numerator) / value.denominator
