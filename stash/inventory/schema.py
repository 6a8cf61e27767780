"""The form of a stash file: its two header numbers, the tables, and the triggers that keep the history
and the pictures as they are.
"""

from __future__ import annotations

from sqlalchemy import Connection, text

from stash.inventory.tables import metadata

APPLICATION_ID = 0x53744376  # "StCv", in the header of every stash file
SCHEMA_VERSION = 3  # PRAGMA user_version: the newest revision in migrations/versions
VERSION_TABLE = "revision"


def _appended_only(table: str, same: str) -> list[str]:
    """Triggers that refuse a change, a removal, and a row put over an old one (INSERT OR REPLACE)."""
    refuse = f"SELECT RAISE(ABORT, 'the history is only ever added to: {table}');"
    return [
        f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} BEGIN {refuse} END",
        f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} BEGIN {refuse} END",
        f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table}"
        f" WHEN EXISTS (SELECT 1 FROM {table} WHERE {same}) BEGIN {refuse} END",
    ]


def _never_changed(table: str, same: str) -> list[str]:
    """Triggers that refuse a change, and a row put over an old one. A removal is left to foreign keys."""
    refuse = f"SELECT RAISE(ABORT, 'a picture is never changed: {table}');"
    return [
        f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} BEGIN {refuse} END",
        f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table}"
        f" WHEN EXISTS (SELECT 1 FROM {table} WHERE {same}) BEGIN {refuse} END",
    ]


TRIGGERS = [
    *_appended_only("op", "id = NEW.id OR uid = NEW.uid OR undo_of = NEW.undo_of"),
    *_appended_only("line", "id = NEW.id OR (piece = NEW.piece AND rev = NEW.rev)"),
    *_appended_only("change", "id = NEW.id"),
    *_never_changed("picture", "id = NEW.id OR hash = NEW.hash"),
    *_never_changed("thumbnail", "id = NEW.id"),
]


def create_triggers(conn: Connection) -> None:
    """Make the triggers that are missing (a rebuilt table loses its own)."""
    there = set(conn.scalars(text("SELECT name FROM sqlite_schema WHERE type = 'trigger'")))
    for statement in TRIGGERS:
        if statement.split()[2] not in there:
            conn.exec_driver_sql(statement)


def create_schema(conn: Connection) -> None:
    """Make all of a new stash in an empty file, in the caller's transaction: just what the migrations make."""
    metadata.create_all(conn, checkfirst=False)
    create_triggers(conn)
    conn.exec_driver_sql(
        f"CREATE TABLE {VERSION_TABLE} (version_num VARCHAR(32) NOT NULL,"
        f" CONSTRAINT {VERSION_TABLE}_pkc PRIMARY KEY (version_num))"
    )
    conn.exec_driver_sql(f"INSERT INTO {VERSION_TABLE} VALUES ('{SCHEMA_VERSION:04d}')")
    conn.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
    conn.exec_driver_sql(f"PRAGMA user_version = {SCHEMA_VERSION}")
