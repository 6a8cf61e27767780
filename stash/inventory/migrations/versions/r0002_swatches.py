"""Photographs of fabrics: pictures, thumbnails, what was measured; a colour may come from one without a reference."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_REAL: sa.Double[float] = sa.Double().with_variant(sa.REAL, "sqlite")


def _belongs(column: str, to: str, name: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [to], name=name, ondelete="RESTRICT", onupdate="RESTRICT")


def upgrade() -> None:
    _colour()
    _pictures()
    _swatch()


def _colour() -> None:
    """The table anew, under its own name: a batch rebuild renames the new one, which leaves its name in quotes."""
    op.rename_table("colour", "colour_0001")
    op.create_table(
        "colour",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("lightness", _REAL, nullable=False),
        sa.Column("a", _REAL, nullable=False),
        sa.Column("b", _REAL, nullable=False),
        sa.Column("source", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_colour"),
        sa.CheckConstraint("source IN ('measured', 'relative', 'typed')", name="ck_colour_source"),
        sa.CheckConstraint("lightness BETWEEN 0 AND 100", name="ck_colour_lightness"),
        sa.CheckConstraint("a BETWEEN -200 AND 200 AND b BETWEEN -200 AND 200", name="ck_colour_a_b"),
        _belongs("id", "fabric.id", "fk_colour_id"),
        sqlite_strict=True,
    )
    columns = "id, lightness, a, b, source"
    op.execute(f"INSERT INTO colour ({columns}) SELECT {columns} FROM colour_0001 ORDER BY id")
    op.drop_table("colour_0001")


def _pictures() -> None:
    op.create_table(
        "picture",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("hash", sa.Text, nullable=False),
        sa.Column("data", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_picture"),
        sa.UniqueConstraint("hash", name="uq_picture_hash"),
        sa.CheckConstraint("length(hash) = 64", name="ck_picture_hash"),
        sa.CheckConstraint("length(data) BETWEEN 1 AND 4000000", name="ck_picture_data"),
        sqlite_strict=True,
    )
    op.create_table(
        "thumbnail",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("data", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_thumbnail"),
        sa.CheckConstraint("length(data) BETWEEN 1 AND 200000", name="ck_thumbnail_data"),
        _belongs("id", "picture.id", "fk_thumbnail_id"),
        sqlite_strict=True,
    )


def _swatch() -> None:
    op.create_table(
        "swatch",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("picture", sa.Integer, nullable=False),
        sa.Column("file_hash", sa.Text, nullable=False),
        sa.Column("photo", sa.Text, nullable=False),
        sa.Column("box", sa.Text, nullable=False),
        sa.Column("reference", sa.Text, nullable=False),
        sa.Column("lightness", _REAL, nullable=False),
        sa.Column("a", _REAL, nullable=False),
        sa.Column("b", _REAL, nullable=False),
        sa.Column("value_low", _REAL, nullable=False),
        sa.Column("value_high", _REAL, nullable=False),
        sa.Column("variety", _REAL, nullable=False),
        sa.Column("palette", sa.Text, nullable=False),
        sa.Column("notes", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_swatch"),
        sa.CheckConstraint("length(file_hash) = 64", name="ck_swatch_file_hash"),
        sa.CheckConstraint("reference IN ('paper', 'white', 'grey', 'none')", name="ck_swatch_reference"),
        sa.CheckConstraint("lightness BETWEEN 0 AND 100", name="ck_swatch_lightness"),
        sa.CheckConstraint("a BETWEEN -200 AND 200 AND b BETWEEN -200 AND 200", name="ck_swatch_a_b"),
        sa.CheckConstraint(
            "value_low >= 0 AND value_low <= value_high AND value_high <= 100", name="ck_swatch_value"
        ),
        sa.CheckConstraint("variety >= 0", name="ck_swatch_variety"),
        _belongs("id", "fabric.id", "fk_swatch_id"),
        _belongs("picture", "picture.id", "fk_swatch_picture"),
        sqlite_strict=True,
    )
    op.create_index("ix_swatch_picture", "swatch", ["picture"])
