"""What to do where the stash is short: ways on, each proved before it is offered by asking the stash in full.

Cutting it otherwise needs no offer: a check tries every way of sewing the sets and every way of cutting the pieces.
Then, in this order: an exchange with a letter that needs fewer strips; a stand-in; two look-alikes in one row;
another repeat or the run turned; narrower strips or a smaller grid; buying.

A star that is being cut keeps its fabrics and its measures: for it there is only what is to buy.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from stash.colour.words import colour_words
from stash.lengths import to_ticks
from stash.match.buying import bought_text, to_buy
from stash.match.coverage import check, covers, look_up
from stash.match.other_stars import narrower, repeat, smaller, turn
from stash.match.replan import rest_cover
from stash.match.rests import Rests
from stash.match.situation import Situation
from stash.match.swaps import exchange, look_alikes, stand_in
from stash.match.to_get import measured, strips_to_get
from stash.model import Colouring, Coverage, Fabric, Kind, Piece, Star, Step, StoredPlan, WayOn

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


def ways_on_cut(star: Star, colouring: Colouring, fabrics: Iterable[Fabric], plan: StoredPlan) -> tuple[WayOn, ...]:
    """The ways on of a star whose `plan` is cut in part: what to buy of each fabric that its rest is short of, all of
    it together proved to give the rest; () where the cloth that is there gives it.

    Raises NotFound and UsageFault as `check` does, and Fault where the plan cuts a fabric that is used no longer.
    """
    stash = tuple(fabrics)
    lacking = {
        rest.fabric.id: rest.missing for rest in Rests(star, look_up(star, colouring, stash), plan).each if rest.missing
    }
    if not lacking or not rest_cover(star, colouring, _with_bought(star, stash, lacking), plan).covered:
        return ()
    offered = []
    for fabric in stash:
        strips = lacking.get(fabric.id, 0)
        if strips:
            text = f"{_buy_text(star, fabric, strips)}, for the strips still to cut"
            offered.append(WayOn(Step.BUY, text, star, colouring, {}, to_buy(star, strips * star.strip)))
    return tuple(offered)


def _buying(now: Situation) -> list[WayOn]:
    """What to buy, fabric by fabric: all of it together covers the star, which is proved here."""
    lacking = strips_to_get(now.star, now.colouring, now.fabrics)
    if not lacking or not _covered_when_bought(now, lacking):
        return []
    return [_buy(now, fabric, lacking[fabric.id]) for fabric in now.colours.fabrics() if fabric.id in lacking]


def _covered_when_bought(now: Situation, bought: Mapping[int, int]) -> bool:
    """`bought` -- full-width strips by fabric id."""
    return covers(now.star, now.colouring, _with_bought(now.star, measured(now.fabrics, ()), bought))


def _with_bought(star: Star, fabrics: Iterable[Fabric], bought: Mapping[int, int]) -> list[Fabric]:
    """The fabrics with what is bought of them: full-width strips by fabric id."""
    stash = []
    for fabric in fabrics:
        strips = bought.get(fabric.id, 0)
        if strips:
            piece = Piece(BOUGHT, Kind.YARDAGE, to_ticks(to_buy(star, strips * star.strip)), to_ticks(star.width))
            fabric = replace(fabric, pieces=(*fabric.pieces, piece))
        stash.append(fabric)
    return stash


def _buy(now: Situation, fabric: Fabric, strips: int) -> WayOn:
    letter = next(letter for letter, used in now.colours.letters.items() if fabric in used)
    text = f"{_buy_text(now.star, fabric, strips)}{_or_like(now, fabric, letter)}"
    return WayOn(Step.BUY, text, now.star, now.colouring, {}, to_buy(now.star, strips * now.star.strip))


def _buy_text(star: Star, fabric: Fabric, strips: int) -> str:
    buy, spare = (bought_text(star, to_buy(star, count * star.strip)) for count in (strips, strips + 1))
    return f"buy {buy} of {fabric.name}, full width ({spare} with a spare)"


def _or_like(now: Situation, fabric: Fabric, letter: str) -> str:
    """What else would do: a value between its neighbours' and the colour to look for."""
    colour = fabric.colour
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
