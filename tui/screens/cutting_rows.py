"""What the Cutting screen lists: cautions, pieces with their strips, strip sets. Plain data and sentences."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from textwrap import wrap

from stash.lengths import show_cm, show_hundredths, show_inches, show_length, show_typed, to_inches
from stash.model import Colour, Fabric, Star, Way
from stash.sheets.sets import Measures, SetSteps
from stash.sheets.steps import PieceSteps, StripStep, changed_since, runs_text, straighten_words
from tui.named_keys import with_keys
from tui.screens.star_words import plural
from tui.widgets.fabric_lines import one_line

CHANGED = (
    "✗ This piece was changed since it was planned, so nothing is booked from it: "
    "{cutting.plan_again} plans again."
)
BROKEN = "✗ Changed since it was planned, {cutting.plan_again} plans again: "
BOOKED_AGAIN = "Nothing is booked yet: the same once more books it all the same"


@dataclass(frozen=True)
class HeadRow:
    """A heading."""

    text: str


@dataclass(frozen=True)
class NoteRow:
    """A line of a caution."""

    text: str


@dataclass(frozen=True)
class PieceRow:
    """A piece: its steps, the fabric's colour and place, what becomes of its offcut, whether it was changed since it
    was planned, and whether its size is a guess."""

    steps: PieceSteps
    colour: Colour | None
    place: str
    offcut: str
    changed: bool = False
    about: bool = False


@dataclass(frozen=True)
class StripRow:
    """A strip of the piece above it, counted from 1."""

    number: int
    strip: StripStep
    piece: PieceSteps


@dataclass(frozen=True)
class SetRow:
    """A strip set, and how many of its strips are cut."""

    steps: SetSteps
    cut: int
    strips: int


CutRow = HeadRow | NoteRow | PieceRow | StripRow | SetRow


def key_of(row: CutRow) -> tuple[str, int]:
    """What tells a line from the others, whatever else is said in it; the same for all headings and notes."""
    if isinstance(row, PieceRow):
        return "piece", row.steps.strips[0].id
    if isinstance(row, StripRow):
        return "strip", row.strip.id
    return ("set", row.steps.number) if isinstance(row, SetRow) else ("", 0)


def place_of(rows: Sequence[CutRow], before: CutRow | None) -> int:
    """The line that was in hand before, among new ones; the first piece to cut where it is no longer there."""
    pieces = [(at, row) for at, row in enumerate(rows) if isinstance(row, PieceRow)]
    first = next((at for at, row in pieces if not row.steps.done), pieces[0][0] if pieces else 0)
    if before is None or key_of(before) == ("", 0):
        return first
    return next((at for at, row in enumerate(rows) if key_of(row) == key_of(before)), first)


def rows_of(
    star: Star,
    pieces: Sequence[PieceSteps],
    sets: Sequence[SetSteps],
    fabrics: Mapping[int, Fabric],
    keeps: Mapping[int, bool],
    cautions: Sequence[str],
    width: int,
) -> list[CutRow]:
    """All lines in order, the cautions first until something is cut.

    `keeps` says of pieces whether the maker wants their offcut kept; without, its size does.
    """
    notes: list[CutRow] = [HeadRow("Before you cut")]
    notes += [NoteRow(line) for caution in cautions for line in wrap(caution, max(20, width - 6))]
    begun = any(piece.begun for piece in pieces)
    rows: list[CutRow] = [] if begun else [*notes, HeadRow("Pieces")]
    last = last_plannings(pieces)
    for piece, changed in zip(pieces, changed_since(pieces, fabrics), strict=True):
        fabric = fabrics.get(piece.cut.fabric_id)
        offcut = "cut on below"
        if piece is last[piece.cut.piece]:
            offcut = offcut_text(star, piece, fabric, keeps.get(piece.cut.piece, piece.is_rest_kept))
        place = fabric.place if fabric else ""
        about = fabric is not None and any(one.id == piece.cut.piece and one.estimated for one in fabric.pieces)
        rows.append(PieceRow(piece, fabric.colour if fabric else None, place, offcut, changed, about))
        rows += [StripRow(number, strip, piece) for number, strip in enumerate(piece.strips, start=1)]
    rows.append(HeadRow("Strip sets"))
    for one in sets:
        every = (strip for piece in pieces for strip in piece.strips)
        strips = [strip for strip in every if any(run.set == one.number for run in strip.runs)]
        rows.append(SetRow(one, sum(strip.booked is not None for strip in strips), len(strips)))
    return [*rows, *notes] if begun else rows


def changed_pieces(rows: Iterable[CutRow]) -> dict[int, str]:
    """The pieces that are not as they were planned, with their fabrics."""
    found = [row.steps.cut for row in rows if isinstance(row, PieceRow) and row.changed]
    return {cut.piece: cut.fabric for cut in found}


def broken_text(changed: Mapping[int, str]) -> str:
    """What the plan's head says of pieces that were changed since: their fabrics, and the key; "" for none."""
    names = ", ".join(one_line(name) for name in dict.fromkeys(changed.values()))
    return f"{with_keys(BROKEN)}{names}" if names else ""


