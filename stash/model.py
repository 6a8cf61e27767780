"""The plain records that all layers share. Standard library only.

Units: a stored size is a whole number of ticks (1/320 mm; see `stash.lengths`). A length on paper (strip width,
seam, stagger, usable width) is an exact `Fraction` of inches. Colours are CIE L*a*b*, D65, 2 degrees.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction


class Kind(StrEnum):
    """How a piece was sold or what it is now."""

    YARDAGE = "yardage"
    FAT_QUARTER = "fat quarter"
    FAT_EIGHTH = "fat eighth"
    SQUARE = "square"
    STRIPS = "strips"
    SCRAP = "scrap"


class Sewn(StrEnum):
    """How the eight segments of one strip set are sewn: the runs they are cut from."""

    WHOLE = "whole"
    SEVEN_ONE = "7+1"
    HALVED = "halved"
    QUARTERED = "quartered"


class Mark(StrEnum):
    """What the stash says to a letter. Always shown as a word or sign, never by colour alone."""

    COVERED = "covered"
    TIGHT = "tight"
    SHORT = "short"
    UNMEASURED = "unmeasured"


class Way(StrEnum):
    """Across the cloth from selvage to selvage, or along it."""

    ACROSS = "across"
    ALONG = "along"


@dataclass(frozen=True, slots=True)
class Colour:
    """CIE L*a*b* (D65, 2 degrees).

    `source` is "measured" (from a photograph with a reference in it), "relative" (from one without: only its order
    within one photograph means anything), "typed", or "by eye" (the value was set by eye).
    """

    L: float
    a: float
    b: float
    source: str = "typed"

    @property
    def chroma(self) -> float:
        return math.hypot(self.a, self.b)


class Reference(StrEnum):
    """What in a photograph told how bright and of what colour the light was."""

    PAPER = "paper"
    WHITE = "white"
    GREY = "grey"
    NONE = "none"


Box = tuple[int, int, int, int]
"""x, y, width, height in pixels of a picture as it is seen, from its upper left corner."""


@dataclass(frozen=True, slots=True)
class PaletteColour:
    """One main colour of a fabric and its share of the cloth, 0 to 1."""

    colour: Colour
    share: float


@dataclass(frozen=True, slots=True)
class Met(PaletteColour):
    """A main colour that a run of fabrics meets, and the letter of the fabric that comes nearest to it."""

    letter: str = ""


@dataclass(frozen=True, slots=True)
class Measured:
    """What a photograph says of the cloth inside `box`.

    `value_low` and `value_high` are the 10 and 90 % points of L* inside it. `variety` is the expected CIEDE2000 of
    two random points: under 3 solid, to 8 reads as solid, to 15 print, above busy or of high contrast. `palette` is
    heaviest first and its shares add up to 1. `notes` are sentences about the photograph.
    """

    colour: Colour
    value_low: float
    value_high: float
    variety: float
    palette: tuple[PaletteColour, ...]
    box: Box
    reference: Reference = Reference.NONE
    notes: tuple[str, ...] = ()

    @property
    def relative(self) -> bool:
        return self.reference is Reference.NONE


@dataclass(frozen=True, slots=True)
class NewSwatch:
    """A measured photograph to be kept with a fabric.

    `photo` is the file's own name, `file_hash` the SHA-256 of the file in hex. `picture` and `thumbnail` are what
    the stash keeps: JPEG in sRGB, at most 1,000 and 128 px on the long side, nothing in them but the picture.
    """

    measured: Measured
    photo: str
    file_hash: str
    picture: bytes
    thumbnail: bytes


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of cloth: `length` along the selvage by `width` usable, in ticks.

    `rev` counts its entries in the ledger; a change names the rev it saw. `cut_before`: we cut it before, so it
    needs less straightening. `estimated`: its size is a guess of the maker's, said as "about".
    """

    id: int
    kind: Kind
    length: int
    width: int
    rev: int = 1
    cut_before: bool = False
    estimated: bool = False


