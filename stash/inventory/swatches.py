"""Photographs of fabrics in the stash: the pictures, and what they said.

A picture is known by the SHA-256 of its bytes and never changes, so the ledger need not hold it: an entry names the
picture's id only, and what an undo brings back finds its picture still there.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import chain
from math import fsum, isfinite
from typing import Any

from sqlalchemy import Connection, Select, bindparam, insert, select

from stash.inventory.ledger import Row
from stash.inventory.tables import fabric, picture, swatch, thumbnail
from stash.model import Colour, Measured, NewSwatch, PaletteColour, Reference

_REFERENCES = {str(one): (one, one.source) for one in Reference}
_AT_ONCE = 500  # ids in one question

_MEASURED: Select[Any] = select(
    swatch.c.id, swatch.c.lightness, swatch.c.a, swatch.c.b, swatch.c.value_low, swatch.c.value_high,
    swatch.c.variety, swatch.c.palette, swatch.c.box, swatch.c.reference, swatch.c.notes,
)  # fmt: skip
_ONE_MEASURED = _MEASURED.where(swatch.c.id == bindparam("fabric_id"))


# --- what goes in


def row_of(conn: Connection, good: NewSwatch) -> Row:
    """The row of a swatch that was checked. Its picture goes in at once where the stash has not got it."""
    said = good.measured
    return {
        "picture": _keep(conn, good), "file_hash": good.file_hash, "photo": good.photo,
        "box": " ".join(map(str, said.box)), "reference": str(said.reference),
        "lightness": said.colour.L, "a": said.colour.a, "b": said.colour.b,
        "value_low": said.value_low, "value_high": said.value_high, "variety": said.variety,
        "palette": _compact([[one.colour.L, one.colour.a, one.colour.b, one.share] for one in said.palette]),
        "notes": _compact(said.notes),
    }  # fmt: skip


def _keep(conn: Connection, new: NewSwatch) -> int:
    """The id of a picture, which goes in with its thumbnail where the stash has not got it."""
    name = hashlib.sha256(new.picture).hexdigest()
    known: int | None = conn.scalar(select(picture.c.id).where(picture.c.hash == name))
    if known is not None:
        return known
    made = conn.execute(insert(picture), {"hash": name, "data": new.picture}).inserted_primary_key
    assert made is not None
    conn.execute(insert(thumbnail), {"id": made[0], "data": new.thumbnail})
    return int(made[0])


def _compact(given: Sequence[Any]) -> str:
    return json.dumps(given, ensure_ascii=False, separators=(",", ":"))


# --- what comes out


def load(conn: Connection, fabric_id: int | None = None) -> dict[int, Measured | None]:
    """What photographs said, by fabric id: of all fabrics, or of one. None where that cannot be read any more."""
    rows = conn.execute(_MEASURED) if fabric_id is None else conn.execute(_ONE_MEASURED, {"fabric_id": fabric_id})
    return {row[0]: _measured(*row[1:]) for row in rows}


@lru_cache(maxsize=20_000)
def _measured(
    lightness: float, a: float, b: float, low: float, high: float, variety: float, palette: str, box: str,
    reference: str, notes: str,
) -> Measured | None:
    """Records are frozen, so one serves every later reading: a list is read anew after each save."""
    try:
        seen_with, source = _REFERENCES[reference]
        main = json.loads(palette)
        if not (main and isfinite(fsum(chain.from_iterable(main)))):  # a TypeError where one is no number
            return None
        colours = tuple([PaletteColour(Colour(L, a, b, source), share) for L, a, b, share in main])
        x, y, width, height = map(int, box.split())
        said = tuple(map(str, json.loads(notes)))
    except (ValueError, TypeError, LookupError, ArithmeticError, RecursionError):
        return None  # another program's hand: the fabric is worth showing all the same
    colour = Colour(lightness, a, b, source)
    return Measured(colour, low, high, variety, colours, (x, y, width, height), seen_with, said)


def picture_of(conn: Connection, fabric_id: int) -> bytes | None:
    """The picture of a fabric's swatch, JPEG; None where it has none."""
    query = select(picture.c.data).join(swatch, swatch.c.picture == picture.c.id)
    return conn.scalar(query.where(swatch.c.id == fabric_id))


def thumbnails_of(conn: Connection, fabric_ids: Iterable[int]) -> dict[int, bytes]:
    """Thumbnails, JPEG, by fabric id; fabrics that have none are left out."""
    wanted = list(dict.fromkeys(fabric_ids))
    query = select(swatch.c.id, thumbnail.c.data).join(thumbnail, thumbnail.c.id == swatch.c.picture)
    found: dict[int, bytes] = {}
    for start in range(0, len(wanted), _AT_ONCE):
        part = wanted[start : start + _AT_ONCE]
        found |= {row[0]: row[1] for row in conn.execute(query.where(swatch.c.id.in_(part)))}
    return found


def photo_hashes(conn: Connection) -> dict[str, str]:
    """SHA-256 of each file that a swatch was taken from, and the name of the first fabric that has one from it."""
    query = (
        select(swatch.c.file_hash, fabric.c.name)
        .join(fabric, fabric.c.id == swatch.c.id)
        .where(fabric.c.withdrawn == 0)
        .order_by(swatch.c.id.desc())
    )
    return {row[0]: row[1] for row in conn.execute(query)}
