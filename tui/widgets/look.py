"""What a star looks like on the screen: plain data for the picture, the chart, the rows and the ribbons."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import NamedTuple

from stash.colour.lab import grey_level, hex_from_lab
from stash.model import Colour, Colouring, Coverage, Fabric, LetterCover, Mark, Star

SIGNS = {Mark.COVERED: "✓", Mark.TIGHT: "≈", Mark.SHORT: "✗", Mark.UNMEASURED: "?"}
UNCHECKED = "…"
LOCKED = "■"
NEAR_GROUND = "≋"


class Chip(NamedTuple):
    """One colour as painted: in colour and in the true grey of its value, #rrggbb both."""

    colour: str
    grey: str

    def paint(self, in_grey: bool) -> str:
        return self.grey if in_grey else self.colour


def chip_of(colour: Colour | None) -> Chip | None:
    """The chip of a fabric's colour, None where the fabric has none yet."""
    if colour is None:
        return None
    level = grey_level(colour.L)
    return Chip(colour=hex_from_lab(colour), grey=f"#{level:02x}{level:02x}{level:02x}")


@dataclass(frozen=True)
class RowLook:
    """One letter of the star: its fabric, value and mark.

    `chips` go with `fabrics` (two look-alikes lie in every other point). `mark` is None until the stash has been
    asked. `near_ground` names rows too close to the ground's value. `relative`: the value, or one of two look-alikes',
    is from a photograph with no reference in it. `held_for`: stars whose kept plans hold cloth of it.
    """

    letter: str
    rows: tuple[int, ...]
    fabrics: tuple[str, ...] = ()
    chips: tuple[Chip | None, ...] = ()
    value: float | None = None
    relative: bool = False
    target: float | None = None
    mark: Mark | None = None
    needed: int | None = None
    on_hand: int | None = None
    missing: int = 0
    buy: Fraction | None = None
    buy_with_spare: Fraction | None = None
    spare: float | None = None
    about: bool = False
    locked: bool = False
    near_ground: tuple[int, ...] = ()
    held_for: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        return " + ".join(self.fabrics) if self.fabrics else "no fabric yet"

    @property
    def off_target(self) -> int | None:
        """How many whole L* lighter (+) or darker (-) than the target."""
        if self.value is None or self.target is None:
            return None
        return round(self.value) - round(self.target)


@dataclass(frozen=True)
class StarLook:
    """A star with its colouring as the widgets draw it. `rows` has one entry a letter, A first."""

    grid: int
    order: str
    rows: tuple[RowLook, ...] = ()
    ground: Chip | None = None
    picked: str | None = None
    by_letter: Mapping[str, RowLook] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "by_letter", {row.letter: row for row in self.rows})

    def chip(self, row: int, odd: bool = False) -> Chip | None:
        """The chip of row 1 .. 2n-1 in the even or odd points; row 0 is the ground."""
        if row == 0:
            return self.ground
        look = self.by_letter.get(self.order[row - 1])
        if look is None or not look.chips:
            return None
        return look.chips[int(odd) % len(look.chips)]


def make_look(
    star: Star,
    colouring: Colouring,
    fabrics: Mapping[str, Fabric],
    coverage: Coverage | None = None,
    targets: tuple[float, ...] = (),
    locked: frozenset[str] = frozenset(),
    near_ground: tuple[int, ...] = (),
    picked: str | None = None,
) -> StarLook:
    """The look of a colouring. `fabrics` by name; `targets` go with the letters in order, () where unknown."""
    covers = {cover.letter: cover for cover in coverage.letters} if coverage else {}
    rows = []
    for place, letter in enumerate(star.letters):
        names = tuple(colouring.uses.get(letter, ()))
        row = _row_look(star, letter, [fabrics.get(name) for name in names])
        row = replace(
            row,
            fabrics=names,
            target=targets[place] if place < len(targets) else None,
            locked=letter in locked,
            near_ground=tuple(number for number in row.rows if number in near_ground),
        )
        cover = covers.get(letter)
        rows.append(_covered(row, cover) if cover and tuple(cover.fabrics) == names else row)
    ground = fabrics.get(colouring.ground) if colouring.ground else None
    return StarLook(
        grid=star.grid,
        order=star.order,
        rows=tuple(rows),
        ground=chip_of(ground.colour if ground else None),
        picked=picked,
    )


def _row_look(star: Star, letter: str, used: Sequence[Fabric | None]) -> RowLook:
    colours = [fabric.colour for fabric in used if fabric and fabric.colour]
    return RowLook(
        letter=letter,
        rows=tuple(number for number, at in enumerate(star.order, 1) if at == letter),
        chips=tuple(chip_of(fabric.colour if fabric else None) for fabric in used),
        value=sum(colour.L for colour in colours) / len(colours) if colours else None,
        relative=any(colour.relative for colour in colours),
    )


def _covered(row: RowLook, cover: LetterCover) -> RowLook:
    """The row with what the stash said to it."""
    return replace(
        row,
        mark=cover.mark,
        needed=cover.strips_needed,
        on_hand=cover.strips_on_hand,
        missing=cover.missing,
        buy=cover.buy,
        buy_with_spare=cover.buy_with_spare,
        spare=cover.spare,
        about=cover.about,
        held_for=cover.held_for,
    )
