"""What is short for the rest of a plan, by trying everything. Nothing of `stash.match` is used."""

from __future__ import annotations

from itertools import combinations, product

from stash.lengths import TICKS_PER_INCH
from stash.model import Fabric, Piece, Star, StoredStrip, Way
from tests.engine import by_hand


def fewest_missing(star: Star, fabric: Fabric, strips: list[StoredStrip]) -> int:
    """Full-width strips that are short for what waits of a fabric, by trying all: which of the pieces that stand keep
    their strips, how the others are cut, and where each run lies."""
    waiting: dict[int, list[StoredStrip]] = {}
    for one in strips:
        if one.booked is None:
            waiting.setdefault(one.cut.piece, []).append(one)
    stand = [piece for piece in fabric.pieces if piece.id in waiting and _stands(piece, strips)]
    fewest = len(strips)
    for keep in (kept for count in range(len(stand) + 1) for kept in combinations(stand, count)):
        free = [piece for piece in fabric.pieces if piece not in keep]
        moved = [one for key, group in waiting.items() if key not in {piece.id for piece in keep} for one in group]
        runs = sorted((run.segments for one in moved for run in one.cut.strips[0].runs), reverse=True)
        for ways in product(*(by_hand.ways(fabric, piece) for piece in free)):
            lanes = [lane for piece, way in zip(free, ways, strict=True) for lane in _lanes(star, piece, way)]
            bought = [int(star.width * TICKS_PER_INCH)]
            fewest = next((n for n in range(fewest) if _holds(star, lanes + bought * n, runs)), fewest)
    return fewest


def _stands(piece: Piece, strips: list[StoredStrip]) -> bool:
    """Whether a piece is as its plan and the strips cut of it left it."""
    mine = [one for one in strips if one.cut.piece == piece.id]
    cut, booked = mine[0].cut, sum(one.booked is not None for one in mine)
    length, width = cut.piece_length, cut.piece_width
    if booked:
        length, width = length - cut.trim_length, width - cut.trim_width
    off = booked * cut.strips[0].width
    now = (length - off, width) if cut.way is Way.ACROSS else (length, width - off)
    return now == (piece.length, piece.width)


def _lanes(star: Star, piece: Piece, way: Way) -> list[int]:
    length, width = by_hand.trimmed(piece)
    strip = star.strip * TICKS_PER_INCH
    if min(length, width) <= 0:
        return []
    return [width] * int(length // strip) if way is Way.ACROSS else [length] * int(width // strip)


def _holds(star: Star, lanes: list[int], runs: list[int]) -> bool:
    """Whether every run finds a lane, whatever the order they are laid in."""
    filled: list[tuple[int, ...]] = [()] * len(lanes)
    tried: set[tuple[int, tuple[tuple[int, tuple[int, ...]], ...]]] = set()

    def lay(at: int) -> bool:
        if at == len(runs):
            return True
        state = (at, tuple(sorted(zip(lanes, filled, strict=True))))
        if state in tried:
            return False
        tried.add(state)
        for place, lane in enumerate(lanes):
            before = filled[place]
            now = (*before, runs[at])
            if by_hand.holds(lane, len(now), sum(now), by_hand.head_of(star), star.strip * TICKS_PER_INCH):
                filled[place] = now
                if lay(at + 1):
                    return True
                filled[place] = before
        return False

    return lay(0)
