"""Names that the program gives to stars, `4 x 4 of 2 1/2 in`: they follow the star until the maker gives another."""

from __future__ import annotations

import re
from collections.abc import Iterable

from stash.lengths import show_typed
from stash.model import SavedStar, Star
from stash.names import name_key


def made_name(star: Star) -> str:
    """The name of a star that has none of its own yet."""
    return f"{star.grid} x {star.grid} of {show_typed(star.strip, star.units)}"


def free_name(wanted: str, taken: set[str]) -> str:
    """The name, with a number behind it where it is among the keys of the taken ones."""
    name, number = wanted, 1
    while name_key(name) in taken:
        number += 1
        name = f"{wanted}, {number}"
    return name


def following_name(name: str, before: Star, after: Star, stars: Iterable[SavedStar]) -> str | None:
    """The name that a changed star takes where the program made the one it has; None where it keeps that."""
    if not re.fullmatch(rf"{re.escape(made_name(before))}(, [0-9]+)?", name) or made_name(before) == made_name(after):
        return None
    return free_name(made_name(after), {name_key(one.name) for one in stars if one.name != name})
