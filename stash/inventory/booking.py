"""Booking a kept plan strip by strip.

Cutting goes from the straightened edge: the first booking on a piece takes off what straightening costs, then each
strip takes its width (off the length across the cloth, off the width along it). Strips of one piece that were planned
at one time are a planning. What a piece must have now follows from its size in the planning and the strips booked of
it; a piece that has anything else was changed by somebody else, and its strips are refused.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

from sqlalchemy import Connection, select

from stash.errors import Conflict, Fault, NotFound
from stash.inventory import plans
from stash.inventory.ledger import Book, State, changed_since
from stash.inventory.tables import piece, star
from stash.model import StoredPlan, StoredStrip, left_of, plannings
from stash.wording import counted


def book_strips(
    book: Book, plan_id: int, strip_ids: Collection[int] | None, bin_rest: Collection[int] = ()
) -> str:
    """Book strips of a plan (None: all that are left); gives the sentence for the history.

    bin_rest -- pieces whose offcut goes into the bin with the last strip of the plan that is cut from them; it is
    kept where another star's plan is to be cut from it.
    """
    kept = plans.by_id(book.conn, plan_id)
    chosen = _chosen(kept, strip_ids)
    ids = {one.id for one in chosen}
    binned = []
    for piece_id in dict.fromkeys(one.cut.piece for one in chosen):
        mine = [one for one in kept.strips if one.cut.piece == piece_id]
        if _book_piece(book, mine, ids, piece_id in bin_rest and not plans.held_for(book.conn, plan_id, piece_id)):
            binned.append(mine[0].cut.fabric)
    for one in chosen:
        book.update("strip", one.id, {"booked": book.id})
    name = book.conn.scalar(select(star.c.name).where(star.c.id == kept.star_id))
    names = ", ".join(dict.fromkeys(one.cut.fabric for one in chosen))
    strips = counted(len(chosen), "strip")
    offcuts = f"; the offcut of {', '.join(dict.fromkeys(binned))} is binned" if binned else ""
    return f"Cut {strips} for {name}, colouring {kept.number}, from {names}{offcuts}"


def piece_now(conn: Connection, piece_id: int) -> tuple[Any, State]:
    """A piece as it is now: its row and its state."""
    row = conn.execute(select(piece).where(piece.c.id == piece_id)).one()
    return row, State.of(row)


def _chosen(kept: StoredPlan, strip_ids: Collection[int] | None) -> list[StoredStrip]:
    known = {one.id: one for one in kept.strips}
    if strip_ids is None:
        chosen = [one for one in kept.strips if one.booked is None]
    else:
        unknown = sorted(set(strip_ids) - set(known))
        if unknown:
            raise NotFound(f"this plan has no strip {unknown[0]}", do="look at the plan again")
        chosen = [known[one] for one in sorted(set(strip_ids))]
        done = next((one for one in chosen if one.booked is not None), None)
        if done is not None:
            raise Conflict(
                f"a strip of {done.cut.fabric} was booked already, by entry {done.booked}; nothing was booked",
                done.cut.fabric,
                "look at the plan again",
            )
    if not chosen:
        raise Fault("all strips of this plan are booked already; nothing was booked", do="look at the history")
    return chosen


def _book_piece(book: Book, strips: Sequence[StoredStrip], chosen: Collection[int], bin_rest: bool) -> bool:
    """Take the chosen ones of a piece's strips off it; says whether an offcut was binned.

    A later planning begins with what the earlier one left, so strips of both may be booked together.
    """
    piece_id = strips[0].cut.piece
    row, before = piece_now(book.conn, piece_id)
    size = before.length, before.width
    for planned in plannings(strips):
        if not any(one.id in chosen for one in planned):
            continue
        if size != left_of(planned):
            raise changed_since(book.conn, piece_id)
        size = left_of(planned, chosen)
    waiting = any(one.booked is None and one.id not in chosen for one in strips)
    to_bin = bin_rest and not waiting and size[0] > 0
    kept = size[0] > 0 and not to_bin
    after = State(before.kind, *size, "here", True, before.estimated) if kept else before.gone()
    if after != before:
        book.set_piece(piece_id, row.rev, before, after)
    return to_bin
