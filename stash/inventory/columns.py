"""What the tables of a stash are made of: strict tables, kinds of columns, names of constraints.

No column may be NULL but where it says so.
"""

from __future__ import annotations

from sqlalchemy import (
    REAL,
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

NAMES = {
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "uq": "uq_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
    "ix": "ix_%(table_name)s_%(column_0_name)s",
}

Part = Column[int] | Column[str] | Column[float] | Column[bytes] | CheckConstraint | UniqueConstraint | Index


def strict(metadata: MetaData, name: str, *parts: Part) -> Table:
    """A table that takes no value of another type than its column's."""
    return Table(name, metadata, *parts, sqlite_strict=True)


def row_id() -> Column[int]:
    """The number of a row."""
    return Column("id", Integer, primary_key=True, nullable=False)


def text(name: str) -> Column[str]:
    """A column of text."""
    return Column(name, Text, nullable=False)


def whole(name: str) -> Column[int]:
    """A column of whole numbers."""
    return Column(name, Integer, nullable=False)


def real(name: str) -> Column[float]:
    """A column of floats: colours only, never a size."""
    return Column(name, Double().with_variant(REAL, "sqlite"), nullable=False)


def data(name: str) -> Column[bytes]:
    """A column of bytes."""
    return Column(name, LargeBinary, nullable=False)


def to(name: str, target: str, *, nullable: bool = False, primary_key: bool = False) -> Column[int]:
    """A reference to a column (`target`: "table.column") of a row that may not go, or get another number, before."""
    key = ForeignKey(target, ondelete="RESTRICT", onupdate="RESTRICT")
    return Column(name, Integer, key, nullable=nullable, primary_key=primary_key)


def check(condition: str, name: str) -> CheckConstraint:
    """What holds of every row."""
    return CheckConstraint(condition, name=name)


def yes_no(name: str) -> tuple[Column[int], CheckConstraint]:
    """A column of 1 for yes and 0 for no."""
    return whole(name), check(f"{name} IN (0, 1)", name)
