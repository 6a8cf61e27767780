"""Plans of cuts kept for a colouring: kept, read, let go. A plan keeps each piece as it saw it."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Select, select

from stash.errors import Conflict, NotFound, UsageFault
from stash.inventory.ledger import Book, changed_since
from stash.inventory.tables import colouring, fabric, piece, plan, spoiled, star, strip
from stash.model import CutStrip, PieceCut, Run, StoredPlan, StoredStrip, Way
from stash.wording import counted

_STRIPS = (
    select(strip, piece.c.fabric, fabric.c.name, colouring.c.star, colouring.c.number)
    .select_from(
        strip.join(piece, piece.c.id == strip.c.piece)
        .join(fabric, fabric.c.id == piece.c.fabric)
        .join(plan, plan.c.id == strip.c.plan)
        .join(colouring, colouring.c.id == plan.c.colouring)
    )
    .order_by(strip.c.plan.desc(), strip.c.id)
)


def kept_plans(conn: Connection) -> list[StoredPlan]:
    """All plans, cut or not, newest first."""
    return _plans(conn, _STRIPS)


def open_plans(conn: Connection, colouring_id: int | None = None) -> list[StoredPlan]:
    """Plans with strips still to cut, newest first; of one colouring or of all."""
    query = _STRIPS
    if colouring_id is not None:
        query = query.where(plan.c.colouring == colouring_id)
    return [one for one in _plans(conn, query) if any(s.booked is None for s in one.strips)]


def cut_plans(conn: Connection, colouring_id: int) -> list[StoredPlan]:
    """Plans of a colouring that are cut to the last strip, newest first."""
    found = _plans(conn, _STRIPS.where(plan.c.colouring == colouring_id))
    return [one for one in found if all(s.booked is not None for s in one.strips)]


def by_id(conn: Connection, plan_id: int) -> StoredPlan:
    """A kept plan, cut or not. Raises NotFound."""
    found = _plans(conn, _STRIPS.where(strip.c.plan == plan_id))
    if not found:
        raise NotFound(f"there is no plan of cuts {plan_id}", do="make the plan again")
    return found[0]


def _plans(conn: Connection, query: Select[Any]) -> list[StoredPlan]:
    grouped: dict[int, list[Any]] = {}
    for row in conn.execute(query):
        grouped.setdefault(row.plan, []).append(row)
    again = _spoiled(conn) if grouped else {}
    return [
        StoredPlan(plan_id, strips[0].star, strips[0].number, tuple(map(_strip, strips)), again.get(plan_id, ()))
        for plan_id, strips in grouped.items()
    ]


def _spoiled(conn: Connection) -> dict[int, tuple[int, ...]]:
    """Spoiled segments of every plan, by strip set."""
    by_plan: dict[int, dict[int, int]] = {}
    for row in conn.execute(select(spoiled)):
        by_plan.setdefault(row.plan, {})[row.set_number] = row.segments
    return {
        plan_id: tuple(segments.get(number, 0) for number in range(1, max(segments) + 1))
        for plan_id, segments in by_plan.items()
    }


def _strip(row: Any) -> StoredStrip:
    runs = tuple(Run(number, segments) for number, segments in json.loads(row.runs))
    one = CutStrip(row.x, row.y, row.length, row.width, runs)
    return StoredStrip(
        row.id,
        PieceCut(
            row.fabric, row.name, row.piece, row.rev, row.piece_length, row.piece_width, Way(row.way), (one,),
            row.trim_length, row.trim_width,
        ),
        row.booked,
    )  # fmt: skip


def held_for(conn: Connection, plan_id: int, piece_id: int) -> str:
    """The star whose plan, another than this one, has strips still to cut from a piece; "" for none."""
    query = _STRIPS.where(strip.c.piece == piece_id, strip.c.plan != plan_id, strip.c.booked.is_(None))
    row = conn.execute(query).first()
    if row is None:
        return ""
    name: str = conn.execute(select(star.c.name).where(star.c.id == row.star)).scalar_one()
    return name


def newest(conn: Connection, colouring_id: int) -> StoredPlan:
    """The plan of a colouring that was kept last. Raises NotFound."""
    found = _plans(conn, _STRIPS.where(plan.c.colouring == colouring_id))
    if not found:
        raise NotFound("there is no plan of cuts for this colouring", do="make the plan again")
    return found[0]


def check_cuts(conn: Connection, cuts: Sequence[PieceCut]) -> list[dict[str, Any]]:
    """The rows of a plan's strips, in order. Raises UsageFault for no cuts, Conflict for a piece that is not so."""
    rows = [row for cut in cuts for row in _rows(cut)]
    if not rows:
        raise UsageFault("this plan has no cuts", do="plan a colouring that the stash covers")
    for cut in cuts:
        _check_piece(conn, cut)
    return rows


