"""The stash on disk: every call is one transaction, takes and gives plain records, and is saved at once.

Each change becomes one entry of the history and can be undone. A change takes a `uid`, made when its form opens;
the same uid again changes nothing and gives what the first one gave, so a double press or a retry is booked once.

All writes raise Fault where the stash cannot be saved (read only, disk full, another program is saving), and then
nothing is changed.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Self

from stash.inventory import booking, cutting, fabric_changes, fabrics, history, plan_changes, plans, schema, stars
from stash.inventory.ledger import by_uid
from stash.inventory.leftovers import settle
from stash.inventory.making import make
from stash.inventory.opening import find
from stash.inventory.photographs import Photographs
from stash.inventory.undo import undo
from stash.model import (
    Colouring,
    Cut,
    Entry,
    Fabric,
    NewFabric,
    NewPiece,
    PieceCut,
    SavedStar,
    Star,
    StoredPlan,
)


class Store(Photographs):
    """An open stash. Use it as a context manager, or close it."""

    @classmethod
    def create(cls, path: Path | str) -> Self:
        """Make a new stash, and the folder it stands in. Raises Fault where there is something already."""
        make(Path(path))
        return cls.open(path)

    @classmethod
    def open(cls, path: Path | str) -> Self:
        """Open a stash that is there. Raises Fault for a missing file and for all that is no stash of ours."""
        found = settle(find(Path(path)))
        if found.version < schema.SCHEMA_VERSION:
            from stash.inventory.migrate import upgrade  # heavy, and hardly ever needed

            found = replace(upgrade(found), taken_back=found.taken_back)
        return cls(found)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # --- fabrics

    def fabrics(self, *, archived: bool = False) -> list[Fabric]:
        """All fabrics in the order they came in, archived ones too if asked; pieces still there, oldest first."""
        with self.transactions.reading() as conn:
            return fabrics.load(conn, archived=archived)

    def fabric(self, name: str) -> Fabric:
        """The fabric of that name (NFC, case folded, trimmed), archived or not. Raises NotFound."""
        with self.transactions.reading() as conn:
            return fabrics.by_name(conn, name)

    def add(self, new: NewFabric, *, uid: str | None = None) -> Fabric:
        """Record a new fabric with its pieces, and its photograph. Raises Fault where the name is taken.

        A swatch gives the fabric its colour where `new` has none, and `photo` (the file's name) likewise.
        """
        return self._save("add", uid, lambda book: fabric_changes.add_new(book, new), fabrics.added_by)

    def edit(self, fabric_id: int, *, uid: str | None = None, **fields: Any) -> Fabric:
        """Set any of name, directional, washed, place, note, price, photo, colour and value_by_eye, as one entry.

        A colour or a value by eye of None takes it away.
        """
        return self._fabric("edit", uid, fabric_id, lambda book: fabric_changes.set_facts(book, fabric_id, fields))

    def set_value_by_eye(self, fabric_id: int, value: float | None, *, uid: str | None = None) -> Fabric:
        """Set a value (L*) by eye, kept apart from the measured one; None goes back to that."""
        return self._fabric("by eye", uid, fabric_id, lambda book: fabric_changes.set_value(book, fabric_id, value))

    def archive(self, fabric_id: int, archived: bool = True, *, uid: str | None = None) -> Fabric:
        """Put a fabric out of sight, or bring it back."""
        return self._fabric("archive", uid, fabric_id, lambda book: fabric_changes.archive(book, fabric_id, archived))

    # --- pieces

    def bought(self, fabric_id: int, pieces: Sequence[NewPiece], *, uid: str | None = None) -> Entry:
        """More pieces of a fabric."""
        return self._entry("bought", uid, lambda book: fabric_changes.bought(book, fabric_id, pieces))

    def cut(self, cuts: Sequence[Cut], text: str = "", *, uid: str | None = None) -> Entry:
        """Book cuts of several pieces as one entry. `text` is its sentence ("": one is made of the cuts).

        Raises UsageFault for a cut that keeps more than there is, keeps less than nothing or takes nothing, and
        Conflict (which names the present size) for a piece that is not as it was seen.
        """
        return self._entry("cut", uid, lambda book: cutting.cut(book, cuts, text))

    def used(self, fabric_id: int, ticks: int | None, *, uid: str | None = None) -> Entry:
        """Take a length off a fabric, from the smallest piece that is long enough; None takes all."""
        return self._entry("used", uid, lambda book: cutting.used(book, fabric_id, ticks))

    def count(self, fabric_id: int, pieces: Sequence[NewPiece], *, uid: str | None = None) -> Entry:
        """A stock-take: books what was expected and what was measured; the fabric's pieces become these."""
        return self._entry("count", uid, lambda book: cutting.count(book, fabric_id, pieces))

    # --- stars

    def stars(self) -> list[SavedStar]:
        """All saved stars in the order they were saved, but for `unreadable_stars`."""
        with self.transactions.reading() as conn:
            return stars.load(conn)

    def unreadable_stars(self) -> list[str]:
        """Names of saved stars that another program spoiled."""
        with self.transactions.reading() as conn:
            return stars.unreadable(conn)

    def star(self, name: str) -> SavedStar:
        """The saved star of that name. Raises NotFound."""
        with self.transactions.reading() as conn:
            return stars.by_name(conn, name)

    def save_star(
        self, name: str, star: Star, colouring: Colouring | None = None, *, uid: str | None = None
    ) -> SavedStar:
        """Save a star, or one more colouring of a known equal one (an equal colouring adds nothing).

        Raises Fault where a different star has that name, NotFound for a fabric that is not in the stash.
        """
        return self._save(
            "star", uid, lambda book: stars.save(book, name, star, colouring),
            lambda conn, _: stars.by_name(conn, name),
        )  # fmt: skip

    def replace_colouring(
        self, star_id: int, number: int, colouring: Colouring, *, uid: str | None = None
    ) -> SavedStar:
        """Other fabrics for one colouring. A plan of it that this puts out of date is let go."""
        return self._star(
            "colouring", uid, star_id, lambda book: stars.replace_colouring(book, star_id, number, colouring)
        )

    def drop_colouring(self, star_id: int, number: int, *, uid: str | None = None) -> SavedStar:
        """Remove one colouring and its plans. The others keep their numbers."""
        return self._star("colouring", uid, star_id, lambda book: stars.drop_colouring(book, star_id, number))

    def rename_star(self, star_id: int, name: str, *, uid: str | None = None) -> SavedStar:
        """Give a star another name. Raises Fault where that is taken."""
        return self._star("star", uid, star_id, lambda book: stars.rename(book, star_id, name))

    def set_star(
        self,
        star_id: int,
        star: Star,
        *,
        number: int | None = None,
        colouring: Colouring | None = None,
        name: str | None = None,
        uid: str | None = None,
    ) -> SavedStar:
        """Another star on paper under the same name, or under `name`. Plans that this puts out of date are let go.

        With `number` and `colouring` that colouring gets other fabrics in the same entry, so that one undo takes
        all of it back. Raises Fault where the name is taken.
        """

        return self._star(
            "star", uid, star_id, lambda book: stars.set_star(book, star_id, star, number, colouring, name)
        )

    def drop_star(self, star_id: int, *, uid: str | None = None) -> Entry:
        """Remove a star with its colourings and plans."""
        return self._entry("star", uid, lambda book: stars.drop(book, star_id))

    # --- plans of cuts

    def keep_plan(
        self, star_id: int, number: int, cuts: Sequence[PieceCut], *, uid: str | None = None
    ) -> StoredPlan:
        """Keep the plan of a colouring in place of one that nothing of is cut; the very same plan stays as it is.

        Raises Conflict where part of the kept one is cut already, or a piece is not as the plan saw it.
        """
        return self._save(
            "plan", uid, lambda book: plans.keep(book, stars.find_colouring(book.conn, star_id, number), cuts),
            lambda conn, _: plans.newest(conn, stars.find_colouring(conn, star_id, number)),
        )  # fmt: skip

    def open_plan(self, star_id: int, number: int) -> StoredPlan | None:
        """The kept plan of a colouring that has strips still to cut."""
        with self.transactions.reading() as conn:
            found = plans.open_plans(conn, stars.find_colouring(conn, star_id, number))
            return found[0] if found else None

    def cut_plan(self, star_id: int, number: int) -> StoredPlan | None:
        """The newest plan of a colouring that is cut to the last strip."""
        with self.transactions.reading() as conn:
            found = plans.cut_plans(conn, stars.find_colouring(conn, star_id, number))
            return found[0] if found else None

    def plans(self, star_id: int | None = None, number: int | None = None) -> list[StoredPlan]:
        """Every kept plan with what is cut of it, newest first; with a star and a number those of that colouring."""
        with self.transactions.reading() as conn:
            found = plans.kept_plans(conn)
        return found if star_id is None else [one for one in found if (one.star_id, one.number) == (star_id, number)]

    def open_plans(self) -> list[StoredPlan]:
        """Every kept plan with strips still to cut, newest first: what stars hold of the stash."""
        with self.transactions.reading() as conn:
            return plans.open_plans(conn)

    def let_go(self, star_id: int, number: int, *, uid: str | None = None) -> Entry | None:
        """Drop what is not cut yet of a colouring's plan; None where there is nothing to drop."""
        return self._save(
            "plan", uid, lambda book: plans.let_go_text(book, stars.find_colouring(book.conn, star_id, number)),
            history.entry,
        )  # fmt: skip

    def book(
        self,
        plan_id: int,
        strip_ids: Collection[int] | None = None,
        *,
        bin_rest: Collection[int] = (),
        uid: str | None = None,
    ) -> Entry:
        """Book strips of a kept plan (None: all that are left) as one entry.

        `bin_rest` are pieces whose offcut goes into the bin when this takes the plan's last strip from them, unless
        another star's plan is to be cut from it.
        Raises Conflict, with nothing booked, for a piece changed by anything but this plan's own bookings.
        """
        return self._entry("cut", uid, lambda book: booking.book_strips(book, plan_id, strip_ids, bin_rest))

    def plan(self, plan_id: int) -> StoredPlan:
        """A kept plan, cut or not. Raises NotFound."""
        with self.transactions.reading() as conn:
            return plans.by_id(conn, plan_id)

    def plan_rest(
        self, plan_id: int, strip_ids: Collection[int], cuts: Sequence[PieceCut], *, uid: str | None = None
    ) -> StoredPlan:
        """Other cuts in place of strips of a plan that are not cut yet; the other strips stay as they are.

        Raises Conflict where a piece is not as `cuts` saw it or has strips that stay, or one of the strips is cut.
        """
        return self._save(
            "plan", uid, lambda book: plan_changes.plan_rest(book, plan_id, strip_ids, cuts),
            lambda conn, _: plans.by_id(conn, plan_id),
        )  # fmt: skip

    def bin_offcut(self, plan_id: int, piece_id: int, *, uid: str | None = None) -> Entry:
        """Book the rest of a piece off, all of whose strips in this plan are cut. Raises Conflict where some are
        not, where another star's plan is to be cut from it, and where the piece was changed since."""
        return self._entry("binned", uid, lambda book: plan_changes.bin_offcut(book, plan_id, piece_id))

    def spoil(self, plan_id: int, number: int, segments: int = 1, *, uid: str | None = None) -> Entry:
        """Put down that segments of strip set `number` were spoiled and are cut again from what it has to spare;
        under 0 takes that back."""
        return self._entry("spoiled", uid, lambda book: plan_changes.spoil(book, plan_id, number, segments))

    # --- history

    def undo(self, op: int | None = None, *, uid: str | None = None) -> Entry:
        """Undo an entry (None: the newest that is neither an undo nor undone) by a counter entry.

        Raises Conflict where later entries build on it, naming them, and where it is undone already.
        """
        return self._entry("undo", uid, lambda book: undo(book, op))

    def entry_of(self, uid: str) -> Entry | None:
        """The entry that was saved under `uid`, if there is one. Raises UsageFault for what is no uid."""
        with self.transactions.reading() as conn:
            op = by_uid(conn, uid)
            return None if op is None else history.entry(conn, op)

    def history(
        self, *, limit: int = 200, before: int | None = None, fabric_id: int | None = None
    ) -> list[Entry]:
        """Entries, newest first: at most `limit`, older than entry `before`, only those of one fabric."""
        with self.transactions.reading() as conn:
            return history.history(conn, limit, before, fabric_id)
