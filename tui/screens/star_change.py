"""What becomes of a colouring when its star changes. Pure functions on records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from stash.model import Colouring, Fabric, Sequence, Star


def carried(old: Star, new: Star, uses: Mapping[str, tuple[str, ...]]) -> dict[str, tuple[str, ...]]:
    """The fabrics that stay when a star changes its grid or order.

    With the same grid every row keeps its fabric as far as the new letters allow (a letter takes the fabric of its
    first row); with another grid every letter keeps its own. Letters that are left have none.
    """
    found = {}
    for letter in new.letters:
        at = letter
        if new.grid == old.grid:
            at = old.order[new.order.index(letter)]
        if uses.get(at):
            found[letter] = tuple(uses[at])
    return found


def is_complete(star: Star, colouring: Colouring | None) -> bool:
    """Every letter has a fabric and no other letter has one."""
    if colouring is None:
        return False
    return set(star.letters) == {letter for letter, names in colouring.uses.items() if names}


def with_fabric(colouring: Colouring, letter: str, name: str) -> Colouring:
    """The colouring with one fabric at a letter."""
    return replace(colouring, uses={**colouring.uses, letter: (name,)})


def of_sequence(star: Star, sequence: Sequence, now: Colouring | None, locked: frozenset[str]) -> Colouring:
    """A suggested colouring. Locked letters keep what they have (two look-alikes stay two); ground, binding and
    backing stay."""
    uses: dict[str, tuple[str, ...]] = {
        letter: (fabric.name,) for letter, fabric in zip(star.letters, sequence.fabrics, strict=True)
    }
    if now is not None:
        uses |= {letter: tuple(now.uses[letter]) for letter in locked if letter in uses and now.uses.get(letter)}
    return replace(now, uses=uses) if now else Colouring(uses)


def is_dark_first(star: Star, colouring: Colouring, fabrics: Mapping[str, Fabric]) -> bool:
    """Whether the run goes from dark at A to light at the last letter."""
    ends = []
    for letter in (star.letters[0], star.letters[-1]):
        found = [fabrics[name].colour for name in colouring.uses.get(letter, ()) if name in fabrics]
        ends.append(found[0].L if found and found[0] else None)
    first, last = ends
    return first is not None and last is not None and first < last


def differences(star: Star, before: Colouring | None, after: Colouring) -> list[str]:
    """What another colouring changes, letter by letter: "D Fern for Moss"."""
    found = []
    for letter in star.letters:
        new = " + ".join(after.uses.get(letter, ()))
        old = " + ".join(before.uses.get(letter, ())) if before else ""
        if new != old:
            found.append(f"{letter} {new or 'nothing'}" + (f" for {old}" if old else ""))
    return found
