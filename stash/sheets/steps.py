"""A plan of cuts as steps for people: piece by piece, strip by strip, with a running measure.

The running measure counts from the straightened edge: after the third strip of 2 1/2 in the ruler stands at 7 1/2.
Cut along, cloth that is straightened at one end only is measured from a side, and its strips begin at that end.
The measure is exact, though a piece keeps whole ticks.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import count

from stash.lengths import TICKS_PER_INCH, show_length, show_typed, to_inches, up_to
from stash.model import Colouring, Fabric, PieceCut, Run, Star, StoredPlan, StoredStrip, Way
from stash.names import name_key
from stash.star import chart
from stash.star.yields import length_for

STRAIGHTENED = "the straightened edge"
LEAST_KEPT = Fraction(3, 2)  # inches: the narrowest strip that is cut of anything (common practice, no source)


@dataclass(frozen=True, slots=True)
class StripStep:
    """One strip: the fabric's letters in its sets, the runs it gives, and where the ruler stands before and after
    it: inches from `PieceSteps.edge`. `length` in ticks along the strip. `id` and `booked` (the history entry) belong
    to a kept plan."""

    letters: str
    runs: tuple[Run, ...]
    start: Fraction
    end: Fraction
    length: int
    id: int = 0
    booked: int | None = None


@dataclass(frozen=True, slots=True)
class PieceSteps:
    """All strips of one piece in the order in which they are cut.

    `cut` is the piece as it was planned (with all its strips); `rest` what is left of it in the end, ticks, 0 x 0 for
    nothing. `letters` are the fabric's in this piece.
    """

    cut: PieceCut
    letters: str
    strips: tuple[StripStep, ...]
    rest: tuple[int, int]

    @property
    def straighten(self) -> int:
        """What comes off each edge that is straightened before strips are cut, ticks; 0 for none."""
        return self.cut.straighten

    @property
    def edge(self) -> str:
        """What the running measure counts from."""
        if self.begun:
            return "the edge where the last strip came off"
        if not self.straighten:
            return "the edge"
        across = self.cut.way is Way.ACROSS
        return STRAIGHTENED if across or self.cut.all_round else "a side"

    @property
    def is_rest_kept(self) -> bool:
        """Whether what is left is kept where nothing else is said: a strip can be cut of it yet."""
        return min(self.rest) >= LEAST_KEPT * TICKS_PER_INCH

    @property
    def left(self) -> tuple[int, int]:
        """What the strips that are booked leave of the piece, ticks."""
        strips = zip(self.cut.strips, self.strips, strict=True)
        return self.cut.rest([cut.width for cut, step in strips if step.booked is not None])

    @property
    def done(self) -> bool:
        """Whether every strip is cut."""
        return all(strip.booked is not None for strip in self.strips)

    @property
    def begun(self) -> bool:
        """Whether some strip is cut."""
        return any(strip.booked is not None for strip in self.strips)


def steps_of_cuts(star: Star, colouring: Colouring, cuts: Iterable[PieceCut]) -> tuple[PieceSteps, ...]:
    """The steps of a plan that is not kept (`Coverage.cuts`)."""
    letters = _Letters(star, colouring)
    return tuple(_piece(star, letters, cut, [(0, None)] * len(cut.strips)) for cut in cuts)


def steps_of_plan(star: Star, colouring: Colouring, plan: StoredPlan) -> tuple[PieceSteps, ...]:
    """The steps of a kept plan, fabric by fabric. A piece that was planned twice (the rest again) stands there twice,
    in the order in which it is cut."""
    letters = _Letters(star, colouring)
    found: dict[tuple[int, int, int, int, Way], list[StoredStrip]] = {}
    for strip in plan.strips:
        cut = strip.cut
        found.setdefault((cut.piece, cut.rev, cut.piece_length, cut.piece_width, cut.way), []).append(strip)
    steps = []
    fabrics = list(dict.fromkeys(strip.cut.fabric_id for strip in plan.strips))
    for strips in sorted(found.values(), key=lambda group: fabrics.index(group[0].cut.fabric_id)):
        strips.sort(key=lambda one: (one.cut.strips[0].y, one.cut.strips[0].x, one.id))
        steps.append(_piece(star, letters, _together(strips), [(one.id, one.booked) for one in strips]))
    return tuple(steps)


def changed_since(pieces: Iterable[PieceSteps], fabrics: Mapping[int, Fabric]) -> list[bool]:
    """Of each piece whether the stash has it otherwise than the plan and what is booked of it say.

    Where a piece was planned twice, the later planning begins with what the earlier one leaves.
    """
    sizes: dict[int, tuple[int, int]] = {}
    changed = []
    for steps in pieces:
        size = sizes.get(steps.cut.piece) or _size_there(steps.cut.piece, fabrics.get(steps.cut.fabric_id))
        changed.append(not steps.done and size != steps.left)
        sizes[steps.cut.piece] = size if steps.done else steps.rest
    return changed


def _size_there(piece: int, fabric: Fabric | None) -> tuple[int, int]:
    there = next((one for one in fabric.pieces if one.id == piece), None) if fabric else None
    return (there.length, there.width) if there else (0, 0)


def straighten_words(star: Star, piece: PieceSteps) -> str:
    """What is straightened first, and how much of it: `straighten one end first, 1 in off`; "" for nothing, and for a
    piece that is begun."""
    if piece.begun or not piece.straighten:
        return ""
    off = show_typed(to_inches(piece.straighten), star.units)
    if piece.cut.all_round:
        return f"straighten all four edges first, {off} off each"
    return f"straighten one end first, {off} off"


def run_length(star: Star, segments: int) -> str:
    """The length of strip that a run of so many segments takes, up to 1/8 in or 1 mm."""
    step = Fraction(10, 254) if star.units == "cm" else Fraction(1, 8)
    return show_length(up_to(Fraction(length_for(star, segments)), step), star.units)


def runs_text(runs: Iterable[Run]) -> str:
    """What a strip gives: `8 segments of set 2`, `4 + 4 segments of set 1`."""
    by_set: dict[int, list[int]] = {}
    for run in runs:
        by_set.setdefault(run.set, []).append(run.segments)
    return ", ".join(
        f"{' + '.join(map(str, sizes))} {'segment' if sizes == [1] else 'segments'} of set {number}"
        for number, sizes in by_set.items()
    )


def before_cutting(star: Star, piece: PieceSteps) -> str:
    """What is straightened first, and from where the strips of a piece are measured."""
    first = straighten_words(star, piece)
    edge = "there" if first and piece.edge == STRAIGHTENED else piece.edge
    return f"{first}; measure from {edge}" if first else f"measure from {edge}"


def _together(strips: Sequence[StoredStrip]) -> PieceCut:
    return replace(strips[0].cut, strips=tuple(strip.cut.strips[0] for strip in strips))


class _Letters:
    """Which letters a fabric has in which strip sets."""

    def __init__(self, star: Star, colouring: Colouring) -> None:
        self.sets = {one.number: one.letters for one in chart.strip_sets(star)}
        self.uses = {letter: {name_key(name) for name in names} for letter, names in colouring.uses.items()}

    def of(self, fabric: str, runs: Iterable[Run]) -> str:
        """The letters that a fabric has in the sets of these runs."""
        mine = {letter for letter, names in self.uses.items() if name_key(fabric) in names}
        return "".join(sorted({letter for run in runs for letter in self.sets.get(run.set, "") if letter in mine}))


def _piece(
    star: Star, letters: _Letters, cut: PieceCut, kept: Sequence[tuple[int, int | None]]
) -> PieceSteps:
    steps = []
    numbers = {False: count(), True: count()}  # what is cut has moved the edge that the others are measured from
    for strip, (strip_id, booked) in zip(cut.strips, kept, strict=True):
        start = next(numbers[booked is not None]) * star.strip
        name = letters.of(cut.fabric, strip.runs)
        steps.append(StripStep(name, strip.runs, start, start + star.strip, strip.length, strip_id, booked))
    all_letters = letters.of(cut.fabric, (run for strip in cut.strips for run in strip.runs))
    return PieceSteps(cut, all_letters, tuple(steps), cut.rest([strip.width for strip in cut.strips]))
