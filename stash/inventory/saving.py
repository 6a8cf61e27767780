"""How a change of a stash is saved: one transaction, one entry of the history, once for each uid."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from sqlalchemy import Connection

from stash.inventory import fabrics, history, opening, stars
from stash.inventory.ledger import Book, by_uid
from stash.inventory.transactions import Transactions
from stash.model import Entry, Fabric, SavedStar

T = TypeVar("T")


class Saving:
    """An open file, and how its changes are made. `stash.inventory.store.Store` is what others use."""

    def __init__(self, found: opening.Found) -> None:
        self.transactions = Transactions(found)

    @property
    def path(self) -> Path:
        """The file that was opened."""
        return self.transactions.found.path

    @property
    def read_only(self) -> bool:
        """The file or its folder may not be written: everything can be read, each write is refused."""
        return self.transactions.found.read_only

    @property
    def saved(self) -> bool:
        """Whether anything was saved since it was opened."""
        return self.transactions.saved

    def save_copy(self, path: Path | str) -> Path:
        """Write all that can be read to a new file, even where the stash itself was moved or deleted meanwhile.

        Raises Fault where there is something at `path` already, or it cannot be written.
        """
        return self.transactions.save_copy(Path(path))

    def change_token(self) -> tuple[int, ...]:
        """Differs from the last one given when anybody has saved since. Cheap, and never waits."""
        return self.transactions.change_token()

    def close(self) -> None:
        """Let the file go."""
        self.transactions.close()

    def _save(
        self,
        kind: str,
        uid: str | None,
        act: Callable[[Book], str],
        then: Callable[[Connection, int], T],
    ) -> T:
        """Run `act` in one write; its sentence becomes the entry's. Gives what `then` reads afterwards.

        Nothing is entered where `act` changed nothing, or where `uid` was entered before.
        """
        with self.transactions.writing() as conn:
            known = by_uid(conn, uid) if uid is not None else None
            if known is not None:
                return then(conn, known)
            book = Book(conn, kind, uid)
            text = act(book)
            if not book.empty:
                book.finish(text)
            return then(conn, book.id)

    def _fabric(self, kind: str, uid: str | None, fabric_id: int, act: Callable[[Book], str]) -> Fabric:
        return self._save(kind, uid, act, lambda conn, _: fabrics.by_id(conn, fabric_id))

    def _star(self, kind: str, uid: str | None, star_id: int, act: Callable[[Book], str]) -> SavedStar:
        return self._save(kind, uid, act, lambda conn, _: stars.by_id(conn, star_id))

    def _entry(self, kind: str, uid: str | None, act: Callable[[Book], str]) -> Entry:
        return self._save(kind, uid, act, history.known_entry)
