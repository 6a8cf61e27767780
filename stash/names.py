"""When two typed names mean the same fabric or star, and which name was meant by one that is not there."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

from stash.errors import NotFound


def name_key(name: str) -> str:
    """What makes a name the same: NFC, case folded, trimmed."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).strip().casefold())


def not_found(what: str, name: str, known: Iterable[str]) -> NotFound:
    """The fault for a `what` ("fabric", "star") of that name, with the nearest known names in `do`."""
    from difflib import get_close_matches

    keys: dict[str, str] = {}
    for other in known:
        keys.setdefault(name_key(other), other)
    near = [keys[key] for key in get_close_matches(name_key(name)[:60], list(keys), n=3, cutoff=0.6)]
    shown = " ".join(name.split())[:60]
    if near:
        do = "did you mean " + " or ".join(f'"{other}"' for other in near) + "?"
    else:
        do = f"list the {what}s to see their names"
    return NotFound(f'no {what} is called "{shown}"', do=do)
