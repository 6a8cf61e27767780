"""Cloth: colours, what photographs said, pieces, fabrics, and what happens to them. Standard library only."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from stash.model.plans import Way


class Kind(StrEnum):
    """How a piece was sold or what it is now."""

    YARDAGE = "yardage"
    FAT_QUARTER = "fat quarter"
    FAT_EIGHTH = "fat eighth"
    SQUARE = "square"
    STRIPS = "strips"
    SCRAP = "scrap"


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
        """C*ab = sqrt(a*^2 + b*^2), CIE 1976."""
        return math.hypot(self.a, self.b)

    @property
    def relative(self) -> bool:
        """Whether its value holds only against others of the same photograph."""
        return self.source == "relative"


class Reference(StrEnum):
    """What in a photograph told how bright and of what colour the light was."""

    PAPER = "paper"
    WHITE = "white"
    GREY = "grey"
    NONE = "none"

    @property
    def source(self) -> str:
        """The `Colour.source` of what is measured with it."""
        return "relative" if self is Reference.NONE else "measured"


Box = tuple[int, int, int, int]
"""x, y, width, height in pixels of a picture as it is seen, from its upper left corner."""


@dataclass(frozen=True, slots=True)
class PaletteColour:
    """One main colour of a fabric and its share of the cloth, 0 to 1."""

    colour: Colour
    share: float


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
        """Whether nothing in the photograph told the light, so that its values hold only within it."""
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
class Hold:
    """What plans of other stars keep of a piece: `ticks` of its length (cut across) or width (cut along), their
    straightening included. What is left is cut the same way, so that either star may be cut first. `stars` are the
    names of those stars."""

    way: Way
    ticks: int
    stars: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of cloth: `length` along the selvage by `width` usable, in ticks.

    `rev` counts its entries in the ledger; a change names the rev it saw. `cut_before`: we cut it before, so it
    needs less straightening. `estimated`: its size is a guess of the maker's, said as "about". `hold` is set where
    it is asked what a star may take (`stash.match.holds`); the stash itself never sets it.
    """

    id: int
    kind: Kind
    length: int
    width: int
    rev: int = 1
    cut_before: bool = False
    estimated: bool = False
    hold: Hold | None = None


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

    @property
    def relative(self) -> bool:
        """Whether the value that searches take is a relative one."""
        return self.colour is not None and self.colour.relative


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
class Entry:
    """One entry of the stash's history. `at` is UTC, ISO 8601. `undo_of` names the entry this one undid."""

    op: int
    kind: str
    at: str
    text: str
    undone: bool
    undo_of: int | None = None
    uid: str = ""
