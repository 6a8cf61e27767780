"""What may happen to fabrics: each is part of one entry of the history, and gives its sentence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, bindparam, select

from stash.errors import Fault, UsageFault
from stash.inventory import fabrics, swatches
from stash.inventory.checks import (
    asked_key,
    checked_colour,
    checked_name,
    checked_pieces,
    checked_text,
    checked_value,
    pieces_text,
)
from stash.inventory.fabrics import TEXTS, YES_NO
from stash.inventory.ledger import Book, State
from stash.inventory.swatch_checks import checked_swatch
from stash.inventory.tables import fabric
from stash.model import Colour, NewFabric, NewPiece, NewSwatch
from stash.names import name_key

_MOST_NAMED = 3
_TAKEN = (
    select(fabric.c.id, fabric.c.name, fabric.c.archived)
    .where(fabric.c.name_key == bindparam("name_key"), fabric.c.withdrawn == 0)
)  # fmt: skip


def refuse_taken_name(conn: Connection, name: str, but: int | None = None) -> None:
    """Raise Fault where a fabric has that name already, other than the fabric `but`."""
    taken = conn.execute(_TAKEN, {"name_key": asked_key(name)}).first()
    if taken is not None and taken.id != but:
        away = " (archived)" if taken.archived else ""
        raise Fault(
            f'there is a fabric called "{taken.name}" already{away}; nothing was changed',
            taken.name,
            "edit it, or record what was bought of it",
        )


def add(book: Book, new: NewFabric, archived: bool = False, value_by_eye: float | None = None) -> int:
    """Record a fabric whose name is not taken; gives its id.

    A photograph gives it its colour, and the file's name as `photo`, where `new` says nothing else.
    """
    if new.swatch is not None:
        good = checked_swatch(new.swatch)
        new = replace(new, swatch=good, colour=new.colour or good.measured.colour, photo=new.photo or good.photo)
    fabric_id = book.insert("fabric", fabric_values(new) | {"archived": int(archived)})
    if value_by_eye is not None:
        book.insert("eye", {"lightness": checked_value(value_by_eye)}, fabric_id)
    if new.colour is not None:
        book.insert("colour", colour_values(new.colour), fabric_id)
    if new.swatch is not None:
        book.insert("swatch", swatches.row_of(book.conn, new.swatch), fabric_id)
    for one in checked_pieces(new.pieces):
        book.new_piece(fabric_id, State.new(one))
    return fabric_id


def add_new(book: Book, new: NewFabric) -> str:
    """Record a fabric; gives the sentence for the history. Raises Fault where the name is taken."""
    refuse_taken_name(book.conn, new.name)
    add(book, new)
    return _added_text(new)


def add_all(book: Book, new: Sequence[NewFabric]) -> str:
    """Record fabrics together; gives the sentence for the history. Raises Fault where a name is taken."""
    taken = set(book.conn.scalars(select(fabric.c.name_key).where(fabric.c.withdrawn == 0)))
    keys: set[str] = set()
    for one in new:
        key = name_key(checked_name(one.name))
        if key in taken:
            refuse_taken_name(book.conn, one.name)
        if key in keys:
            raise Fault(f'two of the new fabrics are called "{one.name}"; nothing was added', one.name, "rename one")
        keys.add(key)
    for one in new:
        add(book, one)
    if len(new) == 1:
        return _added_text(new[0])
    named = [checked_name(one.name) for one in new[:_MOST_NAMED]]
    more = f" and {len(new) - len(named)} more" if len(new) > len(named) else ""
    seen = sum(one.swatch is not None for one in new)
    photographed = f" ({'' if seen == len(new) else f'{seen} '}from photographs)" if seen else ""
    return f"Added {len(new)} fabrics{photographed}: {', '.join(named)}{more}"


def fabric_values(new: NewFabric) -> dict[str, Any]:
    """A new fabric as its row. Raises UsageFault for a text that may not be stored."""
    name = checked_name(new.name)
    return {
        "name": name, "name_key": name_key(name), "directional": int(new.directional), "washed": int(new.washed),
        **{field: checked_text(field, getattr(new, field)) for field in TEXTS}, "archived": 0, "withdrawn": 0,
    }  # fmt: skip


def colour_values(given: Colour) -> dict[str, Any]:
    """A colour as its row. Raises UsageFault for one that cannot be."""
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
    now = fabrics.by_id(book.conn, fabric_id)
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
    """Set the measured or typed colour; None takes it away. Gives the sentence for the history."""
    now = fabrics.by_id(book.conn, fabric_id)
    if given is None:
        book.delete("colour", fabric_id)
        return f"Removed the colour of {now.name}"
    book.put("colour", fabric_id, colour_values(given))
    return f"Set the colour of {now.name} to {_colour_text(given)}"


def set_swatch(book: Book, fabric_id: int, new: NewSwatch | None) -> str:
    """Another photograph of a fabric, with its colour and its file's name; None takes the one there is away."""
    now = fabrics.by_id(book.conn, fabric_id)
    if new is None:
        book.delete("swatch", fabric_id)
        return f"Removed the photograph of {now.name}"
    good = checked_swatch(new)
    photographed(book, fabric_id, good)
    book.update("fabric", fabric_id, {"photo": checked_text("photo", good.photo)})
    book.put("colour", fabric_id, colour_values(good.measured.colour))
    return f"Photographed {now.name}: {_colour_text(good.measured.colour)}"


