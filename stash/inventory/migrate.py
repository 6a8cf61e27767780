"""Bringing an older stash file to the present form: backup, one transaction, checks.

Alembic runs the revisions in migrations/versions, whose number is the file's `user_version`. It is imported only
here, for a file that needs it. Foreign keys are off meanwhile: a table that is rebuilt with them on can take its
children with it, without an error.
"""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection

from stash.errors import Fault
from stash.inventory import backup, schema
from stash.inventory.opening import Found, check_header, find
from stash.inventory.transactions import make_engine
from stash.inventory.troubles import of_the_machine, said_plainly

SCRIPTS = Path(__file__).with_name("migrations")


def upgrade(found: Found, scripts: Path = SCRIPTS, *, is_copy: bool = False) -> Found:
    """Bring the file to the present version; gives it as it is then found.

    A backup of it as it was is made first, unless it is a copy that nobody keeps. Raises Fault, with the file as it
    was, where anything goes wrong.
    """
    if found.read_only:
        raise Fault(
            f"this stash has an older form (version {found.version}) and cannot be written to bring it up to date",
            str(found.path),
            "look at the rights of the file and its folder, or work on a copy",
        )
    kept = None if is_copy else _backup(found)
    engine = make_engine(found.path, read_only=False, foreign_keys=False)
    try:
        with said_plainly(found.path), engine.execution_options(write=True).begin() as conn:
            if _version(conn, found.path) < schema.SCHEMA_VERSION:  # else another program was first
                run(conn, scripts)
                schema.create_triggers(conn)
                conn.exec_driver_sql(f"PRAGMA user_version = {schema.SCHEMA_VERSION}")
                _check(conn)
    except Exception as error:  # whatever it was, a revision's own fault too: the file is as it was
        if isinstance(error, Fault) and of_the_machine(error):
            raise
        raise _not_upgraded(found, error, kept) from error
    finally:
        engine.dispose()
    return find(found.path)


def _not_upgraded(found: Found, error: Exception, kept: Path | None) -> Fault:
    return Fault(
        f"this stash of an older form (version {found.version}) could not be brought up to date"
        f" ({' '.join(str(error).split())}); it is as it was",
        str(found.path),
        f"report this; a backup is {kept}" if kept else "report this",
    )


def _backup(found: Found) -> Path:
    try:
        return backup.make(found.path, backup.BEFORE_UPGRADE).path
    except backup.NoBackup as none:
        what = f"{none.what}, so this stash of an older form (version {found.version}) is not brought up to date"
        raise backup.NoBackup(f"{what}; it is as it was", none.where, none.do) from None


def run(conn: Connection, scripts: Path = SCRIPTS) -> None:
    """Run the revisions that are missing, in the caller's transaction."""
    config = Config()
    config.set_main_option("script_location", str(scripts).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = conn
    command.upgrade(config, "head")


def _version(conn: Connection, path: Path) -> int:
    application = conn.exec_driver_sql("PRAGMA application_id").scalar_one()
    version: int = conn.exec_driver_sql("PRAGMA user_version").scalar_one()
    check_header(application, version, path)
    return version


def _check(conn: Connection) -> None:
    orphan = conn.exec_driver_sql("PRAGMA foreign_key_check").first()
    if orphan is not None:
        raise Fault(f"a row of {orphan[0]} would belong to nothing")
    said = conn.exec_driver_sql("PRAGMA integrity_check").scalar_one()
    if said != "ok":
        raise Fault(f"the file would not be whole: {said}")
