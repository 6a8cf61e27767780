"""What takes cloth out of the stash or sets its sizes right: cuts, lengths used, stock-takes.

A cut is a guillotine cut: the rectangle that is kept and what was taken add up to the area before.
"""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import select

from stash.errors import Conflict, Fault, UsageFault
from stash.inventory import fabrics
from stash.inventory.checks import checked_pieces, pieces_text, size_text
from stash.inventory.ledger import Book, State, changed_since
from stash.inventory.tables import piece
from stash.lengths import exact_text
from stash.model import Cut, Fabric, NewPiece, Piece


def state_of(one: Piece) -> State:
    """A piece that is there, as the ledger has it."""
    return State(str(one.kind), one.length, one.width, "here", one.cut_before, one.estimated)


def cut(book: Book, cuts: Sequence[Cut], text: str) -> str:
    """Book cuts of different pieces together; gives the sentence for the history."""
    if not cuts:
        raise UsageFault("nothing is said to be cut", do="name a piece and what is kept of it")
    if len({one.piece for one in cuts}) < len(cuts):
        raise UsageFault("a piece is named twice in one cut", do="say once what is kept of each piece")
    said = [_cut_one(book, one) for one in cuts]
    return text.strip() or "Cut " + "; ".join(said)


def _cut_one(book: Book, asked: Cut) -> str:
    owner = fabrics.by_id(book.conn, asked.fabric_id)
    row = book.conn.execute(select(piece).where(piece.c.id == asked.piece)).first()
    if row is None or row.fabric != owner.id or row.state == "withdrawn":
        raise Conflict(f"there is no piece {asked.piece} of {owner.name}", owner.name, "look at the stash again")
    if row.rev != asked.rev or row.state != "here":
        raise changed_since(book.conn, asked.piece)
    before = State.of(row)
    after = _kept(before, asked, owner)
    book.set_piece(asked.piece, asked.rev, before, after)
    left = f"{size_text(after.length, after.width)} left" if after.area else "used up"
    note = f" ({' '.join(asked.note.split())})" if asked.note.strip() else ""
    return f"{owner.name}, {size_text(before.length, before.width)}: {left}{note}"


def _kept(before: State, asked: Cut, owner: Fabric) -> State:
    length, width = asked.length, asked.width
    there = size_text(before.length, before.width)
    if min(length, width) < 0:
        raise UsageFault("a piece cannot keep less than nothing", owner.name, f"it has {there}")
    if length > before.length or width > before.width:
        raise UsageFault(
            f"more is kept ({exact_text(max(length, 1))} x {exact_text(max(width, 1))}) than there is ({there})",
            owner.name,
            "use count to set a size right",
        )
    if (length, width) == (before.length, before.width):
        raise UsageFault("nothing is taken off this piece", owner.name, f"it has {there}")
    if 0 in (length, width) and length != width:
        raise UsageFault("a piece keeps both a length and a width, or nothing", owner.name, "use 0 x 0 for used up")
    if length == 0:
        return before.gone()
    return State(before.kind, length, width, "here", cut_before=True, estimated=before.estimated)


def used(book: Book, fabric_id: int, ticks: int | None) -> str:
    """Take a length off a fabric (None: all of it).

    From the smallest piece that is long enough; where none is, the longest is used up and the rest is taken so.
    """
    owner = fabrics.by_id(book.conn, fabric_id)
    there = sum(one.length for one in owner.pieces)
    if not owner.pieces:
        raise Fault(f"there is nothing of {owner.name} in the stash", owner.name, "record what is there first")
    if ticks is not None and ticks <= 0:
        raise UsageFault("nothing is said to be used", owner.name, "give a length, like 1/2 yd, or all")
    if ticks is not None and ticks > there:
        raise Fault(
            f"{exact_text(ticks)} of {owner.name} cannot be used: there is {exact_text(there)}; nothing was changed",
            owner.name,
            "use less, or set the sizes right with count",
        )
    for one, length in _taken(owner.pieces, there if ticks is None else ticks):
        before = state_of(one)
        rest = State(before.kind, one.length - length, one.width, "here", cut_before=True, estimated=one.estimated)
        book.set_piece(one.id, one.rev, before, before.gone() if length == one.length else rest)
    amount = "all" if ticks is None or ticks == there else exact_text(ticks)
    return f"Used {amount} of {owner.name}"


def _taken(pieces: Sequence[Piece], ticks: int) -> list[tuple[Piece, int]]:
    left = sorted(pieces, key=lambda one: (one.length, one.width, one.id))
    taken: list[tuple[Piece, int]] = []
    while ticks:
        one = next((one for one in left if one.length >= ticks), left[-1])
        length = min(one.length, ticks)
        taken.append((one, length))
        left.remove(one)
        ticks -= length
    return taken


def count(book: Book, fabric_id: int, measured: Sequence[NewPiece]) -> str:
    """A stock-take: whatever was expected, the fabric's pieces become those that were measured."""
    owner = fabrics.by_id(book.conn, fabric_id)
    become(book, owner, checked_pieces(measured))
    book.empty_counts = True
    expected = pieces_text([(one.length, one.width) for one in owner.pieces])
    found = pieces_text([(one.length, one.width) for one in measured])
    return f"Counted {owner.name}: expected {expected}, measured {found}"


def become(book: Book, owner: Fabric, wanted: Sequence[NewPiece]) -> None:
    """Make `wanted` the fabric's pieces: known ids first, then pieces alike, then those of the same kind."""
    pairs, missing, extra = paired(owner.pieces, wanted)
    for one, new in [*pairs, *_same_kind(missing, extra)]:
        if state_of(one) != State.new(new):
            book.set_piece(one.id, one.rev, state_of(one), State.new(new))
    for one in missing:
        book.set_piece(one.id, one.rev, state_of(one), state_of(one).gone())
    for new in extra:
        book.new_piece(owner.id, State.new(new))


Pairs = list[tuple[Piece, NewPiece]]


def paired(
    there: Sequence[Piece], wanted: Sequence[NewPiece]
) -> tuple[Pairs, list[Piece], list[NewPiece]]:
    """Pieces of the stash with those of a list: (pairs by id or alike in all, not in the list, not in the stash)."""
    missing = {one.id: one for one in there}
    pairs: Pairs = []
    extra: list[NewPiece] = []
    for new in wanted:
        if new.id is not None and new.id in missing:
            pairs.append((missing.pop(new.id), new))
        else:
            extra.append(new)
    alike: dict[State, list[Piece]] = {}
    for one in missing.values():
        alike.setdefault(state_of(one), []).append(one)
    rest: list[NewPiece] = []
    for new in extra:
        same = alike.get(State.new(new))
        if same:
            one = same.pop(0)
            pairs.append((missing.pop(one.id), new))
        else:
            rest.append(new)
    return pairs, list(missing.values()), rest


def _same_kind(missing: list[Piece], extra: list[NewPiece]) -> Pairs:
    """Pair what is left by kind, taking it out of both lists: most likely the same piece, measured anew."""
    pairs: Pairs = []
    for new in list(extra):
        one = next((one for one in missing if one.kind == new.kind), None)
        if one is not None:
            missing.remove(one)
            extra.remove(new)
            pairs.append((one, new))
    return pairs
