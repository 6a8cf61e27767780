"""What the Sizes screen asks the engine, and how its answers come: some in one go, so that the thread is soon free."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from time import monotonic
from typing import TypeVar

from stash.match.sizes import GRIDS, STRIPS, sizes
from stash.match.wishes import Wishes
from stash.model import Fabric, SizeFit, Star
from stash.star.repeats import order_of
from tui.widgets.sizes_grid import Place

T = TypeVar("T")
AT_A_TIME = 0.15  # seconds of answers in one go


def stars_like(base: Star, repeat: str) -> dict[Place, Star]:
    """Every grid and strip width with the measures of `base`, by grid and then by strip."""
    return {
        (row, column): replace(base, grid=grid, strip=strip, order=order_of(repeat, grid))
        for row, grid in enumerate(GRIDS)
        for column, strip in enumerate(STRIPS)
    }


def answers(
    stars: Sequence[Star], cloth: Callable[[], Sequence[Fabric]], wishes: Wishes
) -> Iterator[SizeFit]:
    """The answers, from cloth that is looked up when the first is asked for."""
    yield from sizes(stars, cloth(), wishes)


def some_of(coming: Iterator[T]) -> list[T]:
    """The next answers: at least one where there is one, and no more than come in a short while."""
    found, end = [], monotonic() + AT_A_TIME
    for one in coming:
        found.append(one)
        if monotonic() >= end:
            break
    return found
