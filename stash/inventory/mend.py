"""Setting right what a look over the stash found, where it can be: only when asked, and on record.

A piece becomes what its history says, by a `counted` entry of its own; triggers that are missing are made again.
"""

from __future__ import annotations

from pathlib import Path

from stash.inventory import backup, schema
from stash.inventory.ledger import Book
from stash.inventory.store import Store
from stash.inventory.verify import COUNTED, PieceTrouble, pieces


def mend(path: Path) -> list[str]:
    """Mend all that can be mended; gives a sentence for each thing done. A backup is made first.

    Raises Fault, with nothing changed, where the stash cannot be backed up or written.
    """
    backup.make(path, backup.BEFORE_REPAIR)
    with Store.open(path) as store, store.transactions.writing() as conn:
        there = schema.form_of(conn)
        done = []
        for name, statement in schema.TRIGGERS.items():
            if there.get(name) != statement:
                conn.exec_driver_sql(f"DROP TRIGGER IF EXISTS {name}")
                conn.exec_driver_sql(statement)
                done.append(f'Made the guard "{name}" again.')
        wrong = [one for one in pieces(conn) if one.mendable]
        if wrong:
            book = Book(conn, COUNTED)
            done += [_recount(book, one) for one in wrong]
            book.finish(f"Counted from the history: {', '.join(one.where for one in wrong)}")
        return done


def _recount(book: Book, one: PieceTrouble) -> str:
    assert one.right is not None
    book.recount(one.piece, one.rev, one.right, one.untold)
    return f"{one.where} is what its history says now; count it on the shelf."
