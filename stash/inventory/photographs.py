"""The store's side of photographs: fabrics that come in together, swatches, pictures."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stash.inventory import fabric_changes, fabrics, swatches
from stash.inventory.saving import Saving
from stash.model import Fabric, NewFabric, NewSwatch


class Photographs(Saving):
    """What a stash can do with photographs. `stash.inventory.store.Store` is what others use."""

    def add_many(self, new: Sequence[NewFabric], *, uid: str | None = None) -> list[Fabric]:
        """Record fabrics together as one entry, so that one undo takes them all back; gives them in order.

        Raises Fault, with nothing added, where a name is taken or stands there twice. No fabrics are no entry.
        """
        return self._save("add", uid, lambda book: fabric_changes.add_all(book, new), fabrics.all_added_by)

    def set_swatch(self, fabric_id: int, new: NewSwatch | None, *, uid: str | None = None) -> Fabric:
        """A new photograph of a fabric: its swatch, its colour and its `photo`, as one entry.

        A value set by eye stays. None takes the swatch away and leaves colour and `photo` as they are. Raises
        UsageFault for a swatch that may not be stored.
        """
        return self._fabric("photograph", uid, fabric_id, lambda book: fabric_changes.set_swatch(book, fabric_id, new))

    def picture(self, fabric_id: int) -> bytes | None:
        """The kept picture of a fabric's swatch, JPEG in sRGB; None where it has none."""
        with self.transactions.reading() as conn:
            return swatches.picture_of(conn, fabric_id)

    def thumbnail(self, fabric_id: int) -> bytes | None:
        """The small picture of a fabric's swatch, JPEG in sRGB; None where it has none."""
        return self.thumbnails([fabric_id]).get(fabric_id)

    def thumbnails(self, ids: Iterable[int]) -> dict[int, bytes]:
        """The small pictures of these fabrics by fabric id; fabrics that have none are left out."""
        with self.transactions.reading() as conn:
            return swatches.thumbnails_of(conn, ids)

    def photo_hashes(self) -> dict[str, str]:
        """SHA-256 (hex) of every file that a swatch in the stash was taken from, to the name of its fabric.

        Archived fabrics count; where several have a swatch from one file, the first is named.
        """
        with self.transactions.reading() as conn:
            return swatches.photo_hashes(conn)
