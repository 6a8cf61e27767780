"""Fabrics as plain tuples ready to be drawn, ordered and filtered: what costs time is done once, off the loop."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from stash.model import Fabric
from stash.shelf import Order, fold, on_hand, ordered, words_of
from tui.widgets.look import Chip, chip_of

ORDER_WORDS = {
    Order.VALUE: "by value, light to dark",
    Order.HUE: "by hue, neutrals first",
    Order.NAME: "by name",
    Order.LENGTH: "by length, most first",
}
ORDERS = tuple(ORDER_WORDS)

Marks = Mapping[int, str]
"""What the open star says to a fabric: its letters and mark, by fabric id."""


class FabricLine(NamedTuple):
    """One fabric as the list shows it.

    The filter finds a word anywhere in `text` (the name) and at the start of a word in `facts` (place, note, hue,
    kinds, what is on hand, value), so that "red" does not find what is "not measured". Both are folded, and a
    space stands before each word of `facts`.
    """

    id: int
    name: str
    text: str
    facts: str
    chip: Chip | None
    value: float | None
    by_eye: bool
    relative: bool
    hand: str
    place: str
    note: str


@dataclass(frozen=True, slots=True)
class Lines:
    """All fabrics in each order, and each line beside the fabric it was made of."""

    orders: Mapping[Order, tuple[FabricLine, ...]]
    made: Mapping[int, tuple[Fabric, FabricLine]]

    def matching(self, order: Order, words: str) -> tuple[FabricLine, ...]:
        """In that order, the lines that hold every word of `words`, wherever it stands."""
        lines = self.orders[order]
        wanted = fold(words).split()
        if len(wanted) == 1:
            word, fact = wanted[0], f" {wanted[0]}"
            return tuple([line for line in lines if word in line.text or fact in line.facts])
        if wanted:
            return tuple([line for line in lines if all(_holds(line, word) for word in wanted)])
        return lines


EMPTY = Lines(dict.fromkeys(ORDERS, ()), {})


def make_lines(fabrics: Sequence[Fabric], before: Lines = EMPTY) -> Lines:
    """Lines for all fabrics in all orders; lines of `before` whose fabric is unchanged are kept.

    A new line takes some tens of microseconds: call it on a thread.
    """
    made: dict[int, tuple[Fabric, FabricLine]] = {}
    for fabric in fabrics:
        known = before.made.get(fabric.id)
        made[fabric.id] = known if known is not None and known[0] == fabric else (fabric, _line(fabric))
    orders = {order: tuple(made[fabric.id][1] for fabric in ordered(fabrics, order)) for order in ORDERS}
    return Lines(orders, made)


def _holds(line: FabricLine, word: str) -> bool:
    return word in line.text or f" {word}" in line.facts


def _line(fabric: Fabric) -> FabricLine:
    colour = fabric.colour
    hand = on_hand(fabric)
    return FabricLine(
        id=fabric.id,
        name=one_line(fabric.name),
        text=fold(fabric.name),
        facts=f" {words_of(fabric)} {fold(hand)} {_folded_value(fabric)}",
        chip=chip_of(colour),
        value=colour.L if colour else None,
        by_eye=fabric.value_by_eye is not None,
        relative=fabric.relative,
        hand=hand,
        place=one_line(fabric.place),
        note=_source_word(fabric),
    )


def _folded_value(fabric: Fabric) -> str:
    words = [str(round(fabric.colour.L))] if fabric.colour else []
    return " ".join([*words, _source_word(fabric)])


def _source_word(fabric: Fabric) -> str:
    """What makes its value unlike a measured one."""
    return "by eye" if fabric.value_by_eye is not None else "relative" if fabric.relative else ""


def one_line(text: str) -> str:
    """Text for one line of the screen: what would move the cursor or turn the writing shows as a dot."""
    if text.isprintable():
        return text
    return "".join(sign if sign.isprintable() else "·" for sign in text)


def index_of(lines: Sequence[FabricLine], fabric_id: int | None) -> int | None:
    """Where a fabric stands, None where it does not."""
    return next((at for at, line in enumerate(lines) if line.id == fabric_id), None)


def past_neighbour(lines: Sequence[FabricLine], at: int, step: int) -> float | None:
    """The value that puts line `at` just past its neighbour `step` (-1 lighter, +1 darker) in a list by value.

    Half way to the next one beyond it, or 1 L* beyond the last; None when there is no neighbour with a value,
    or no room beyond it.
    """
    beside = _value_at(lines, at + step)
    if beside is None or beside == (100.0 if step < 0 else 0.0):
        return None
    beyond = _value_at(lines, at + 2 * step)
    away = -step
    target = beside + away if beyond is None else (beside + beyond) / 2
    if (target - beside) * away < 0.1:
        target = beside + 0.1 * away
    return round(min(max(target, 0.0), 100.0), 2)


def _value_at(lines: Sequence[FabricLine], at: int) -> float | None:
    return lines[at].value if 0 <= at < len(lines) else None
