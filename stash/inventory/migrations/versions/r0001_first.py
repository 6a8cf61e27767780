"""The first form of a stash: ledger, fabrics, pieces, colours, stars, colourings and plans of cuts."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_REAL: sa.Double[float] = sa.Double().with_variant(sa.REAL, "sqlite")
_AREA = sa.BigInteger().with_variant(sa.Integer, "sqlite")
_PIECE_STATES = (
    "(state = 'here' AND length BETWEEN 1 AND 32000000 AND width BETWEEN 1 AND 32000000)"
    " OR (state IN ('used up', 'withdrawn') AND length = 0 AND width = 0)"
)
_PIECE_KINDS = "kind IN ('yardage', 'fat quarter', 'fat eighth', 'square', 'strips', 'scrap')"


def _belongs(column: str, to: str, name: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [to], name=name, ondelete="RESTRICT", onupdate="RESTRICT")


def upgrade() -> None:
    _ledger()
    _stash()
    _stars()


def _ledger() -> None:
    op.create_table(
        "op",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("uid", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("undo_of", sa.Integer, nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_op"),
        sa.UniqueConstraint("uid", name="uq_op_uid"),
        sa.UniqueConstraint("undo_of", name="uq_op_undo_of"),
        sa.CheckConstraint("length(uid) BETWEEN 1 AND 200", name="ck_op_uid"),
        sa.CheckConstraint("length(kind) BETWEEN 1 AND 40", name="ck_op_kind"),
        sa.CheckConstraint("at LIKE '____-__-__T__:__:__Z'", name="ck_op_at"),
        sa.CheckConstraint("undo_of < id", name="ck_op_undo_of"),
        _belongs("undo_of", "op.id", "fk_op_undo_of"),
        sqlite_strict=True,
    )


def _stash() -> None:
    op.create_table(
        "fabric",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("name_key", sa.Text, nullable=False),
        sa.Column("directional", sa.Integer, nullable=False),
        sa.Column("washed", sa.Integer, nullable=False),
        sa.Column("place", sa.Text, nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("price", sa.Text, nullable=False),
        sa.Column("photo", sa.Text, nullable=False),
        sa.Column("archived", sa.Integer, nullable=False),
        sa.Column("withdrawn", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_fabric"),
        sa.CheckConstraint("directional IN (0, 1)", name="ck_fabric_directional"),
        sa.CheckConstraint("washed IN (0, 1)", name="ck_fabric_washed"),
        sa.CheckConstraint("archived IN (0, 1)", name="ck_fabric_archived"),
        sa.CheckConstraint("withdrawn IN (0, 1)", name="ck_fabric_withdrawn"),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 200", name="ck_fabric_name"),
        sa.CheckConstraint("length(name_key) >= 1", name="ck_fabric_name_key"),
        sqlite_strict=True,
    )
    alive = sa.text("withdrawn = 0")
    op.create_index(
        "uq_fabric_name_key", "fabric", ["name_key"], unique=True, sqlite_where=alive, postgresql_where=alive
    )
    op.create_table(
        "piece",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("fabric", sa.Integer, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("length", sa.Integer, nullable=False),
        sa.Column("width", sa.Integer, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
        sa.Column("cut_before", sa.Integer, nullable=False),
        sa.Column("estimated", sa.Integer, nullable=False),
        sa.Column("rev", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_piece"),
        sa.CheckConstraint("cut_before IN (0, 1)", name="ck_piece_cut_before"),
        sa.CheckConstraint("estimated IN (0, 1)", name="ck_piece_estimated"),
        sa.CheckConstraint("rev >= 1", name="ck_piece_rev"),
        sa.CheckConstraint(_PIECE_KINDS, name="ck_piece_kind"),
        sa.CheckConstraint(_PIECE_STATES, name="ck_piece_state"),
        _belongs("fabric", "fabric.id", "fk_piece_fabric"),
        sqlite_strict=True,
    )
    op.create_index("ix_piece_fabric", "piece", ["fabric"])
    op.create_table(
        "line",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("op", sa.Integer, nullable=False),
        sa.Column("piece", sa.Integer, nullable=False),
        sa.Column("rev", sa.Integer, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("length", sa.Integer, nullable=False),
        sa.Column("width", sa.Integer, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
        sa.Column("cut_before", sa.Integer, nullable=False),
        sa.Column("estimated", sa.Integer, nullable=False),
        sa.Column("taken", _AREA, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_line"),
        sa.CheckConstraint("cut_before IN (0, 1)", name="ck_line_cut_before"),
        sa.CheckConstraint("estimated IN (0, 1)", name="ck_line_estimated"),
        sa.UniqueConstraint("piece", "rev", name="uq_line_piece_rev"),
        sa.CheckConstraint("rev >= 1", name="ck_line_rev"),
        sa.CheckConstraint(_PIECE_KINDS, name="ck_line_kind"),
        sa.CheckConstraint(_PIECE_STATES, name="ck_line_state"),
        _belongs("op", "op.id", "fk_line_op"),
        _belongs("piece", "piece.id", "fk_line_piece"),
        sqlite_strict=True,
    )
    op.create_index("ix_line_op", "line", ["op"])
    op.create_table(
        "change",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("op", sa.Integer, nullable=False),
        sa.Column("table_name", sa.Text, nullable=False),
        sa.Column("row_id", sa.Integer, nullable=False),
        sa.Column("before", sa.Text, nullable=False),
        sa.Column("after", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_change"),
        sa.CheckConstraint("before <> after", name="ck_change_differs"),
        _belongs("op", "op.id", "fk_change_op"),
        sqlite_strict=True,
    )
    op.create_index("ix_change_op", "change", ["op"])
    op.create_index("ix_change_row", "change", ["table_name", "row_id"])
    op.create_table(
        "colour",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("lightness", _REAL, nullable=False),
        sa.Column("a", _REAL, nullable=False),
        sa.Column("b", _REAL, nullable=False),
        sa.Column("source", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_colour"),
        sa.CheckConstraint("source IN ('measured', 'typed')", name="ck_colour_source"),
        sa.CheckConstraint("lightness BETWEEN 0 AND 100", name="ck_colour_lightness"),
        sa.CheckConstraint("a BETWEEN -200 AND 200 AND b BETWEEN -200 AND 200", name="ck_colour_a_b"),
        _belongs("id", "fabric.id", "fk_colour_id"),
        sqlite_strict=True,
    )
    op.create_table(
        "eye",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("lightness", _REAL, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_eye"),
        sa.CheckConstraint("lightness BETWEEN 0 AND 100", name="ck_eye_lightness"),
        _belongs("id", "fabric.id", "fk_eye_id"),
        sqlite_strict=True,
    )


def _stars() -> None:
    op.create_table(
        "star",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("name_key", sa.Text, nullable=False),
        sa.Column("grid", sa.Integer, nullable=False),
        sa.Column("row_letters", sa.Text, nullable=False),
        sa.Column("strip", sa.Text, nullable=False),
        sa.Column("width", sa.Text, nullable=False),
        sa.Column("stagger", sa.Text, nullable=False),
        sa.Column("seam", sa.Text, nullable=False),
        sa.Column("small_runs", sa.Integer, nullable=False),
        sa.Column("borders", sa.Text, nullable=False),
        sa.Column("bed", sa.Text, nullable=False),
        sa.Column("bed_drop", sa.Text, nullable=False),
        sa.Column("units", sa.Text, nullable=False),
        sa.Column("binding_width", sa.Text, nullable=False),
        sa.Column("backing_width", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_star"),
        sa.CheckConstraint("small_runs IN (0, 1)", name="ck_star_small_runs"),
        sa.UniqueConstraint("name_key", name="uq_star_name_key"),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 200", name="ck_star_name"),
        sa.CheckConstraint("grid BETWEEN 2 AND 13", name="ck_star_grid"),
        sa.CheckConstraint("length(row_letters) = 2 * grid - 1", name="ck_star_row_letters"),
        sa.CheckConstraint("units IN ('in', 'cm')", name="ck_star_units"),
        sqlite_strict=True,
    )
    op.create_table(
        "colouring",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("star", sa.Integer, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_colouring"),
        sa.UniqueConstraint("star", "number", name="uq_colouring_star_number"),
        sa.CheckConstraint("number >= 1", name="ck_colouring_number"),
        _belongs("star", "star.id", "fk_colouring_star"),
        sqlite_strict=True,
    )
    op.create_table(
        "letter",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("colouring", sa.Integer, nullable=False),
        sa.Column("letter", sa.Text, nullable=False),
        sa.Column("place", sa.Integer, nullable=False),
        sa.Column("fabric", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_letter"),
        sa.UniqueConstraint("colouring", "letter", "place", name="uq_letter_colouring_letter_place"),
        sa.CheckConstraint("place BETWEEN 1 AND 2", name="ck_letter_place"),
        sa.CheckConstraint("letter = 'ground' OR length(letter) = 1", name="ck_letter_letter"),
        _belongs("colouring", "colouring.id", "fk_letter_colouring"),
        _belongs("fabric", "fabric.id", "fk_letter_fabric"),
        sqlite_strict=True,
    )
    op.create_index("ix_letter_fabric", "letter", ["fabric"])
    op.create_table(
        "plan",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("colouring", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_plan"),
        _belongs("colouring", "colouring.id", "fk_plan_colouring"),
        sqlite_strict=True,
    )
    op.create_index("ix_plan_colouring", "plan", ["colouring"])
    op.create_table(
        "strip",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("plan", sa.Integer, nullable=False),
        sa.Column("piece", sa.Integer, nullable=False),
        sa.Column("rev", sa.Integer, nullable=False),
        sa.Column("piece_length", sa.Integer, nullable=False),
        sa.Column("piece_width", sa.Integer, nullable=False),
        sa.Column("way", sa.Text, nullable=False),
        sa.Column("trim_length", sa.Integer, nullable=False),
        sa.Column("trim_width", sa.Integer, nullable=False),
        sa.Column("x", sa.Integer, nullable=False),
        sa.Column("y", sa.Integer, nullable=False),
        sa.Column("length", sa.Integer, nullable=False),
        sa.Column("width", sa.Integer, nullable=False),
        sa.Column("runs", sa.Text, nullable=False),
        sa.Column("booked", sa.Integer, nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_strip"),
        sa.CheckConstraint("way IN ('across', 'along')", name="ck_strip_way"),
        sa.CheckConstraint("length > 0 AND width > 0 AND piece_length > 0 AND piece_width > 0", name="ck_strip_size"),
        sa.CheckConstraint("x >= 0 AND y >= 0 AND trim_length >= 0 AND trim_width >= 0", name="ck_strip_place"),
        _belongs("plan", "plan.id", "fk_strip_plan"),
        _belongs("piece", "piece.id", "fk_strip_piece"),
        _belongs("booked", "op.id", "fk_strip_booked"),
        sqlite_strict=True,
    )
    op.create_index("ix_strip_piece", "strip", ["piece"])
    op.create_index("ix_strip_plan", "strip", ["plan"])
