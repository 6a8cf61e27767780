"""The tables of a stash file, as SQLAlchemy Core.

Ids are integers; the ledger remembers each that was given, so none is given twice. Sizes are whole ticks, fractions
and times are text, so that no float stands in a size and another database engine reads the same. Two columns may be
NULL, each a reference to an entry that need not be there: `op.undo_of` and `strip.booked`. A missing before or after
of a change is the JSON text `null`. Pictures are bytes, and the only ones: the ledger speaks of them by their ids.
"""

from __future__ import annotations

from sqlalchemy import (
    REAL,
    BigInteger,
    CheckConstraint,
    Column,
    Double,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)

MOST_TICKS = 32_000_000  # 100 m; an area then stays far under 2**63
MOST_PICTURE = 4_000_000  # bytes
MOST_THUMBNAIL = 200_000

_NAMES = {
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "uq": "uq_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
    "ix": "ix_%(table_name)s_%(column_0_name)s",
}
metadata = MetaData(naming_convention=_NAMES)


def _id() -> Column[int]:
    return Column("id", Integer, primary_key=True, nullable=False)


def _text(name: str) -> Column[str]:
    return Column(name, Text, nullable=False)


def _whole(name: str) -> Column[int]:
    return Column(name, Integer, nullable=False)


def _real(name: str) -> Column[float]:
    return Column(name, Double().with_variant(REAL, "sqlite"), nullable=False)


def _bytes(name: str) -> Column[bytes]:
    return Column(name, LargeBinary, nullable=False)


def _to(name: str, target: str, *, nullable: bool = False, primary_key: bool = False) -> Column[int]:
    key = ForeignKey(target, ondelete="RESTRICT", onupdate="RESTRICT")
    return Column(name, Integer, key, nullable=nullable, primary_key=primary_key)


def _check(condition: str, name: str) -> CheckConstraint:
    return CheckConstraint(condition, name=name)


def _yes_no(name: str) -> tuple[Column[int], CheckConstraint]:
    return _whole(name), _check(f"{name} IN (0, 1)", name)


_KINDS = "kind IN ('yardage', 'fat quarter', 'fat eighth', 'square', 'strips', 'scrap')"
_STATES = (
    f"(state = 'here' AND length BETWEEN 1 AND {MOST_TICKS} AND width BETWEEN 1 AND {MOST_TICKS})"
    " OR (state IN ('used up', 'withdrawn') AND length = 0 AND width = 0)"
)


_Part = Column[int] | Column[str] | Column[float] | Column[bytes] | CheckConstraint | UniqueConstraint | Index


def _strict(name: str, *parts: _Part) -> Table:
    return Table(name, metadata, *parts, sqlite_strict=True)


# --- the ledger: what happened, in the order of the ids; append-only by trigger

op = _strict(
    "op",
    _id(),
    _text("uid"),
    _text("kind"),
    _text("at"),
    _text("note"),
    _to("undo_of", "op.id", nullable=True),
    UniqueConstraint("uid", name="uid"),
    UniqueConstraint("undo_of", name="undo_of"),
    _check("length(uid) BETWEEN 1 AND 200", "uid"),
    _check("length(kind) BETWEEN 1 AND 40", "kind"),
    _check("at LIKE '____-__-__T__:__:__Z'", "at"),
    _check("undo_of < id", "undo_of"),
)

# One state of one piece. `taken` is the area before less the area after (square ticks; negative when cloth came
# in), so that the lines of a piece always add up to what is left of it.
line = _strict(
    "line",
    _id(),
    _to("op", "op.id"),
    _to("piece", "piece.id"),
    _whole("rev"),
    _text("kind"),
    _whole("length"),
    _whole("width"),
    _text("state"),
    *_yes_no("cut_before"),
    *_yes_no("estimated"),
    Column("taken", BigInteger().with_variant(Integer, "sqlite"), nullable=False),
    UniqueConstraint("piece", "rev", name="piece_rev"),
    _check("rev >= 1", "rev"),
    _check(_KINDS, "kind"),
    _check(_STATES, "state"),
    Index(None, "op"),
)

# One change of one row of any other table: the fields before and after as JSON, `null` where there was no row.
change = _strict(
    "change",
    _id(),
    _to("op", "op.id"),
    _text("table_name"),
    _whole("row_id"),
    _text("before"),
    _text("after"),
    _check("before <> after", "differs"),
    Index(None, "op"),
    Index("ix_change_row", "table_name", "row_id"),
)

# --- the stash

fabric = _strict(
    "fabric",
    _id(),
    _text("name"),
    _text("name_key"),
    *_yes_no("directional"),
    *_yes_no("washed"),
    _text("place"),
    _text("note"),
    _text("price"),
    _text("photo"),
    *_yes_no("archived"),
    *_yes_no("withdrawn"),  # its first entry was undone: kept for the ledger, never shown
    _check("length(name) BETWEEN 1 AND 200", "name"),
    _check("length(name_key) >= 1", "name_key"),
)
# Naming another engine's option here would import its dialect at every start; the revisions name it.
Index("uq_fabric_name_key", fabric.c.name_key, unique=True, sqlite_where=fabric.c.withdrawn == 0)

# A piece's size is a cache of its newest line; `rev` is the number of its lines.
piece = _strict(
    "piece",
    _id(),
    _to("fabric", "fabric.id"),
    _text("kind"),
    _whole("length"),
    _whole("width"),
    _text("state"),
    *_yes_no("cut_before"),
    *_yes_no("estimated"),
    _whole("rev"),
    _check("rev >= 1", "rev"),
    _check(_KINDS, "kind"),
    _check(_STATES, "state"),
    Index(None, "fabric"),
)


def _fabric_key() -> Column[int]:
    return _to("id", "fabric.id", primary_key=True)


