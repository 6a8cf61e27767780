"""A stash as a list shows it: what is on hand in a few words, which fabrics some words mean, and in what order."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from enum import StrEnum
from fractions import Fraction

from stash.colour.lab import NEUTRAL, hue_degrees, hue_word
from stash.lengths import down_to, show_inches, show_yards, to_inches
from stash.model import Fabric, Kind

NOT_MEASURED = "not measured"
USED_UP = "used up"
SHOP_WIDTH = 40  # usable inches that a yard of other pieces is reckoned at (common practice, no source)
SHORT_KINDS = {
    Kind.FAT_QUARTER: "fq",
    Kind.FAT_EIGHTH: "fe",
    Kind.SQUARE: "square",
    Kind.STRIPS: "strips",
    Kind.SCRAP: "scrap",
}


class Order(StrEnum):
    """What a list is ordered by."""

    VALUE = "value"  # light to dark, fabrics with no colour last
    NAME = "name"
    HUE = "hue"  # neutrals first, then round from red
    LENGTH = "length"  # most cloth first


def yards_on_hand(fabric: Fabric) -> Fraction:
    """Yards of a fabric: yardage by its length, other pieces by their area at 40 in wide.

    Thirds stay thirds, all else goes down to 1/8 yd: never more than is there.
    """
    inches = Fraction(0)
    for piece in fabric.pieces:
        length = to_inches(piece.length)
        inches += length if piece.kind is Kind.YARDAGE else length * to_inches(piece.width) / SHOP_WIDTH
    return _yards_down(inches)


def _yards_down(inches: Fraction) -> Fraction:
    yards = inches / 36
    return yards if yards.denominator in (1, 2, 3, 4, 8) else down_to(yards, Fraction(1, 8))


def on_hand(fabric: Fabric) -> str:
    """What is there, short: the yards of yardage, then the other pieces by kind ("1 1/2 yd, 2 fq")."""
    if not fabric.recorded:
        return NOT_MEASURED
    if not fabric.pieces:
        return USED_UP
    about = "about " if any(piece.estimated for piece in fabric.pieces) else ""
    yardage = tuple(piece for piece in fabric.pieces if piece.kind is Kind.YARDAGE)
    parts = []
    if yardage:
        inches = to_inches(sum(piece.length for piece in yardage))
        yards = _yards_down(inches)
        parts.append(f"{show_yards(yards)} yd" if yards else f"{show_inches(inches)} in")
    for kind, word in SHORT_KINDS.items():
        number = sum(piece.kind is kind for piece in fabric.pieces)
        if number:
            parts.append(word if number == 1 else f"{number} {word}")
    return about + ", ".join(parts)


def fold(text: str) -> str:
    """Text as words are compared: composed and case-folded."""
    return unicodedata.normalize("NFC", text).casefold()


def words_of(fabric: Fabric) -> str:
    """All that words are looked for in: name, place, note, hue, kinds of its pieces and what it is."""
    parts = [fabric.name, fabric.place, fabric.note]
    parts.append(hue_word(fabric.colour) if fabric.colour else "no colour")
    parts += sorted({str(piece.kind) for piece in fabric.pieces})
    parts.append("washed" if fabric.washed else "unwashed")
    if fabric.directional:
        parts.append("directional")
    if not fabric.recorded:
        parts.append(NOT_MEASURED)
    return fold(" ".join(parts))


def matching(fabrics: Iterable[Fabric], words: Iterable[str]) -> list[Fabric]:
    """The fabrics that have all of `words`: anywhere in the name, or as the beginning of another word known of it."""
    wanted = [part for word in words for part in fold(word).split()]
    return [fabric for fabric in fabrics if _has(fabric, wanted)]


def _has(fabric: Fabric, wanted: Sequence[str]) -> bool:
    name, facts = fold(fabric.name), f" {words_of(fabric)}"
    return all(word in name or f" {word}" in facts for word in wanted)


def ordered(fabrics: Iterable[Fabric], order: Order) -> list[Fabric]:
    """`fabrics` in that order; alike ones by name."""
    keys = {Order.VALUE: _by_value, Order.NAME: _by_name, Order.HUE: _by_hue, Order.LENGTH: _by_length}
    return sorted(fabrics, key=lambda fabric: (keys[order](fabric), fold(fabric.name), fabric.id))


def _by_name(fabric: Fabric) -> Sequence[float]:
    return ()


def _by_value(fabric: Fabric) -> Sequence[float]:
    return (-fabric.colour.L,) if fabric.colour else (1.0,)


def _by_hue(fabric: Fabric) -> Sequence[float]:
    colour = fabric.colour
    if colour is None:
        return (400.0, 0.0)
    return (hue_degrees(colour) if colour.chroma >= NEUTRAL else -1.0, -colour.L)


def _by_length(fabric: Fabric) -> Sequence[float]:
    return (-float(sum(piece.length * piece.width for piece in fabric.pieces)),)
