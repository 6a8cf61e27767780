"""Reading fabrics and their pieces."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import groupby
from operator import itemgetter
from typing import Any

from sqlalchemy import Connection, Select, bindparam, select

from stash.errors import NotFound
from stash.inventory import swatches
from stash.inventory.checks import asked_key
from stash.inventory.tables import change, colour, eye, fabric, piece
from stash.model import Colour, Fabric, Kind, Measured, Piece
from stash.names import name_key, not_found

TEXTS = ("place", "note", "price", "photo")
YES_NO = ("directional", "washed")
_KINDS = {str(kind): kind for kind in Kind}
_OWN = 14  # the first columns below are the fabric's own, the others a piece's
_STATE = _OWN + 4

_FABRICS: Select[Any] = (
    select(
        fabric.c.id, fabric.c.name, fabric.c.directional, fabric.c.washed, fabric.c.place, fabric.c.note,
        fabric.c.price, fabric.c.photo, fabric.c.archived, colour.c.lightness, colour.c.a, colour.c.b,
        colour.c.source, eye.c.lightness.label("eye"), piece.c.id.label("piece"), piece.c.kind, piece.c.length,
        piece.c.width, piece.c.state, piece.c.rev, piece.c.cut_before, piece.c.estimated,
    )
    .select_from(
        fabric.outerjoin(colour, colour.c.id == fabric.c.id)
        .outerjoin(eye, eye.c.id == fabric.c.id)
        .outerjoin(piece, (piece.c.fabric == fabric.c.id) & (piece.c.state != "withdrawn"))
    )
    .where(fabric.c.withdrawn == 0)
    .order_by(fabric.c.id, piece.c.id)
)  # fmt: skip
_ONE = _FABRICS.where(fabric.c.id == bindparam("fabric_id"))
_CAME_BY = (
    select(change.c.row_id)
    .where(change.c.op == bindparam("op_id"), change.c.table_name == "fabric", change.c.before == "null")
    .order_by(change.c.row_id)
)


def load(conn: Connection, *, archived: bool) -> list[Fabric]:
    """All fabrics in the order they came in, with the pieces that are still there, oldest first."""
    wanted = _FABRICS if archived else _FABRICS.where(fabric.c.archived == 0)
    return _built(conn.execute(wanted), swatches.load(conn))


def keyed(conn: Connection) -> list[tuple[str, Fabric]]:
    """All fabrics, archived ones too, each with the key of its name."""
    return [(name_key(one.name), one) for one in load(conn, archived=True)]


def by_id(conn: Connection, fabric_id: int) -> Fabric:
    """The fabric of that id, archived or not. Raises NotFound."""
    found = _built(conn.execute(_ONE, {"fabric_id": fabric_id}), swatches.load(conn, fabric_id))
    if not found:
        raise NotFound(f"there is no fabric {fabric_id}", do="look at the stash again")
    return found[0]


def added_by(conn: Connection, op_id: int) -> Fabric:
    """The fabric that an entry added. Raises NotFound where that was undone since."""
    return by_id(conn, conn.scalar(_CAME_BY, {"op_id": op_id}) or 0)


def all_added_by(conn: Connection, op_id: int) -> list[Fabric]:
    """All fabrics that an entry added, in their order. Raises NotFound where that was undone since."""
    came = set(conn.scalars(_CAME_BY, {"op_id": op_id}))
    found = [one for one in load(conn, archived=True) if one.id in came]
    if len(found) < len(came):
        raise NotFound("a fabric of these is no longer in the stash", do="look at the stash again")
    return found


def by_name(conn: Connection, name: str) -> Fabric:
    """The fabric of that name, archived or not. Raises NotFound that asks "did you mean"."""
    alive = (fabric.c.name_key == asked_key(name)) & (fabric.c.withdrawn == 0)
    fabric_id = conn.scalar(select(fabric.c.id).where(alive))
    if fabric_id is None:
        known = conn.scalars(select(fabric.c.name).where(fabric.c.withdrawn == 0).order_by(fabric.c.id))
        raise not_found("fabric", name, known)
    return by_id(conn, fabric_id)


def _built(rows: Iterable[Any], said: Mapping[int, Measured | None]) -> list[Fabric]:
    """Fabrics from the joined rows: one a piece, or one with an empty piece. Read by place: the list is long."""
    return [_fabric(list(group), said.get(fabric_id)) for fabric_id, group in groupby(rows, key=itemgetter(0))]


def _fabric(rows: list[Any], swatch: Measured | None) -> Fabric:
    (
        fabric_id, name, directional, washed, place, note, price, photo, archived, lightness, a, b, source, by_eye,
    ) = rows[0][:_OWN]  # fmt: skip
    measured = None if lightness is None else Colour(lightness, a, b, source)
    seen = measured
    if by_eye is not None:
        seen = Colour(by_eye, measured.a if measured else 0.0, measured.b if measured else 0.0, "by eye")
    recorded = rows[0][_OWN] is not None
    pieces = tuple([_piece(row[_OWN:]) for row in rows if row[_STATE] == "here"])
    return Fabric(
        fabric_id, name, pieces, seen, measured, by_eye, bool(directional), bool(washed), recorded, place, note,
        price, photo, bool(archived), swatch,
    )  # fmt: skip


def _piece(cells: tuple[Any, ...]) -> Piece:
    piece_id, kind, length, width, _, rev, cut_before, estimated = cells
    return Piece(piece_id, _KINDS[kind], length, width, rev, bool(cut_before), bool(estimated))
