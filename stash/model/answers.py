"""What the stash answers: does it cover a star, and with which sequences. Standard library only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from stash.model.cloth import Fabric, PaletteColour
from stash.model.plans import PieceCut
from stash.model.stars import Colouring, Sewn, Star


class Mark(StrEnum):
    """What the stash says to a letter. Always shown as a word or sign, never by colour alone."""

    COVERED = "covered"
    TIGHT = "tight"
    SHORT = "short"
    UNMEASURED = "unmeasured"


@dataclass(frozen=True, slots=True)
class LetterCover:
    """One letter of a colouring against the stash.

    `missing` full strips of the star's width; `buy` and `buy_with_spare` in inches, already rounded up to what
    shops cut (None when nothing is to buy); `spare` is the least length left on a lane in inches when the mark is
    tight for that reason; `about` when an estimated piece is relied on. `held_for` names the stars whose kept plans
    hold cloth of these fabrics.
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
    held_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class GroundCover:
    """The ground against the stash. Lengths in inches at the measured width, before straightening. `note` says where
    setting pieces do not fit the cloth, and how they are cut then."""

    fabric: str
    mark: Mark
    length_needed: Fraction
    buy: Fraction | None = None
    about: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True)
class SetSewn:
    """How strip set `set` is sewn and how many segments more than eight its strips would give."""

    set: int
    sewn: Sewn
    spare_segments: int


@dataclass(frozen=True, slots=True)
class QuiltCover:
    """The binding or the backing (`what`) against the stash: full-width cloth at the measured width, in inches."""

    what: str
    fabric: str
    mark: Mark
    length_needed: Fraction
    buy: Fraction | None = None
    about: bool = False


@dataclass(frozen=True, slots=True)
class Coverage:
    """The answer to `does my stash cover this star?`. `cuts` is empty where it does not."""

    covered: bool
    letters: tuple[LetterCover, ...]
    sets: tuple[SetSewn, ...]
    cuts: tuple[PieceCut, ...] = ()
    ground: GroundCover | None = None
    quilt: tuple[QuiltCover, ...] = ()


class Step(StrEnum):
    """A way on where the stash is short, in the order in which they are offered."""

    EXCHANGE = "exchange"
    STAND_IN = "stand-in"
    LOOK_ALIKES = "look-alikes"
    REPEAT = "repeat"
    TURN = "turn"
    STRIP = "smaller strip"
    GRID = "smaller grid"
    BUY = "buy"


@dataclass(frozen=True, slots=True)
class WayOn:
    """One way on, proved by a full check: with it the stash covers the star.

    `text` says what to do and what it costs. `star` and `colouring` are what it leads to; `use` the letters that
    change, with their fabrics. `buy` (inches, rounded up to what shops cut) is None where nothing is bought. `note` is
    the part of `text` that is to be said however short the way is told.
    """

    step: Step
    text: str
    star: Star
    colouring: Colouring
    use: Mapping[str, tuple[str, ...]]
    buy: Fraction | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Question:
    """What is to be asked of a fabric with no piece recorded: `Moss: row D needs 4 strips, 11 in by 40`.

    `letters` are its rows; `strips` full strips of the star's width; `length` and `width` in inches, the
    straightening included: the piece that a "yes" records as estimated. `parts` are those of the quilt round the star
    that are cut of it too: ground, binding, backing.
    """

    fabric: Fabric
    letters: str
    strips: int
    length: Fraction
    width: Fraction
    parts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SizeFit:
    """One star of the grid of sizes. `letters_short` is 0 where some sequence covers it, else the fewest letters
    that no fabric of the stash would cover. `proven` is False where a time limit was reached. `unmeasured` where only
    sequences with fabrics that are not measured yet cover it."""

    star: Star
    covered: bool
    letters_short: int
    proven: bool = True
    unmeasured: bool = False


@dataclass(frozen=True, slots=True)
class Met(PaletteColour):
    """A main colour that a run of fabrics meets, and the letter of the fabric that comes nearest to it."""

    letter: str = ""


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