def photographed(book: Book, fabric_id: int, good: NewSwatch) -> None:
    """A known fabric's swatch, checked; its colour and the name of its photograph are left alone."""
    book.put("swatch", fabric_id, swatches.row_of(book.conn, good))


def _colour_text(colour: Colour) -> str:
    return f"L {round(colour.L)}, a {round(colour.a)}, b {round(colour.b)}"


def set_value(book: Book, fabric_id: int, lightness: float | None) -> str:
    """Set the value (L*) by eye; None goes back to the measured one. Gives the sentence for the history."""
    now = fabrics.by_id(book.conn, fabric_id)
    if lightness is None:
        book.delete("eye", fabric_id)
        return f"Took back the value set by eye for {now.name}"
    book.put("eye", fabric_id, {"lightness": checked_value(lightness)})
    return f"Set the value of {now.name} by eye to {round(lightness)}"


def archive(book: Book, fabric_id: int, archived: bool) -> str:
    """Put a fabric out of sight, or bring it back; gives the sentence for the history."""
    now = fabrics.by_id(book.conn, fabric_id)
    book.update("fabric", fabric_id, {"archived": int(archived)})
    return f"Archived {now.name}" if archived else f"Took {now.name} back from the archive"


def bought(book: Book, fabric_id: int, pieces: Sequence[NewPiece]) -> str:
    """More of a fabric comes in."""
    now = fabrics.by_id(book.conn, fabric_id)
    if not pieces:
        raise UsageFault("nothing is said to be bought", now.name, "give a length, like 1/2 yd")
    for one in checked_pieces(pieces):
        book.new_piece(fabric_id, State.new(one))
    return f"{'Recorded' if not now.recorded else 'Bought'} {now.name}: {_new_text(pieces)}"


def _new_text(pieces: Sequence[NewPiece]) -> str:
    return pieces_text([(one.length, one.width) for one in pieces])


def _added_text(new: NewFabric) -> str:
    size = _new_text(new.pieces) if new.pieces else "not measured yet"
    return f"Added {checked_name(new.name)}: {size}{photo_text(new)}"


def photo_text(new: NewFabric) -> str:
    """What the sentence of a new fabric says of its photograph, with a comma before it."""
    if new.swatch is None:
        return ""
    return ", with a photograph" if new.colour is not None else ", colour from a photograph"
