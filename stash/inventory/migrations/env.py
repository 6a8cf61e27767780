"""Alembic's environment: runs on the connection, and in the transaction, that `stash.inventory.migrate` opened."""

from __future__ import annotations

from alembic import context

from stash.inventory.schema import VERSION_TABLE

context.configure(connection=context.config.attributes["connection"], version_table=VERSION_TABLE)
context.run_migrations()
