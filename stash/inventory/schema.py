"""The form of a stash file: its two header numbers, the tables, and the triggers that keep the history
and the pictures as they are.
"""

from __future__ import annotations

from sqlalchemy import Connection, text

from stash.inventory.tables import metadata

APPLICATION_ID = 0x53744376  # "StCv", in the header of every stash file
SCHEMA_VERSION = 3  # PRAGMA user_version: the newest revision in migrations/versions
VERSION_TABLE = "revision"


def _guards(table: str, same: str, refuse: str, *, removal: bool) -> dict[str, str]:
    """Triggers by name that refuse a change, a row put over an old one (INSERT OR REPLACE; `same` says which that
    is), and with `removal` a removal too."""
    events = {
        "update": f"UPDATE ON {table}",
        "delete": f"DELETE ON {table}",
        "replace": f"INSERT ON {table} WHEN EXISTS (SELECT 1 FROM {table} WHERE {same})",
    }
    return {
        f"{table}_no_{what}": f"CREATE TRIGGER {table}_no_{what} BEFORE {event} BEGIN {refuse} END"
        for what, event in events.items()
        if removal or what != "delete"
    }


def _appended_only(table: str, same: str) -> dict[str, str]:
    refuse = f"SELECT RAISE(ABORT, 'the history is only ever added to: {table}');"
    return _guards(table, same, refuse, removal=True)


def _never_changed(table: str, same: str) -> dict[str, str]:
    """A removal is left to foreign keys."""
    refuse = f"SELECT RAISE(ABORT, 'a picture is never changed: {table}');"
    return _guards(table, same, refuse, removal=False)


TRIGGERS: dict[str, str] = {
    **_appended_only("op", "id = NEW.id OR uid = NEW.uid OR undo_of = NEW.undo_of"),
    **_appended_only("line", "id = NEW.id OR (piece = NEW.piece AND rev = NEW.rev)"),
    **_appended_only("change", "id = NEW.id"),
    **_never_changed("picture", "id = NEW.id OR hash = NEW.hash"),
    **_never_changed("thumbnail", "id = NEW.id"),
}
"""The statement that makes each trigger, by its name."""


def form_of(conn: Connection) -> dict[str, str | None]:
    """The statement that made each table, index and trigger of a file, by name; None for SQLite's own."""
    return {name: statement for name, statement in conn.execute(text("SELECT name, sql FROM sqlite_schema"))}


def create_triggers(conn: Connection) -> None:
    """Make the triggers that are missing (a rebuilt table loses its own)."""
    there = form_of(conn)
    for name, statement in TRIGGERS.items():
        if name not in there:
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