def keep(book: Book, colouring_id: int, cuts: Sequence[PieceCut]) -> str:
    """Keep a plan, unless the very same one is kept already; gives the sentence for the history."""
    rows = check_cuts(book.conn, cuts)
    for old in open_plans(book.conn, colouring_id):
        if [row_of(one.cut, one.cut.strips[0]) for one in old.strips] == rows:
            return ""
        if any(one.booked is not None for one in old.strips):
            raise Conflict(
                "part of the plan kept for this colouring is cut already; nothing was changed",
                do="log the rest of it, or let it go, before another plan is kept",
            )
        _remove(book, old)
    plan_id = book.insert("plan", {"colouring": colouring_id})
    for row in rows:
        book.insert("strip", {"plan": plan_id, **row, "booked": None})
    name, number = whose(book.conn, colouring_id)
    return f"Kept the plan of cuts for {name}, colouring {number}"


def colouring_of(conn: Connection, plan_id: int) -> int:
    """The colouring that a plan belongs to."""
    found: int = conn.execute(select(plan.c.colouring).where(plan.c.id == plan_id)).scalar_one()
    return found


def whose(conn: Connection, colouring_id: int) -> tuple[str, int]:
    """The star's name and the number of a colouring."""
    row = conn.execute(
        select(star.c.name, colouring.c.number).join_from(colouring, star).where(colouring.c.id == colouring_id)
    ).one()
    return row.name, row.number


def _rows(cut: PieceCut) -> list[dict[str, Any]]:
    return [row_of(cut, one) for one in cut.strips]


def row_of(cut: PieceCut, one: CutStrip) -> dict[str, Any]:
    """One strip of a cut as its row, but for its plan."""
    runs = json.dumps([[run.set, run.segments] for run in one.runs])
    return {
        "piece": cut.piece, "rev": cut.rev, "piece_length": cut.piece_length, "piece_width": cut.piece_width,
        "way": str(cut.way), "trim_length": cut.trim_length, "trim_width": cut.trim_width, "x": one.x, "y": one.y,
        "length": one.length, "width": one.width, "runs": runs,
    }  # fmt: skip


def _check_piece(conn: Connection, cut: PieceCut) -> None:
    row = conn.execute(select(piece).where(piece.c.id == cut.piece)).first()
    seen = (cut.fabric_id, cut.rev, cut.piece_length, cut.piece_width)
    if row is None or (row.fabric, row.rev, row.length, row.width) != seen:
        raise changed_since(conn, cut.piece)
    side, trim = (cut.piece_length, cut.trim_length) if cut.way is Way.ACROSS else (cut.piece_width, cut.trim_width)
    if side - trim - sum(one.width for one in cut.strips) < -len(cut.strips):  # a strip's width is whole ticks
        raise UsageFault(
            f"these strips do not fit on piece {cut.piece} of {cut.fabric}", cut.fabric, "make the plan again"
        )


def let_go(book: Book, colouring_id: int, *, begun: bool = True) -> int:
    """Drop the strips of a colouring that are not cut yet; says how many. What was cut stays on record.

    begun -- plans that are cut in part, too.
    """
    dropped = 0
    for kept in open_plans(book.conn, colouring_id):
        waiting = [one for one in kept.strips if one.booked is None]
        if not begun and len(waiting) < len(kept.strips):
            continue
        for one in waiting:
            book.delete("strip", one.id)
        if len(waiting) == len(kept.strips):
            _drop_plan(book, kept.id)
        dropped += len(waiting)
    return dropped


def let_go_text(book: Book, colouring_id: int) -> str:
    """`let_go`, with the sentence for the history."""
    dropped = let_go(book, colouring_id)
    name, number = whose(book.conn, colouring_id)
    return f"Let go {counted(dropped, 'strip')} planned for {name}, colouring {number}"


def remove_all(book: Book, colouring_id: int) -> None:
    """Drop every plan of a colouring, cut or not."""
    for kept in _plans(book.conn, _STRIPS.where(plan.c.colouring == colouring_id)):
        _remove(book, kept)


def _remove(book: Book, kept: StoredPlan) -> None:
    for one in kept.strips:
        book.delete("strip", one.id)
    _drop_plan(book, kept.id)


def _drop_plan(book: Book, plan_id: int) -> None:
    for row_id in book.conn.scalars(select(spoiled.c.id).where(spoiled.c.plan == plan_id)).all():
        book.delete("spoiled", row_id)
    book.delete("plan", plan_id)