def last_plannings(pieces: Iterable[PieceSteps]) -> dict[int, PieceSteps]:
    """By piece the steps that end with its offcut: a piece that was planned again stands there more than once."""
    return {piece.cut.piece: piece for piece in pieces}


def offcut_text(star: Star, piece: PieceSteps, fabric: Fabric | None, keep: bool) -> str:
    """What becomes of what is left: `kept 10 × 40 in`, `bin 1 × 40 in`, `nothing left`; `gone` is a rest that was to be
    kept and went some other way."""
    if not any(piece.rest):
        return "nothing left"
    size = size_words(star, *piece.rest)
    if not piece.done:
        return f"{'keep' if keep else 'bin'} {size}"
    there = fabric is not None and any(one.id == piece.cut.piece for one in fabric.pieces)
    return f"{'kept' if there else 'gone' if keep else 'binned'} {size}"


def size_words(star: Star, length: int, width: int) -> str:
    """`18 × 21 in`, ticks in."""
    if star.units == "cm":
        return f"{show_cm(to_inches(length))} × {show_cm(to_inches(width))} cm"
    return f"{show_inches(to_inches(length), 64)} × {show_inches(to_inches(width), 64)} in"


def piece_sentence(star: Star, row: PieceRow) -> list[str]:
    """What the line below says of a piece."""
    cut, steps = row.steps.cut, row.steps
    place = f", {row.place}" if row.place else ""
    about = "about " if row.about else ""
    way = "across the cloth" if cut.way is Way.ACROSS else "along the selvage"
    done = sum(strip.booked is not None for strip in steps.strips)
    said = [
        f"{cut.fabric}, piece {cut.piece}{place}: {about}{size_words(star, cut.piece_length, cut.piece_width)}.",
        f"{plural(len(steps.strips), 'strip')} of {show_typed(star.strip, star.units)} {way}, {done} cut.",
        *([f"{first[0].upper()}{first[1:]}."] if (first := straighten_words(star, steps)) else []),
        f"Offcut: {row.offcut}.",
    ]
    if row.changed:
        said.append(with_keys(CHANGED))
    return said


def strip_sentence(star: Star, row: StripRow) -> list[str]:
    """What the line below says of a strip."""
    strip = row.strip
    length = show_length(to_inches(strip.length), star.units)
    if strip.booked is not None:
        return [f"Strip {row.number} of {row.piece.cut.fabric} is cut and booked (entry {strip.booked})."]
    return [
        f"Strip {row.number} of {row.piece.cut.fabric}, letter {strip.letters}: cut at "
        f"{show_typed(strip.end, star.units)} from {row.piece.edge}.",
        f"It is {length} long and gives {runs_text(strip.runs)}.",
    ]


def set_sentence(star: Star, row: SetRow, found: Measures, uses: Mapping[str, Sequence[str]]) -> list[str]:
    """What the line below says of a strip set. `uses`: the fabrics of each letter."""
    one = row.steps
    runs = " + ".join(map(str, one.runs))
    alike = ""
    if one.same_as:
        alike = f" The same as set {one.same_as}{' turned end for end' if one.turned else ''}: sew two alike."
    lean = "their ends level"
    if found.stagger:
        lean = f"each strip set off {show_typed(found.stagger, star.units)} to the right of the one above"
    step = show_hundredths(float(found.step), star.units)
    said = [
        f"Set {one.number}: sew {' '.join(one.letters)} from the top, {lean}; never flip it over.{alike}",
        f"Slice at 45 degrees, down to the right, {show_typed(found.segment, star.units)} wide measured square across "
        f"({step} along the edge): {runs} segments of {one.possible} that it gives.",
        f"Check: a pair sewn {show_typed(found.pair, star.units)}, the set {show_typed(found.sewn_set, star.units)}.",
    ]
    shared = [letter for letter in dict.fromkeys(one.letters) if len(uses.get(letter, ())) > 1]
    said += [f"{letter} is {' in one half, '.join(uses[letter])} in the other." for letter in shared]
    if one.spoiled:
        said.append(f"{plural(one.spoiled, 'segment')} spoiled, {one.left} more to spare.")
    if one.could > one.left:
        more = plural(one.could, "segment")
        said.append(f"It can give {more} more while the sets that share strips with it give none.")
    return said