# Measured or typed; one row a fabric, under the fabric's id.
colour = _strict(
    "colour",
    _fabric_key(),
    _real("lightness"),
    _real("a"),
    _real("b"),
    _text("source"),
    _check("source IN ('measured', 'relative', 'typed')", "source"),
    _check("lightness BETWEEN 0 AND 100", "lightness"),
    _check("a BETWEEN -200 AND 200 AND b BETWEEN -200 AND 200", "a_b"),
)

# The value set by eye, kept apart from the measured one.
eye = _strict(
    "eye",
    _fabric_key(),
    _real("lightness"),
    _check("lightness BETWEEN 0 AND 100", "lightness"),
)

# A photograph of cloth as it is kept, known by the SHA-256 of its bytes. Never changed, and outside the ledger.
picture = _strict(
    "picture",
    _id(),
    _text("hash"),
    _bytes("data"),
    UniqueConstraint("hash", name="hash"),
    _check("length(hash) = 64", "hash"),
    _check(f"length(data) BETWEEN 1 AND {MOST_PICTURE}", "data"),
)

# Apart from the pictures, so that a list of many reads small rows only.
thumbnail = _strict(
    "thumbnail",
    _to("id", "picture.id", primary_key=True),
    _bytes("data"),
    _check(f"length(data) BETWEEN 1 AND {MOST_THUMBNAIL}", "data"),
)

# What the photograph of a fabric said; one row a fabric, under the fabric's id.
swatch = _strict(
    "swatch",
    _fabric_key(),
    _to("picture", "picture.id"),
    _text("file_hash"),  # SHA-256 of the file as it was photographed
    _text("photo"),  # its name
    _text("box"),  # "x y width height"
    _text("reference"),
    _real("lightness"),
    _real("a"),
    _real("b"),
    _real("value_low"),
    _real("value_high"),
    _real("variety"),
    _text("palette"),  # JSON: [[L, a, b, share], ...]
    _text("notes"),  # JSON: [sentence, ...]
    _check("length(file_hash) = 64", "file_hash"),
    _check("reference IN ('paper', 'white', 'grey', 'none')", "reference"),
    _check("lightness BETWEEN 0 AND 100", "lightness"),
    _check("a BETWEEN -200 AND 200 AND b BETWEEN -200 AND 200", "a_b"),
    _check("value_low >= 0 AND value_low <= value_high AND value_high <= 100", "value"),
    _check("variety >= 0", "variety"),
    Index(None, "picture"),
)

# --- stars, their colourings and the plans of cuts. Lengths on paper are fractions of inches as text.

star = _strict(
    "star",
    _id(),
    _text("name"),
    _text("name_key"),
    _whole("grid"),
    _text("row_letters"),
    _text("strip"),
    _text("width"),
    _text("stagger"),  # '' is the exact one
    _text("seam"),
    *_yes_no("small_runs"),
    _text("borders"),  # separated by spaces
    _text("bed"),
    _text("bed_drop"),  # '' is none
    _text("units"),
    _text("binding_width"),
    _text("backing_width"),
    UniqueConstraint("name_key", name="name_key"),
    _check("length(name) BETWEEN 1 AND 200", "name"),
    _check("grid BETWEEN 2 AND 13", "grid"),
    _check("length(row_letters) = 2 * grid - 1", "row_letters"),
    _check("units IN ('in', 'cm')", "units"),
)

colouring = _strict(
    "colouring",
    _id(),
    _to("star", "star.id"),
    _whole("number"),
    UniqueConstraint("star", "number", name="star_number"),
    _check("number >= 1", "number"),
)

# Which fabric stands at a letter, in the letter's order of fabrics (look-alikes); 'ground' is the ground.
letter = _strict(
    "letter",
    _id(),
    _to("colouring", "colouring.id"),
    _text("letter"),
    _whole("place"),
    _to("fabric", "fabric.id"),
    UniqueConstraint("colouring", "letter", "place", name="colouring_letter_place"),
    _check("place BETWEEN 1 AND 2", "place"),
    _check("letter = 'ground' OR length(letter) = 1", "letter"),
    Index(None, "fabric"),
)

plan = _strict("plan", _id(), _to("colouring", "colouring.id"), Index(None, "colouring"))

# One strip of a plan, with the piece as the plan saw it (ticks).
strip = _strict(
    "strip",
    _id(),
    _to("plan", "plan.id"),
    _to("piece", "piece.id"),
    _whole("rev"),
    _whole("piece_length"),
    _whole("piece_width"),
    _text("way"),
    _whole("trim_length"),
    _whole("trim_width"),
    _whole("x"),
    _whole("y"),
    _whole("length"),
    _whole("width"),
    _text("runs"),  # JSON: [[set, segments], ...]
    _to("booked", "op.id", nullable=True),
    _check("way IN ('across', 'along')", "way"),
    _check("length > 0 AND width > 0 AND piece_length > 0 AND piece_width > 0", "size"),
    _check("x >= 0 AND y >= 0 AND trim_length >= 0 AND trim_width >= 0", "place"),
    Index(None, "plan"),
    Index(None, "piece"),
)

# Which table a row of another belongs to, of those the ledger speaks of: {table: ((column, parent table), ...)}.
PARENTS: dict[str, tuple[tuple[str, str], ...]] = {
    "fabric": (),
    "piece": (("fabric", "fabric"),),
    "colour": (("id", "fabric"),),
    "eye": (("id", "fabric"),),
    "swatch": (("id", "fabric"),),
    "star": (),
    "colouring": (("star", "star"),),
    "letter": (("colouring", "colouring"), ("fabric", "fabric")),
    "plan": (("colouring", "colouring"),),
    "strip": (("plan", "plan"), ("piece", "piece")),
}
