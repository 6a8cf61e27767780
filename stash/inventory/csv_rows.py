"""From the cells of a CSV file to fabrics, with a fault at its line and column for each cell that is off."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from typing import Any, TypeVar

from stash.colour.lab import lab_from_hex
from stash.errors import UsageFault
from stash.inventory.checks import LONGEST, SOURCES, checked_colour, checked_name, checked_text, checked_value
from stash.inventory.csv_text import CellFault, Row, Sheet
from stash.lengths import mixed, shown
from stash.model import Colour, Kind, NewPiece
from stash.names import name_key
from stash.typed import SIZES, read_pieces

# The header of an exported file. The last four are ours beyond what a typed list has: a size that is a guess, the
# value by eye beside the measured one, where the colour comes from, and what is archived.
COLUMNS = (
    "fabric", "length", "width", "pieces", "kind", "directional", "washed", "L", "a", "b", "photo", "piece",
    "place", "note", "price", "cut", "about", "by eye", "colour from", "archived",
)  # fmt: skip
KNOWN = (*COLUMNS, "colour")
USED_UP = "used up"  # in the column length: nothing is left, which is not the same as not measured yet

T = TypeVar("T")
_YES_NO = {"yes": True, "y": True, "true": True, "1": True, "no": False, "n": False, "false": False, "0": False}
_KINDS = {**{str(kind): kind for kind in Kind}, "fq": Kind.FAT_QUARTER, "fe": Kind.FAT_EIGHTH}
_NUMBER = re.compile(r"[+-]?(?:\d{1,3}(?:\.\d{0,20})?|\.\d{1,20})(?:[eE][+-]?\d{1,3})?", re.ASCII)
_WHOLE = re.compile(r"\d{1,9}", re.ASCII)


@dataclass(slots=True)
class Listed:
    """A fabric as the file has it. Fields that no row fills are left out of `fields`.

    `fields` has Fabric's own names: directional, washed, place, note, price, photo, archived, measured,
    value_by_eye. `pieces` is None where the file says nothing of pieces, () for used up. `at` has the line that
    first fills a field.
    """

    name: str
    line: int
    fields: dict[str, Any] = field(default_factory=dict)
    at: dict[str, int] = field(default_factory=dict)
    pieces: list[NewPiece] | None = None


class Reader:
    """Reads the rows of a sheet one by one; `fabrics` by their key, and every fault in `sheet.faults`."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.fabrics: dict[str, Listed] = {}
        self._seen: set[int] = set()

    def read(self) -> dict[str, Listed]:
        """All rows; the faults are then in the order of the file."""
        for row in self.sheet.rows:
            self._row(row)
        self.sheet.faults.sort(key=lambda one: (one.line, one.column))
        return self.fabrics

    def _fault(self, row: Row, column: str, text: str) -> None:
        name = column if column in self.sheet.columns else ""
        self.sheet.faults.append(CellFault(row.line, self.sheet.columns.get(column, 0), name, text))

    def _try(self, row: Row, column: str, read: Callable[[str], T]) -> T | None:
        """A cell as `read` gives it; None where it is empty or off."""
        text = row.cells.get(column)
        if text is None:
            return None
        try:
            return read(text)
        except UsageFault as fault:
            self._fault(row, column, fault.said())
            return None

    def _row(self, row: Row) -> None:
        if "fabric" not in row.cells:
            self._fault(row, "fabric", "the name of the fabric is empty")
            return
        name = self._try(row, "fabric", checked_name)
        if name is None:
            return
        listed = self.fabrics.setdefault(name_key(name), Listed(name, row.line))
        for column, value in self._fields(row).items():
            self._agree(row, listed, column, value)
        pieces = self._pieces(row)
        if pieces is not None:
            listed.pieces = [*(listed.pieces or ()), *pieces]

    def _fields(self, row: Row) -> dict[str, tuple[str, Any]]:
        """{field: (column it stands in, value)} of the cells that are filled."""
        found: dict[str, tuple[str, Any]] = {}
        for column in ("directional", "washed", "archived"):
            found[column] = (column, self._try(row, column, _yes_no))
        for column in LONGEST:
            found[column] = (column, self._try(row, column, partial(checked_text, column)))
        found["value_by_eye"] = ("by eye", self._try(row, "by eye", lambda text: checked_value(self._number(text))))
        found["measured"] = self._colour(row)
        return {name: (column, value) for name, (column, value) in found.items() if value is not None}

    def _agree(self, row: Row, listed: Listed, name: str, given: tuple[str, Any]) -> None:
        column, value = given
        listed.at.setdefault(name, row.line)
        if listed.fields.setdefault(name, value) != value:
            self._fault(row, column, f"{listed.name} has another {column} in an earlier line")

    def _number(self, text: str) -> float:
        if self.sheet.decimal_comma:
            text = text.replace(",", ".")
        if len(text) > 40 or not _NUMBER.fullmatch(text):
            raise UsageFault(f'"{shown(text)}" is no number', do="write it like 45 or -12.5")
        return float(text)

    def _colour(self, row: Row) -> tuple[str, Colour | None]:
        axes = [axis for axis in ("L", "a", "b") if axis in row.cells]
        source = self._try(row, "colour from", _source) or "typed"
        if "colour" in row.cells:
            if axes:
                self._fault(row, "colour", "a colour is given here and in L, a, b too. Give one of them")
                return "colour", None
            return "colour", self._try(row, "colour", lambda text: lab_from_hex(text, source))
        if not axes:
            return "L", None
        if len(axes) < 3:
            absent = next(axis for axis in ("L", "a", "b") if axis not in axes)
            self._fault(row, absent, "a colour needs all of L, a and b")
            return "L", None
        values = [value for axis in axes if (value := self._try(row, axis, self._number)) is not None]
        if len(values) < 3:
            return "L", None
        worst = "L" if not -0.01 <= values[0] <= 100.01 else "a" if abs(values[1]) > 200 else "b"
        return "L", self._try(row, worst, lambda _: checked_colour(Colour(values[0], values[1], values[2], source)))

    def _pieces(self, row: Row) -> tuple[NewPiece, ...] | None:
        before = len(self.sheet.faults)
        kind = self._try(row, "kind", _kind)
        many = self._try(row, "pieces", lambda text: _whole(text, 1, 999))
        cut = self._try(row, "cut", _yes_no) or False
        about = self._try(row, "about", _yes_no) or False
        known = self._try(row, "piece", lambda text: _whole(text, 1, 999_999_999))
        if len(self.sheet.faults) > before:
            return None
        text = row.cells.get("length", "")
        if text.casefold() == USED_UP:
            return ()
        usual = SIZES[kind][0] if kind is not None else None
        if not text and usual is not None:
            text = f"{mixed(usual)} in"  # the kind says the size
        if not text:
            return None
        pieces = self._sizes(row, text, kind, many or 1)
        if not pieces or (known is not None and not self._one_id(row, known, len(pieces))):
            return None
        return tuple(replace(one, cut_before=cut, estimated=about, id=known) for one in pieces)

    def _sizes(self, row: Row, text: str, kind: Kind | None, many: int) -> tuple[NewPiece, ...]:
        width = row.cells.get("width")
        if width is not None:
            try:
                _read(text, kind, None, many)
            except UsageFault:
                pass
            else:  # the length alone is fine, so what is off is the width
                return self._try(row, "width", lambda width: _read(text, kind, width, many)) or ()
        column = "length" if "length" in row.cells else "kind"
        return self._try(row, column, lambda _: _read(text, kind, width, many)) or ()

    def _one_id(self, row: Row, known: int, pieces: int) -> bool:
        if pieces > 1:
            self._fault(row, "pieces", "a piece with an id stands in a line of its own")
        elif known in self._seen:
            self._fault(row, "piece", f"piece {known} is there twice")
        else:
            self._seen.add(known)
            return True
        return False


@lru_cache(maxsize=4096)
def _read(text: str, kind: Kind | None, width: str | None, many: int) -> tuple[NewPiece, ...]:
    return read_pieces(text, kind=kind, width=width, count=many)


def _yes_no(text: str) -> bool:
    if text.casefold() not in _YES_NO:
        raise UsageFault(f'"{shown(text)}" is neither yes nor no', do="write yes or no")
    return _YES_NO[text.casefold()]


def _kind(text: str) -> Kind:
    kind = _KINDS.get(" ".join(text.casefold().split()))
    if kind is None:
        raise UsageFault(f'"{shown(text)}" is no kind of piece', do=f"use one of {', '.join(map(str, Kind))}")
    return kind


def _source(text: str) -> str:
    if text.casefold() not in SOURCES:
        do = f"write {', '.join(SOURCES[:-1])} or {SOURCES[-1]}"
        raise UsageFault(f'"{shown(text)}" is no source of a colour', do=do)
    return text.casefold()


def _whole(text: str, least: int, most: int) -> int:
    if not _WHOLE.fullmatch(text) or not least <= int(text) <= most:
        raise UsageFault(f'"{shown(text)}" is no whole number from {least} to {most}', do="write it in digits")
    return int(text)
