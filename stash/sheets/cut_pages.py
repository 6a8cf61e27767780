"""For the cutting table: every piece with its strips; for the machine: every strip set as it is sewn and sliced."""

from __future__ import annotations

from stash.lengths import show_hundredths, show_ticks, show_typed
from stash.model import Star, Way
from stash.sheets.fonts import text_width
from stash.sheets.job import Job
from stash.sheets.paper import Paper, wrap
from stash.sheets.sets import Measures, SetSteps, measures
from stash.sheets.star_pages import UNKNOWN, colour_of
from stash.sheets.steps import PieceSteps, before_cutting, run_length, runs_text
from stash.star.geometry import corner, triangle_square
from stash.wording import counted

ROW = 13.0  # points a strip
STRIPE = 150.0  # points: how long a strip of a set is drawn
CHANGED = (
    "This piece was changed since it was planned: do not cut it by this page. Plan again what is not cut yet (r on the "
    "Cutting screen, log --replan), and print that."
)
YOURS = 210.0  # points from the margin: where the maker's own measure is written
PLACES = (16.0, 52.0, 118.0, 180.0)  # points from the box: number, ruler, letters, segments


def cutting_pages(paper: Paper, job: Job) -> None:
    """Piece by piece, what to straighten, strips with a running measure and a box to tick."""
    paper.page("cutting")
    for caution in job.cautions:
        paper.wrapped(caution, 8.5)
    if not job.pieces:
        paper.line("")
        paper.wrapped("The stash does not cover this star, so there is nothing to cut yet.", 10)
    else:
        paper.wrapped(
            "A line is a strip: where the ruler stands, measured from the edge that is named at each piece, its "
            "letter, and the segments it gives.", 8.5,
        )  # fmt: skip
        _in_two(paper, job)
    for piece, changed in zip(job.pieces, job.changed, strict=True):
        _piece(paper, job, piece, changed)
    _setting(paper, job.star)


def _in_two(paper: Paper, job: Job) -> None:
    """How long a part of a strip is that gives several runs."""
    strips = [strip for piece in job.pieces for strip in piece.strips if len(strip.runs) > 1]
    sizes = sorted({run.segments for strip in strips for run in strip.runs}, reverse=True)
    if sizes:
        lengths = ", ".join(f"{run_length(job.star, size)} for {counted(size, 'segment')}" for size in sizes)
        paper.wrapped(
            "A strip that gives two runs or more is cut across where one ends and the next begins. A run takes at "
            f"least {lengths}.", 8.5,
        )  # fmt: skip


def _setting(paper: Paper, star: Star) -> None:
    """The setting pieces, for when the points are sewn."""
    corners, triangles = (show_typed(piece.cut, star.units) for piece in (corner(star), triangle_square(star)))
    over = "6 mm" if star.units == "cm" else "1/4 in"
    paper.room(44)
    paper.y -= 10
    paper.wrapped(
        f"Setting pieces, cut last and by your own measured points: four corner squares of {corners}, and one square "
        f"of {triangles} cut twice corner to corner for the four side triangles. The corner squares are rounded down, "
        f"as they are set in; or cut them {over} larger and trim.", 8.5,
    )  # fmt: skip


def _piece(paper: Paper, job: Job, piece: PieceSteps, changed: bool) -> None:
    cut, star = piece.cut, job.star
    paper.room(80 + 2 * ROW)
    paper.y -= 22
    fabric = job.fabrics.get(cut.fabric)
    paper.chip(paper.left, paper.y - 2, 18, 12, colour_of(fabric))
    start = paper.left + max(66, 36 + text_width(piece.letters, 11))
    paper.put(paper.left + 24, paper.y, piece.letters, 11)
    paper.put(start, paper.y, cut.fabric, 11, paper.right - start)
    place = f"{fabric.place}; " if fabric is not None and fabric.place else ""
    way = "across the cloth" if cut.way is Way.ACROSS else "along the selvage"
    long, wide = piece.left if piece.begun else (cut.piece_length, cut.piece_width)
    size = f"{'now ' if piece.begun else ''}{show_ticks(long, star.units)} by {show_ticks(wide, star.units)}"
    lane = show_ticks(piece.strips[0].length, star.units)
    strips = f"strips of {show_typed(star.strip, star.units)} by {lane} {way}"
    paper.y -= 3
    paper.wrapped(f"{place}piece {cut.piece}, {size}; {strips}", 8.5, 24)
    paper.wrapped(before_cutting(star, piece), 8.5, 24)
    if changed:
        paper.wrapped(CHANGED, 8.5, 24)
    for number, strip in enumerate(piece.strips, start=1):
        if paper.room(ROW + (20 if strip is piece.strips[-1] else 0)):
            paper.line(f"{piece.letters}  {cut.fabric}, piece {cut.piece}, further", 8.5, 24)
        paper.y -= ROW
        paper.box(paper.left + 24, paper.y - 1)
        at = "cut" if strip.booked is not None else show_typed(strip.end, star.units)
        words = (str(number), at, strip.letters, runs_text(strip.runs))
        for x, end, word in zip(PLACES, (*PLACES[1:], paper.right - paper.left - 24), words, strict=False):
            paper.put(paper.left + 24 + x, paper.y, word, 9, end - x - 4)
        if strip.booked is not None:
            paper.canvas.line(paper.left + 25, paper.y, paper.left + 31, paper.y + 6)
    rest = " by ".join(show_ticks(each, star.units) for each in piece.rest) if any(piece.rest) else "nothing"
    paper.y -= 3
    paper.line(f"left: {rest}", 8.5, 40)


