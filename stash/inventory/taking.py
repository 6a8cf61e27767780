"""One fabric of a file against the stash: what is new, what is filled in, what differs and who decides."""

from __future__ import annotations

from typing import Any, Literal

from stash.inventory import fabric_changes, fabrics
from stash.inventory.checks import pieces_text, size_text
from stash.inventory.csv_rows import Listed
from stash.inventory.cutting import Pairs, become, paired, state_of
from stash.inventory.ledger import Book, State
from stash.model import Fabric, NewFabric, NewPiece, NewSwatch, Piece

Mode = Literal["add", "replace"]
Outcome = Literal["new", "changed", "same", "left"]

_SHOWN = {"measured": "colour", "value_by_eye": "value by eye"}


def wants_photograph(listed: Listed, known: Fabric | None, mode: Mode | None) -> bool:
    """The file names a photograph that the stash has not measured, and no other one stands in its way."""
    cell = listed.fields.get("photo")
    if not cell or known is None:
        return bool(cell)
    return known.swatch is None and (mode == "replace" or known.photo in ("", cell))


class Taking:
    """Takes one listed fabric into an entry; `lines` says what was done."""

    def __init__(self, book: Book, listed: Listed, mode: Mode | None, swatch: NewSwatch | None = None) -> None:
        self.book = book
        self.listed = listed
        self.swatch = swatch  # checked
        self.mode = mode
        self.replace = mode == "replace"
        self.add = mode == "add"
        self.lines: list[str] = []
        self._done: list[str] = []
        self._left: list[str] = []

    def take(self, known: Fabric | None) -> Outcome:
        """Take it in beside, or into, the fabric of its name that the stash has (None: it is new)."""
        if known is None:
            self._new()
            return "new"
        swatch = self.swatch if wants_photograph(self.listed, known, self.mode) else None
        self._fields(known)
        if swatch is not None:
            self._photograph(known, swatch)
        if self.listed.pieces is not None:
            self._pieces(known, self.listed.pieces)
        if self._done:
            self.lines.append(f"Changed {known.name}: {'; '.join(self._done)}")
        if self._left:
            self.lines.append(f"{known.name} differs and was left as it is: {'; '.join(self._left)}")
        return "changed" if self._done else "left" if self._left else "same"

    def _new(self) -> None:
        given = self.listed.fields
        plain = {name: given[name] for name in (*fabrics.YES_NO, *fabrics.TEXTS) if name in given}
        pieces = tuple(self.listed.pieces or ())
        new = NewFabric(self.listed.name, pieces, given.get("measured"), swatch=self.swatch, **plain)
        fabric_id = fabric_changes.add(self.book, new, given.get("archived", False), given.get("value_by_eye"))
        if self.listed.pieces == []:
            self.book.new_piece(fabric_id, State("yardage", 0, 0, "used up"))
        self.lines.append(f"New: {new.name}, {self._size(pieces)}{fabric_changes.photo_text(new)}")

    def _size(self, pieces: tuple[NewPiece, ...]) -> str:
        if pieces:
            return pieces_text([(one.length, one.width) for one in pieces])
        return "not measured yet" if self.listed.pieces is None else "used up"

    def _fields(self, known: Fabric) -> None:
        rows: dict[str, Any] = {}
        for name, value in self.listed.fields.items():
            now = getattr(known, name)
            if now == value:
                continue
            shown = _SHOWN.get(name, name)
            if not self.replace and now not in (None, ""):
                self._left.append(f"{shown} (replacing takes the file's)")
                continue
            self._done.append(shown)
            if name == "measured":
                self.book.put("colour", known.id, fabric_changes.colour_values(value))
            elif name == "value_by_eye":
                self.book.put("eye", known.id, {"lightness": value})
            else:
                rows[name] = int(value) if isinstance(value, bool) else value
        if rows:
            self.book.update("fabric", known.id, rows)

    def _photograph(self, known: Fabric, swatch: NewSwatch) -> None:
        """Its colour is taken where the file gives none and the stash has none, or where the file replaces."""
        fabric_changes.photographed(self.book, known.id, swatch)
        self._done.append("photograph")
        if "measured" in self.listed.fields:
            return
        if known.measured is None or self.replace:
            self.book.put("colour", known.id, fabric_changes.colour_values(swatch.measured.colour))
            self._done.append("colour")
        else:
            self._left.append("colour (replacing takes the photograph's)")

    def _pieces(self, known: Fabric, wanted: list[NewPiece]) -> None:
        pairs, missing, extra = paired(known.pieces, wanted)
        differ = [(one, new) for one, new in pairs if state_of(one) != State.new(new)]
        if self.replace and (differ or missing or extra):
            become(self.book, known, wanted)
            self._done.append(f"pieces are now {self._size(tuple(wanted))}")
            return
        for one, new in differ:
            self.book.set_piece(one.id, one.rev, state_of(one), State.new(new))
        self._say_differ(differ)
        if extra and (self.add or not known.recorded):
            for new in extra:
                self.book.new_piece(known.id, State.new(new))
            self._done.append(f"{pieces_text([(new.length, new.width) for new in extra])} added")
            extra = []
        self._say_left(missing, extra)

    def _say_differ(self, differ: Pairs) -> None:
        for one, new in differ:
            self._done.append(f"piece {one.id} is now {size_text(new.length, new.width)}")

    def _say_left(self, missing: list[Piece], extra: list[NewPiece]) -> None:
        if extra:
            sizes = pieces_text([(new.length, new.width) for new in extra])
            self._left.append(f"the file has {sizes} more (add or replace to take it)")
        if missing and not self.add:
            sizes = pieces_text([(one.length, one.width) for one in missing])
            self._left.append(f"the file lacks {sizes} (replace to use it up)")
