"""The tables of a stash file, as SQLAlchemy Core.

Ids are integers; the ledger remembers each that was given, so none is given twice. Sizes are whole ticks, fractions
and times are text, so that no float stands in a size and another database engine reads the same. Two columns may be
NULL, each a reference to an entry that need not be there: `op.undo_of` and `strip.booked`. A missing before or after
of a change is the JSON text `null`. Pictures are bytes, and the only ones: the ledger speaks of them by their ids.
"""

from __future__ import annotations

from functools import partial

from sqlalchemy import BigInteger, Column, Index, Integer, MetaData, UniqueConstraint

from stash.inventory.columns import NAMES, check, data, real, row_id, strict, text, to, whole, yes_no
from stash.lengths import LONGEST_TICKS

MOST_PICTURE = 4_000_000  # bytes
MOST_THUMBNAIL = 200_000

metadata = MetaData(naming_convention=NAMES)
_strict = partial(strict, metadata)

_KINDS = "kind IN ('yardage', 'fat quarter', 'fat eighth', 'square', 'strips', 'scrap')"
_STATES = (
    f"(state = 'here' AND length BETWEEN 1 AND {LONGEST_TICKS} AND width BETWEEN 1 AND {LONGEST_TICKS})"
    " OR (state IN ('used up', 'withdrawn') AND length = 0 AND width = 0)"
)

# --- the ledger: what happened, in the order of the ids; append-only by trigger

op = _strict(
    "op",
    row_id(),
    text("uid"),
    text("kind"),
    text("at"),
    text("note"),
    to("undo_of", "op.id", nullable=True),
    UniqueConstraint("uid", name="uid"),
    UniqueConstraint("undo_of", name="undo_of"),
    check("length(uid) BETWEEN 1 AND 200", "uid"),
    check("length(kind) BETWEEN 1 AND 40", "kind"),
    check("at LIKE '____-__-__T__:__:__Z'", "at"),
    check("undo_of < id", "undo_of"),
)

# One state of one piece. `taken` is the area before less the area after (square ticks; negative when cloth came
# in), so that the lines of a piece always add up to what is left of it.
line = _strict(
    "line",
    row_id(),
    to("op", "op.id"),
    to("piece", "piece.id"),
    whole("rev"),
    text("kind"),
    whole("length"),
    whole("width"),
    text("state"),
    *yes_no("cut_before"),
    *yes_no("estimated"),
    Column("taken", BigInteger().with_variant(Integer, "sqlite"), nullable=False),
    UniqueConstraint("piece", "rev", name="piece_rev"),
    check("rev >= 1", "rev"),
    check(_KINDS, "kind"),
    check(_STATES, "state"),
    Index(None, "op"),
)

# One change of one row of any other table: the fields before and after as JSON, `null` where there was no row.
change = _strict(
    "change",
    row_id(),
    to("op", "op.id"),
    text("table_name"),
    whole("row_id"),
    text("before"),
    text("after"),
    check("before <> after", "differs"),
    Index(None, "op"),
    Index("ix_change_row", "table_name", "row_id"),
)

# --- the stash

fabric = _strict(
    "fabric",
    row_id(),
    text("name"),
    text("name_key"),
    *yes_no("directional"),
    *yes_no("washed"),
    text("place"),
    text("note"),
    text("price"),
    text("photo"),
    *yes_no("archived"),
    *yes_no("withdrawn"),  # its first entry was undone: kept for the ledger, never shown
    check("length(name) BETWEEN 1 AND 200", "name"),
    check("length(name_key) >= 1", "name_key"),
)
# Naming another engine's option here would import its dialect at every start; the revisions name it.
Index("uq_fabric_name_key", fabric.c.name_key, unique=True, sqlite_where=fabric.c.withdrawn == 0)

# A piece's size is a cache of its newest line; `rev` is the number of its lines.
piece = _strict(
    "piece",
    row_id(),
    to("fabric", "fabric.id"),
    text("kind"),
    whole("length"),
    whole("width"),
    text("state"),
    *yes_no("cut_before"),
    *yes_no("estimated"),
    whole("rev"),
    check("rev >= 1", "rev"),
    check(_KINDS, "kind"),
    check(_STATES, "state"),
    Index(None, "fabric"),
)


def _fabric_key() -> Column[int]:
    return to("id", "fabric.id", primary_key=True)


# Measured or typed; one row a fabric, under the fabric's id.
colour = _strict(
    "colour",
    _fabric_key(),
    real("lightness"),
    real("a"),
    real("b"),
    text("source"),
    check("source IN ('measured', 'relative', 'typed')", "source"),
    check("lightness BETWEEN 0 AND 100", "lightness"),
    check("a BETWEEN -200 AND 200 AND b BETWEEN -200 AND 200", "a_b"),
)

