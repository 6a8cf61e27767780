"""Stashes in which every run of fabrics is covered, for tests of suggestions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction

from stash.inventory.store import Store
from stash.model import Colour, Colouring, NewFabric, Star
from stash.typed import read_pieces

SLUICE = Star(3, Fraction(5, 2), "ABCBA")


def fill(
    store: Store, cloth: Iterable[tuple[str, float, float, float]], uses: Mapping[str, tuple[str, ...]]
) -> None:
    """A yard of each of these fabrics (name, L, a, b), and a mirrored 3 x 3 star."""
    for name, L, a, b in cloth:
        store.add(NewFabric(name, read_pieces("1 yd"), Colour(L, a, b)))
    store.save_star("Sluice", SLUICE, Colouring(uses))
