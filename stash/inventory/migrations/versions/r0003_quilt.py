"""Binding and backing of a colouring; spoiled segments of a plan."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def _belongs(column: str, to: str, name: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [to], name=name, ondelete="RESTRICT", onupdate="RESTRICT")


def upgrade() -> None:
    _letter()
    _spoiled()


def _letter() -> None:
    """The table anew, under its own name: a batch rebuild renames the new one, which leaves its name in quotes."""
    op.drop_index("ix_letter_fabric", "letter")
    op.rename_table("letter", "letter_0002")
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
        sa.CheckConstraint(
            "letter IN ('ground', 'binding', 'backing') OR length(letter) = 1", name="ck_letter_letter"
        ),
        _belongs("colouring", "colouring.id", "fk_letter_colouring"),
        _belongs("fabric", "fabric.id", "fk_letter_fabric"),
        sqlite_strict=True,
    )
    op.create_index("ix_letter_fabric", "letter", ["fabric"])
    columns = "id, colouring, letter, place, fabric"
    op.execute(f"INSERT INTO letter ({columns}) SELECT {columns} FROM letter_0002 ORDER BY id")
    op.drop_table("letter_0002")


def _spoiled() -> None:
    op.create_table(
        "spoiled",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("plan", sa.Integer, nullable=False),
        sa.Column("set_number", sa.Integer, nullable=False),
        sa.Column("segments", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_spoiled"),
        sa.UniqueConstraint("plan", "set_number", name="uq_spoiled_plan_set_number"),
        sa.CheckConstraint("set_number BETWEEN 1 AND 13", name="ck_spoiled_set_number"),
        sa.CheckConstraint("segments >= 1", name="ck_spoiled_segments"),
        _belongs("plan", "plan.id", "fk_spoiled_plan"),
        sqlite_strict=True,
    )
