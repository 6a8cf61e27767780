"""What to do where the stash is short: ways on, each proved before it is offered by asking the stash in full.

Cutting it otherwise needs no offer: a check tries every way of sewing the sets and every way of cutting the pieces.
Then, in this order: an exchange with a letter that needs fewer strips; a stand-in; two look-alikes in one row;
another repeat or the run turned; narrower strips or a smaller grid; buying.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from stash.colour.words import colour_words
from stash.lengths import show_cm, show_yards, to_ticks
from stash.match.coverage import check, covers, to_buy
from stash.match.other_stars import narrower, repeat, smaller, turn
from stash.match.situation import Situation
from stash.match.swaps import exchange, look_alikes, stand_in
from stash.model import Colouring, Coverage, Fabric, Kind, LetterCover, Mark, Piece, Star, Step, WayOn

INCHES_PER_YARD = 36
BOUGHT = -1  # the id of a piece that is not there yet


def ways_on(
    star: Star, colouring: Colouring, fabrics: Iterable[Fabric], coverage: Coverage | None = None
) -> tuple[WayOn, ...]:
    """The ways on, in the order above; () where the stash covers the star.

    coverage -- what `check` said of it, where that is known already.
    Raises NotFound and UsageFault as `check` does.
    """
    stash = tuple(fabrics)
    found = coverage or check(star, colouring, stash)
    if found.covered:
        return ()
    now = Situation(star, colouring, stash, found)
    steps = (exchange, stand_in, look_alikes, repeat, turn, narrower, smaller)
    offered = [way for way in (step(now) for step in steps) if way is not None]
    return (*offered, *_buying(now))


def _buying(now: Situation) -> list[WayOn]:
    """What to buy, fabric by fabric: all of it together covers the star, which is proved here."""
    asked: dict[tuple[str, ...], tuple[LetterCover, int]] = {}
    for one in now.coverage.letters:
        if one.letter in now.lacking:
            strips = one.missing if one.mark is Mark.SHORT else now.strips[one.letter]
            before = asked.get(one.fabrics)
            total = strips if before is None or one.mark is Mark.SHORT else before[1] + strips
            asked[one.fabrics] = (before[0] if before else one, total)
    if not asked or not _covered_when_bought(now, {names: strips for names, (_, strips) in asked.items()}):
        return []
    return [_buy(now, cover, strips) for cover, strips in asked.values()]


def _covered_when_bought(now: Situation, bought: dict[tuple[str, ...], int]) -> bool:
    more = {names[-1]: strips for names, strips in bought.items()}
    stash = []
    for fabric in now.fabrics:
        if fabric.name in more:
            length = to_ticks(to_buy(now.star, more[fabric.name] * now.star.strip))
            piece = Piece(BOUGHT, Kind.YARDAGE, length, to_ticks(now.star.width))
            fabric = replace(fabric, pieces=(*fabric.pieces, piece), recorded=True)
        stash.append(fabric)
    return covers(now.star, now.colouring, stash)


def _buy(now: Situation, cover: LetterCover, strips: int) -> WayOn:
    buy, spare = (to_buy(now.star, count * now.star.strip) for count in (strips, strips + 1))
    names = " or ".join(cover.fabrics)
    text = (
        f"buy {bought_text(now.star, buy)} of {names}, full width ({bought_text(now.star, spare)} with a spare)"
        f"{_or_like(now, cover.letter)}"
    )
    return WayOn(Step.BUY, text, now.star, now.colouring, {}, buy)


def _or_like(now: Situation, letter: str) -> str:
    """What else would do: a value between its neighbours' and the colour to look for."""
    colour = now.colour(letter)
    if colour is None:
        return ""
    letters = now.star.letters
    at = letters.index(letter)
    ends = [
        (now.values[other] + colour.L) / 2
        for other in (letters[at - 1] if at else "", letters[at + 1] if at + 1 < len(letters) else "")
        if other in now.values
    ]
    if len(ends) == 1:
        ends.append(2 * colour.L - ends[0])
    low, high = (min(ends), max(ends)) if ends else (colour.L, colour.L)
    return f", or a {colour_words(colour)} of value {max(low, 0):.0f} to {min(high, 100):.0f}"


def bought_text(star: Star, inches: Fraction) -> str:
    """Cloth to buy as its shop writes it: `1/4 yd`, or `30 cm` for a star in cm."""
    return f"{show_cm(inches)} cm" if star.units == "cm" else f"{show_yards(inches / INCHES_PER_YARD)} yd"
