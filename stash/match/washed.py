"""Cloth as it will be once it is washed: for makers who wash before they cut.

Cotton shrinks by 2 to 3 % as a rule and up to 6 %, mostly across the width (figures of the trade; AATCC TM135 says how
it is measured and sets no limit), and the width decides how many segments a strip gives. Reckoned here: 5 % off the
width and 3 % off the length of what is not washed yet (our own figures).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from stash.model import Fabric

LENGTH_LEFT, WIDTH_LEFT = 97, 95  # of a hundred


def washed_first(fabrics: Iterable[Fabric]) -> tuple[Fabric, ...]:
    """The fabrics as they will measure when the unwashed ones are washed."""
    return tuple(fabric if fabric.washed else _washed(fabric) for fabric in fabrics)


def _washed(fabric: Fabric) -> Fabric:
    pieces = tuple(
        replace(piece, length=piece.length * LENGTH_LEFT // 100, width=piece.width * WIDTH_LEFT // 100)
        for piece in fabric.pieces
    )
    return replace(fabric, pieces=pieces, washed=True)
