"""Fabrics and their pieces: reading them, and what may happen to them. Each change is part of one entry."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from operator import itemgetter
from typing import Any

from sqlalchemy import Connection, Select, select

from stash.errors import Fault, NotFound, UsageFault
from stash.inventory.checks import (
    asked_key,
    checked_colour,
    checked_name,
    checked_pieces,
    checked_text,
    checked_value,
    pieces_text,
)
from stash.inventory.ledger import Book, State
from stash.inventory.tables import change, colour, eye, fabric, piece
from stash.model import Colour, Fabric, Kind, NewFabric, NewPiece, Piece
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


def load(conn: Connection, *, archived: bool) -> list[Fabric]:
    """All fabrics in the order they came in, with the pieces that are still there, oldest first."""
    return _built(conn.execute(_FABRICS if archived else _FABRICS.where(fabric.c.archived == 0)))


def keyed(conn: Connection) -> list[tuple[str, Fabric]]:
    """All fabrics, archived ones too, each with the key of its name."""
    return [(name_key(one.name), one) for one in load(conn, archived=True)]


def by_id(conn: Connection, fabric_id: int) -> Fabric:
    found = _built(conn.execute(_FABRICS.where(fabric.c.id == fabric_id)))
    if not found:
        raise NotFound(f"there is no fabric {fabric_id}", do="look at the stash again")
    return found[0]


def added_by(conn: Connection, op_id: int) -> Fabric:
    """The fabric that an entry added. Raises NotFound where that was undone since."""
    came = (change.c.table_name == "fabric") & (change.c.before == "null")
    return by_id(conn, conn.scalar(select(change.c.row_id).where(change.c.op == op_id, came)) or 0)


def by_name(conn: Connection, name: str) -> Fabric:
    """The fabric of that name, archived or not. Raises NotFound that asks "did you mean"."""
    found = _built(conn.execute(_FABRICS.where(fabric.c.name_key == asked_key(name))))
    if not found:
        known = conn.scalars(select(fabric.c.name).where(fabric.c.withdrawn == 0).order_by(fabric.c.id))
        raise not_found("fabric", name, known)
    return found[0]


def _built(rows: Iterable[Any]) -> list[Fabric]:
    """Fabrics from the joined rows: one a piece, or one with an empty piece. Read by place: the list is long."""
    return [_fabric(list(group)) for _, group in groupby(rows, key=itemgetter(0))]


def _fabric(rows: list[Any]) -> Fabric:
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
        price, photo, bool(archived),
    )  # fmt: skip


def _piece(cells: tuple[Any, ...]) -> Piece:
    piece_id, kind, length, width, _, rev, cut_before, estimated = cells
    return Piece(piece_id, _KINDS[kind], length, width, rev, bool(cut_before), bool(estimated))


def refuse_taken_name(conn: Connection, name: str, but: int | None = None) -> None:
    taken = conn.execute(
        select(fabric.c.id, fabric.c.name, fabric.c.archived)
        .where(fabric.c.name_key == asked_key(name), fabric.c.withdrawn == 0)
    ).first()  # fmt: skip
    if taken is not None and taken.id != but:
        away = " (archived)" if taken.archived else ""
        raise Fault(
            f'there is a fabric called "{taken.name}" already{away}; nothing was changed',
            taken.name,
            "edit it, or record what was bought of it",
        )


def add(book: Book, new: NewFabric, archived: bool = False, value_by_eye: float | None = None) -> int:
    """Record a fabric whose name is not taken; gives its id."""
    fabric_id = book.insert("fabric", fabric_values(new) | {"archived": int(archived)})
    if value_by_eye is not None:
        book.insert("eye", {"lightness": checked_value(value_by_eye)}, fabric_id)
    if new.colour is not None:
        book.insert("colour", colour_values(new.colour), fabric_id)
    for one in checked_pieces(new.pieces):
        book.new_piece(fabric_id, State.new(one))
    return fabric_id


def fabric_values(new: NewFabric) -> dict[str, Any]:
    name = checked_name(new.name)
    return {
        "name": name, "name_key": name_key(name), "directional": int(new.directional), "washed": int(new.washed),
        **{field: checked_text(field, getattr(new, field)) for field in TEXTS}, "archived": 0, "withdrawn": 0,
    }  # fmt: skip


def colour_values(given: Colour) -> dict[str, Any]:
    good = checked_colour(given)
    return {"lightness": good.L, "a": good.a, "b": good.b, "source": good.source}


def set_facts(book: Book, fabric_id: int, fields: dict[str, Any]) -> str:
    """Set what is known of a fabric, its colour and value by eye too; gives the sentence for the history."""
    own = dict(fields)
    colours = {name: own.pop(name) for name in ("colour", "value_by_eye") if name in own}
    said = [edit(book, fabric_id, own)] if own or not colours else []
    if "colour" in colours:
        said.append(set_colour(book, fabric_id, colours["colour"]))
    if "value_by_eye" in colours:
        said.append(set_value(book, fabric_id, colours["value_by_eye"]))
    return "; ".join(said)


def edit(book: Book, fabric_id: int, fields: dict[str, Any]) -> str:
    """Set fields of a fabric by name; gives the sentence for the history."""
    now = by_id(book.conn, fabric_id)
    values: dict[str, Any] = {}
    for field, value in fields.items():
        if field == "name":
            name = checked_name(value)
            refuse_taken_name(book.conn, name, but=fabric_id)
            values |= {"name": name, "name_key": name_key(name)}
        elif field in YES_NO:
            values[field] = int(bool(value))
        elif field in TEXTS:
            values[field] = checked_text(field, value)
        else:
            raise UsageFault(f"a fabric has no {field}", do=f"use {', '.join(('name', *YES_NO, *TEXTS))}")
    book.update("fabric", fabric_id, values)
    if "name" in values and values["name"] != now.name:
        return f'Renamed "{now.name}" to "{values["name"]}"'
    return f"Changed the {' and '.join(fields)} of {now.name}"


def set_colour(book: Book, fabric_id: int, given: Colour | None) -> str:
    now = by_id(book.conn, fabric_id)
    if given is None:
        book.delete("colour", fabric_id)
        return f"Removed the colour of {now.name}"
    book.put("colour", fabric_id, colour_values(given))
    return f"Set the colour of {now.name} to L {round(given.L)}, a {round(given.a)}, b {round(given.b)}"


def set_value(book: Book, fabric_id: int, lightness: float | None) -> str:
    now = by_id(book.conn, fabric_id)
    if lightness is None:
        book.delete("eye", fabric_id)
        return f"Took back the value set by eye for {now.name}"
    book.put("eye", fabric_id, {"lightness": checked_value(lightness)})
    return f"Set the value of {now.name} by eye to {round(lightness)}"


def archive(book: Book, fabric_id: int, archived: bool) -> str:
    now = by_id(book.conn, fabric_id)
    book.update("fabric", fabric_id, {"archived": int(archived)})
    return f"Archived {now.name}" if archived else f"Took {now.name} back from the archive"


def bought(book: Book, fabric_id: int, pieces: Sequence[NewPiece]) -> str:
    """More of a fabric comes in."""
    now = by_id(book.conn, fabric_id)
    if not pieces:
        raise UsageFault("nothing is said to be bought", now.name, "give a length, like 1/2 yd")
    for one in checked_pieces(pieces):
        book.new_piece(fabric_id, State.new(one))
    return f"{'Recorded' if not now.recorded else 'Bought'} {now.name}: {_new_text(pieces)}"


def _new_text(pieces: Sequence[NewPiece]) -> str:
    return pieces_text([(one.length, one.width) for one in pieces])


def added_text(new: NewFabric) -> str:
    return f"Added {checked_name(new.name)}: {_new_text(new.pieces) if new.pieces else 'not measured yet'}"