@dataclass(frozen=True, slots=True)
class Fabric:
    """A fabric of the stash with the pieces that are still there, oldest first.

    `colour` is what every search takes: the measured or typed colour, its L replaced by `value_by_eye` where the
    maker set one. `recorded` is False while no piece was ever recorded ("not measured yet"); a fabric used up has
    recorded True and no pieces. `swatch` is what its photograph said, kept also when a colour is typed later.
    """

    id: int
    name: str
    pieces: tuple[Piece, ...] = ()
    colour: Colour | None = None
    measured: Colour | None = None
    value_by_eye: float | None = None
    directional: bool = False
    washed: bool = False
    recorded: bool = True
    place: str = ""
    note: str = ""
    price: str = ""
    photo: str = ""
    archived: bool = False
    swatch: Measured | None = None


@dataclass(frozen=True, slots=True)
class Star:
    """A star on paper: eight large diamonds of grid x grid small ones. Lengths are exact inches.

    `order` has 2 * grid - 1 letters from the centre (row 1) to the tip. `stagger` None is the exact one (the
    finished strip width). `borders` are finished widths from the star outwards.
    """

    grid: int
    strip: Fraction
    order: str
    width: Fraction = Fraction(40)
    stagger: Fraction | None = None
    seam: Fraction = Fraction(1, 4)
    small_runs: bool = False
    borders: tuple[Fraction, ...] = ()
    bed: str | None = None
    drop: Fraction | None = None
    units: str = "in"
    binding_width: Fraction = Fraction(42)
    backing_width: Fraction = Fraction(42)

    @property
    def letters(self) -> str:
        """The letters in use, A first, each once."""
        return "".join(sorted(set(self.order)))

    @property
    def finished_strip(self) -> Fraction:
        """f = w - 2s, inches."""
        return self.strip - 2 * self.seam

    @property
    def slant(self) -> Fraction:
        """e = (n - 1) * |stagger - f|, inches: length lost when the stagger is not the exact one."""
        if self.stagger is None:
            return Fraction(0)
        return (self.grid - 1) * abs(self.stagger - self.finished_strip)


@dataclass(frozen=True, slots=True)
class Colouring:
    """Which fabric stands at which letter. Two names at a letter are look-alikes: four points each.

    `uses` maps a letter to fabric names as they are in the stash.
    """

    uses: Mapping[str, tuple[str, ...]]
    ground: str | None = None


@dataclass(frozen=True, slots=True)
class SavedColouring:
    """The `number`-th colouring (from 1) of a saved star."""

    number: int
    colouring: Colouring


@dataclass(frozen=True, slots=True)
class SavedStar:
    id: int
    name: str
    star: Star
    colourings: tuple[SavedColouring, ...] = ()


@dataclass(frozen=True, slots=True)
class Run:
    """`segments` segments of strip set `set` cut in one go from a lane."""

    set: int
    segments: int


@dataclass(frozen=True, slots=True)
class CutStrip:
    """One strip on a piece, in ticks, measured from the piece's own corner before straightening: x along its
    width, y along its length; `length` along the strip whichever way it lies, `width` the strip width (rounded
    down to a whole tick)."""

    x: int
    y: int
    length: int
    width: int
    runs: tuple[Run, ...]


@dataclass(frozen=True, slots=True)
class PieceCut:
    """All strips cut from one piece. `rev` is the piece as the plan saw it; `trim_length` and `trim_width` are
    what straightening takes off its length and width first. All sizes in ticks."""

    fabric_id: int
    fabric: str
    piece: int
    rev: int
    piece_length: int
    piece_width: int
    way: Way
    strips: tuple[CutStrip, ...]
    trim_length: int = 0
    trim_width: int = 0


@dataclass(frozen=True, slots=True)
class StoredStrip:
    """One strip of a stored plan. `booked` is the history entry that booked it, None while it is still to cut."""

    id: int
    cut: PieceCut  # with this strip only
    booked: int | None = None


@dataclass(frozen=True, slots=True)
class StoredPlan:
    """A plan of cuts kept in the stash for one colouring of a saved star."""

    id: int
    star_id: int
    number: int
    strips: tuple[StoredStrip, ...]


