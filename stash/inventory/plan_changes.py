"""What happens to a kept plan while it is cut: the rest planned again, an offcut binned, a segment spoiled."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from sqlalchemy import select

from stash.errors import Conflict, Fault, NotFound, UsageFault
from stash.inventory import booking, plans
from stash.inventory.checks import size_text
from stash.inventory.ledger import Book, changed_since
from stash.inventory.tables import spoiled
from stash.model import PieceCut, StoredPlan, StoredStrip, left_of, plannings

_MOST_SPOILED = 1000  # far over what any set gives; a slip of the hand is refused


def plan_rest(book: Book, plan_id: int, strip_ids: Collection[int], cuts: Sequence[PieceCut]) -> str:
    """Other cuts for strips that are not cut yet; gives the sentence for the history, "" where none are named.

    A piece is planned as a whole: `cuts` take nothing from one that strips which stay are still to be cut from.
    """
    kept = plans.by_id(book.conn, plan_id)
    if not strip_ids:
        return ""
    replaced = [one for one in kept.strips if one.id in strip_ids]
    if len(replaced) < len(set(strip_ids)) or any(one.booked is not None for one in replaced):
        raise Conflict("a strip to be planned again is cut already, or there no longer", do="look at the plan again")
    _refuse_shared([one for one in kept.strips if one.booked is None and one.id not in strip_ids], cuts)
    rows = plans.check_cuts(book.conn, cuts)
    for one in replaced:
        book.delete("strip", one.id)
    for row in rows:
        book.insert("strip", {"plan": plan_id, **row, "booked": None})
    return f"Planned the rest of {_name(book, kept)}, again"


def _refuse_shared(staying: Sequence[StoredStrip], cuts: Sequence[PieceCut]) -> None:
    taken = {one.cut.piece for one in staying}
    for cut in cuts:
        if cut.piece in taken:
            what = f"piece {cut.piece} has other strips of this plan, or is named twice; nothing was changed"
            raise Conflict(what, cut.fabric, "plan all strips of a piece together")
        taken.add(cut.piece)


def bin_offcut(book: Book, plan_id: int, piece_id: int) -> str:
    """The rest of a piece, once all its strips are cut, goes into the bin."""
    kept = plans.by_id(book.conn, plan_id)
    mine = [one for one in kept.strips if one.cut.piece == piece_id]
    if not mine:
        raise NotFound(f"this plan cuts nothing from piece {piece_id}", do="look at the plan again")
    name = mine[0].cut.fabric
    if any(one.booked is None for one in mine):
        raise Conflict(f"strips of {name} are still to cut from this piece", name, "cut them first")
    other = plans.held_for(book.conn, plan_id, piece_id)
    if other:
        raise Conflict(f"the plan of {other} is to be cut from this offcut", name, "let that plan go first")
    row, before = booking.piece_now(book.conn, piece_id)
    newest = plannings(mine)[-1]
    if row.state != "here" or (row.length, row.width) != left_of(newest):
        raise changed_since(book.conn, piece_id)
    book.set_piece(piece_id, row.rev, before, before.gone())
    return f"Binned the offcut of {name}, {size_text(before.length, before.width)}"


def spoil(book: Book, plan_id: int, number: int, segments: int) -> str:
    """More segments of a strip set were spoiled (under 0: fewer), and are cut again from what it has to spare."""
    kept = plans.by_id(book.conn, plan_id)
    sets = {run.set for one in kept.strips for run in one.cut.strips[0].runs}
    if number not in sets:
        raise UsageFault(f"this plan has no set {number}", do=f"it has {', '.join(map(str, sorted(sets)))}")
    row = book.conn.execute(
        select(spoiled).where(spoiled.c.plan == plan_id, spoiled.c.set_number == number)
    ).first()
    before = row.segments if row is not None else 0
    after = before + segments
    if segments == 0:
        raise UsageFault("no segment is said to be spoiled", do="give a number of them")
    if after < 0:
        raise Fault(f"spoiled segments of set {number} so far: {before}", do="take back no more than that")
    if after > _MOST_SPOILED:
        raise UsageFault(f"more than {_MOST_SPOILED} segments of a set cannot be spoiled", do="give fewer")
    if row is None:
        book.insert("spoiled", {"plan": plan_id, "set_number": number, "segments": after})
    elif after:
        book.update("spoiled", row.id, {"segments": after})
    else:
        book.delete("spoiled", row.id)
    name = _name(book, kept)
    if segments > 0:
        again = "was spoiled and is cut again" if segments == 1 else "were spoiled and are cut again"
        return f"{_segments(segments)} of set {number} for {name}, {again}"
    return f"{_segments(-segments)} of set {number} for {name}, {'was' if segments == -1 else 'were'} not spoiled"


def _segments(count: int) -> str:
    return "A segment" if count == 1 else f"{count} segments"


def _name(book: Book, kept: StoredPlan) -> str:
    name, number = plans.whose(book.conn, plans.colouring_of(book.conn, kept.id))
    return f"{name}, colouring {number}"
