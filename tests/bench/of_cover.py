"""`check` and its plan of cuts at 8 x 8 with 40 fabrics, against trying every choice of sewing and every packing.

The reference is the long way of the tests (`tests.engine.by_hand`), which uses nothing of the engine's; it finds
the strips to buy and the sets not whole, which must be the same, and lays no plan.
"""

from __future__ import annotations

import random
from collections.abc import Callable

from stash.match.coverage import check
from stash.match.sequence import suggest
from stash.match.wishes import Wishes
from stash.model import Colouring, Coverage, Fabric, Sewn, Star
from tests.bench.invented import fabrics
from tests.bench.measure import Figure, Goal, figure, timed
from tests.bench.of_suggest import star_of
from tests.engine import by_hand

GOAL = Goal(seconds=0.5)


def figures() -> list[Figure]:
    stash = fabrics(40)
    found = []
    for grid, order in ((4, "none"), (8, "none"), (8, "mirror")):
        star = star_of(grid, order)
        found.append(_figure(star, f"check, {grid} x {grid} {order}", stash, _any_uses(star, stash)))
        found.append(_figure(star, f"check and plan, {grid} x {grid} {order}", stash, _covered_uses(star, stash)))
    return found


def _any_uses(star: Star, stash: list[Fabric]) -> by_hand.Uses:
    """Fabrics at random, light to dark, most of them short."""
    some = random.Random(star.grid).sample(stash, len(star.letters))
    return dict(zip(star.letters, ((one,) for one in sorted(some, key=_value, reverse=True)), strict=True))


def _value(fabric: Fabric) -> float:
    assert fabric.colour is not None
    return fabric.colour.L


def _covered_uses(star: Star, stash: list[Fabric]) -> by_hand.Uses:
    (run,) = suggest(star, stash, Wishes(top=1, min_step=0), marked=False).sequences
    return dict(zip(star.letters, ((one,) for one in run.fabrics), strict=True))


def _figure(star: Star, what: str, stash: list[Fabric], uses: by_hand.Uses) -> Figure:
    ours = _check(star, stash, uses)
    seconds, verdict = [], (0, 0)
    for _ in range(3 if star.grid < 8 else 1):
        by_hand._lacks.cache_clear()
        by_hand.packs.cache_clear()
        seconds.append(timed(lambda: by_hand.verdict(star, uses)))
        verdict = by_hand.verdict(star, uses)
    answer = ours()
    if _verdict(answer) != verdict:
        raise AssertionError(f"{what}: {_verdict(answer)} here, {verdict} by trying everything")
    if answer.covered != bool(answer.cuts):
        raise AssertionError(f"{what}: a plan goes with what is covered")
    return figure(what, [timed(ours) for _ in range(15)], "every choice", seconds, GOAL)


def _check(star: Star, stash: list[Fabric], uses: by_hand.Uses) -> Callable[[], Coverage]:
    return lambda: check(star, Colouring(by_hand.names(uses)), stash)


def _verdict(answer: Coverage) -> tuple[int, int]:
    """Strips to buy and sets not whole: each letter has a fabric of its own here."""
    return sum(one.missing for one in answer.letters), sum(one.sewn is not Sewn.WHOLE for one in answer.sets)