def machine_pages(paper: Paper, job: Job) -> None:
    """Strip sets in order as stripes with their lean, segments, and check measures with room for the maker's own."""
    paper.page("machine")
    found, star = measures(job.star), job.star
    _measures(paper, star, found)
    if not job.sets:
        paper.wrapped("There is no plan of cuts yet: how sets are sewn follows from it.", 10)
    for one in job.sets:
        _set(paper, job, one, found)
    if job.sets:
        _point(paper, job)


def _measures(paper: Paper, star: Star, found: Measures) -> None:
    paper.wrapped(
        f"Each strip is set off by {show_typed(found.stagger, star.units)} from the one before; never flip a set "
        f"over. Slice at 45 degrees, {show_typed(found.segment, star.units)} wide measured square across the cuts, "
        f"which is {show_hundredths(float(found.step), star.units)} along the edge."
    )  # fmt: skip
    for what, inches in (("A pair of strips sewn", found.pair), ("A whole set sewn", found.sewn_set)):
        paper.line(f"{what}: {show_typed(inches, star.units)}")
        paper.put(paper.left + YOURS, paper.y + 2.7, "yours: ____________")


def _set(paper: Paper, job: Job, one: SetSteps, found: Measures) -> None:
    high = 10.0
    halves = wrap(halves_text(job, one.letters), 8.5, paper.right - paper.left)
    paper.room(high * len(one.letters) + 55 + 12 * len(halves))
    paper.y -= 18
    runs = " + ".join(map(str, one.runs))
    spoiled = f", {one.spoiled} spoiled" if one.spoiled else ""
    paper.put(paper.left, paper.y, f"Set {one.number}: sewn {one.sewn}, {runs} segments of {one.possible}{spoiled}", 11)
    paper.y -= 3
    if one.same_as:
        turned = " turned end for end" if one.turned else ""
        paper.line(f"The same as set {one.same_as}{turned}: sew two alike.", 8.5)
    for line in halves:
        paper.line(line, 8.5)
    paper.y -= 6
    lean = float(found.stagger / job.star.strip) * high
    start = paper.left + len(one.letters) * lean + STRIPE + 12
    for place, letter in enumerate(one.letters):
        paper.y -= high
        fabrics = job.fabric_at(letter)
        part = STRIPE / max(1, len(fabrics))
        for half, fabric in enumerate(fabrics or [None]):
            colour = colour_of(fabric) or UNKNOWN
            paper.chip(paper.left + place * lean + half * part, paper.y, part, high, colour)
        names = " + ".join(fabric.name for fabric in fabrics)
        paper.put(start, paper.y + 2, f"{place + 1}  {letter}  {names}", 8, paper.right - start)
    paper.y -= 4


def halves_text(job: Job, letters: str) -> str:
    """Which half of a set is which fabric, where it has look-alikes; else nothing."""
    shared = {letter: fabrics for letter in letters if len(fabrics := job.fabric_at(letter)) > 1}
    said = (
        f"{letter} is {one.name} in the first and {other.name} in the second"
        for letter, (one, other) in shared.items()
    )  # fmt: skip
    return f"Two halves of 4 segments each: {'; '.join(said)}." if shared else ""


def _point(paper: Paper, job: Job) -> None:
    """How the segments of all sets lie in a point."""
    paper.room(40)
    numbers = ", ".join(str(one.number) for one in job.sets)
    paper.y -= 8
    paper.wrapped(
        f"One point: a segment of each set side by side, {numbers}, the first letter of each towards the centre. Eight "
        "points make the star."
    )  # fmt: skip
    if any(halves_text(job, one.letters) for one in job.sets):
        paper.wrapped(
            "Look-alikes: make four points of the first halves and four of the second, and let the two take turns "
            "round the star."
        )