@dataclass(frozen=True, slots=True)
class LetterCover:
    """One letter of a colouring against the stash.

    `missing` full strips of the star's width; `buy` and `buy_with_spare` in inches, already rounded up to what
    shops cut (None when nothing is to buy); `spare` is the least length left on a lane in inches when the mark is
    tight for that reason; `about` when an estimated piece is relied on.
    """

    letter: str
    fabrics: tuple[str, ...]
    cells: int
    strips_needed: int
    strips_on_hand: int
    mark: Mark
    missing: int = 0
    buy: Fraction | None = None
    buy_with_spare: Fraction | None = None
    spare: float | None = None
    about: bool = False


@dataclass(frozen=True, slots=True)
class GroundCover:
    """The ground against the stash. Lengths in inches at the measured width, before straightening."""

    fabric: str
    mark: Mark
    length_needed: Fraction
    buy: Fraction | None = None
    about: bool = False


@dataclass(frozen=True, slots=True)
class SetSewn:
    """How strip set `set` is sewn and how many segments more than eight its strips would give."""

    set: int
    sewn: Sewn
    spare_segments: int


@dataclass(frozen=True, slots=True)
class Coverage:
    """The answer to `does my stash cover this star?`. `cuts` is empty where it does not."""

    covered: bool
    letters: tuple[LetterCover, ...]
    sets: tuple[SetSewn, ...]
    cuts: tuple[PieceCut, ...] = ()
    ground: GroundCover | None = None
    proven: bool = True


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of the stash's history. `at` is UTC, ISO 8601. `undo_of` names the entry this one undid."""

    op: int
    kind: str
    at: str
    text: str
    undone: bool
    undo_of: int | None = None
    uid: str = ""


@dataclass(frozen=True, slots=True)
class NewPiece:
    """A piece to be recorded (sizes in ticks)."""

    kind: Kind
    length: int
    width: int
    cut_before: bool = False
    estimated: bool = False
    id: int | None = None  # a known id, from a file this stash wrote


@dataclass(frozen=True, slots=True)
class NewFabric:
    """A fabric to be recorded."""

    name: str
    pieces: tuple[NewPiece, ...] = ()
    colour: Colour | None = None
    directional: bool = False
    washed: bool = False
    place: str = ""
    note: str = ""
    price: str = ""
    photo: str = ""
    swatch: NewSwatch | None = None


@dataclass(frozen=True, slots=True)
class Cut:
    """What a cut does to one piece: it keeps `length` x `width` ticks (0 x 0: used up), the rest is used.

    `rev` is the piece as it was when the cut was planned; a piece changed since is refused.
    """

    fabric_id: int
    piece: int
    rev: int
    length: int
    width: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class Sequence:
    """One suggested colouring: a fabric for each letter, light to dark (or turned).

    `marks` and `targets` go with `fabrics`; `near_ground` lists rows (1 = centre) too close to the ground; `meets`
    the main colours of the fabric the run was to be near to that it meets, heaviest first.
    """

    cost: float
    fabrics: tuple[Fabric, ...]
    targets: tuple[float, ...]
    marks: tuple[Mark, ...]
    near_ground: tuple[int, ...] = ()
    meets: tuple[Met, ...] = ()


@dataclass(frozen=True, slots=True)
class Reason:
    """Why no sequence exists: the letter that fails ("" when it is the whole) and a sentence."""

    letter: str
    text: str


@dataclass(frozen=True, slots=True)
class Suggestions:
    """The answer of a search for sequences. `notes` are sentences worth saying once (a small step, a medium
    ground, fabrics with no colour yet). `near` is the fabric the run was to be near to ("" for none) and
    `main_colours` those of its colours that runs can meet, heaviest first."""

    sequences: tuple[Sequence, ...]
    targets: tuple[float, ...]
    min_step: float
    proven: bool = True
    reason: Reason | None = None
    notes: tuple[str, ...] = field(default=())
    near: str = ""
    main_colours: tuple[PaletteColour, ...] = ()