# The value set by eye, kept apart from the measured one.
eye = _strict(
    "eye",
    _fabric_key(),
    real("lightness"),
    check("lightness BETWEEN 0 AND 100", "lightness"),
)

# A photograph of cloth as it is kept, known by the SHA-256 of its bytes. Never changed, and outside the ledger.
picture = _strict(
    "picture",
    row_id(),
    text("hash"),
    data("data"),
    UniqueConstraint("hash", name="hash"),
    check("length(hash) = 64", "hash"),
    check(f"length(data) BETWEEN 1 AND {MOST_PICTURE}", "data"),
)

# Apart from the pictures, so that a list of many reads small rows only.
thumbnail = _strict(
    "thumbnail",
    to("id", "picture.id", primary_key=True),
    data("data"),
    check(f"length(data) BETWEEN 1 AND {MOST_THUMBNAIL}", "data"),
)

# What the photograph of a fabric said; one row a fabric, under the fabric's id.
swatch = _strict(
    "swatch",
    _fabric_key(),
    to("picture", "picture.id"),
    text("file_hash"),  # SHA-256 of the file as it was photographed
    text("photo"),  # its name
    text("box"),  # "x y width height"
    text("reference"),
    real("lightness"),
    real("a"),
    real("b"),
    real("value_low"),
    real("value_high"),
    real("variety"),
    text("palette"),  # JSON: [[L, a, b, share], ...]
    text("notes"),  # JSON: [sentence, ...]
    check("length(file_hash) = 64", "file_hash"),
    check("reference IN ('paper', 'white', 'grey', 'none')", "reference"),
    check("lightness BETWEEN 0 AND 100", "lightness"),
    check("a BETWEEN -200 AND 200 AND b BETWEEN -200 AND 200", "a_b"),
    check("value_low >= 0 AND value_low <= value_high AND value_high <= 100", "value"),
    check("variety >= 0", "variety"),
    Index(None, "picture"),
)

# --- stars, their colourings and the plans of cuts. Lengths on paper are fractions of inches as text.

star = _strict(
    "star",
    row_id(),
    text("name"),
    text("name_key"),
    whole("grid"),
    text("row_letters"),
    text("strip"),
    text("width"),
    text("stagger"),  # '' is the exact one
    text("seam"),
    *yes_no("small_runs"),
    text("borders"),  # separated by spaces
    text("bed"),
    text("bed_drop"),  # '' is none
    text("units"),
    text("binding_width"),
    text("backing_width"),
    UniqueConstraint("name_key", name="name_key"),
    check("length(name) BETWEEN 1 AND 200", "name"),
    check("grid BETWEEN 2 AND 13", "grid"),
    check("length(row_letters) = 2 * grid - 1", "row_letters"),
    check("units IN ('in', 'cm')", "units"),
)

colouring = _strict(
    "colouring",
    row_id(),
    to("star", "star.id"),
    whole("number"),
    UniqueConstraint("star", "number", name="star_number"),
    check("number >= 1", "number"),
)

# Which fabric stands at a letter, in the letter's order of fabrics (look-alikes), or makes another part of the quilt.
letter = _strict(
    "letter",
    row_id(),
    to("colouring", "colouring.id"),
    text("letter"),
    whole("place"),
    to("fabric", "fabric.id"),
    UniqueConstraint("colouring", "letter", "place", name="colouring_letter_place"),
    check("place BETWEEN 1 AND 2", "place"),
    check("letter IN ('ground', 'binding', 'backing') OR length(letter) = 1", "letter"),
    Index(None, "fabric"),
)

plan = _strict("plan", row_id(), to("colouring", "colouring.id"), Index(None, "colouring"))

# One strip of a plan, with the piece as the plan saw it (ticks).
strip = _strict(
    "strip",
    row_id(),
    to("plan", "plan.id"),
    to("piece", "piece.id"),
    whole("rev"),
    whole("piece_length"),
    whole("piece_width"),
    text("way"),
    whole("trim_length"),
    whole("trim_width"),
    whole("x"),
    whole("y"),
    whole("length"),
    whole("width"),
    text("runs"),  # JSON: [[set, segments], ...]
    to("booked", "op.id", nullable=True),
    check("way IN ('across', 'along')", "way"),
    check("length > 0 AND width > 0 AND piece_length > 0 AND piece_width > 0", "size"),
    check("x >= 0 AND y >= 0 AND trim_length >= 0 AND trim_width >= 0", "place"),
    Index(None, "plan"),
    Index(None, "piece"),
)

# Segments of a strip set that were spoiled and cut again from what the set has to spare.
spoiled = _strict(
    "spoiled",
    row_id(),
    to("plan", "plan.id"),
    whole("set_number"),
    whole("segments"),
    UniqueConstraint("plan", "set_number", name="plan_set_number"),
    check("set_number BETWEEN 1 AND 13", "set_number"),
    check("segments >= 1", "segments"),
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
    "spoiled": (("plan", "plan"),),
}
