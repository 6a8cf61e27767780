"""How stash files of earlier versions become present ones. See `stash.inventory.migrate`.

A new form is a new revision in versions/, numbered one up, with `schema.SCHEMA_VERSION` and a golden file of its form
beside the tests. Revisions only go up and never change once they are released: so each says in full what it makes,
though others say much the same, and shares nothing that could change under it. A table that SQLite cannot alter is
rebuilt by `op.batch_alter_table(..., recreate="always")`: its triggers are gone then, and are made again at the end.
"""
