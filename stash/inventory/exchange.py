"""A stash as CSV: in, all or nothing and as one entry of the history; and out, so that it comes back the same.

A fabric that is known keeps what it has. What the file has beyond it is filled in; what differs is reported, and
`mode` decides: "add" also adds pieces the stash has not, "replace" makes the fabric what the file says. A piece
whose id is written in the file, as an export does, and that is still there is updated in any case.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from io import TextIOWrapper
from pathlib import Path
from typing import BinaryIO

from stash.errors import Fault
from stash.files import expanded, write_whole
from stash.inventory import fabrics
from stash.inventory.csv_rows import COLUMNS, KNOWN, USED_UP, Listed, Reader
from stash.inventory.csv_text import CellFault, ImportFault, Sheet, guard, read_sheet
from stash.inventory.ledger import Book, by_uid
from stash.inventory.store import Store
from stash.inventory.swatch_checks import checked_swatch
from stash.inventory.taking import Mode, Taking, wants_photograph
from stash.lengths import exact_text
from stash.model import Fabric, NewSwatch, Piece

__all__ = ["CellFault", "ImportFault", "ImportReport", "Mode", "Photos", "export_csv", "import_csv"]

Photos = Callable[[str], NewSwatch | None]


@dataclass(frozen=True, slots=True)
class ImportReport:
    """What an import did, or would do: how many fabrics are new, changed, the same, or differ and were left.

    `lines` has a sentence for each that is new, changed or left.
    """

    new: int
    changed: int
    same: int
    lines: tuple[str, ...]
    left: int = 0


def import_csv(
    store: Store,
    path: Path | str,
    *,
    dry_run: bool = False,
    mode: Mode | None = None,
    uid: str | None = None,
    photos: Photos | None = None,
    first: Callable[[], object] | None = None,
) -> ImportReport:
    """Take in a CSV file as one entry. A dry run is the same code, rolled back at the end.

    `photos` is asked with the cell of the column `photo` of each fabric that is new, or known but without a swatch
    and with no other photo; it gives the photograph measured, or None where it knows of none. It is asked before
    anything is locked, so it may take its time. A Fault it raises is a fault of that cell. `first` is called when
    the file has proved good, before anything is written: a backup, for one.

    Raises ImportFault, with every fault's line and column, and then nothing is changed; Fault where the file
    cannot be read at all.
    """
    path = expanded(Path(path))
    sheet = read_sheet(path, KNOWN)
    listed = Reader(sheet).read()
    if sheet.faults:
        raise ImportFault(path, sheet.faults)
    swatches = {} if photos is None else _measured(store, path, sheet, listed, mode, uid, photos)
    if first is not None:
        first()
    with store.transactions.writing(keep=not dry_run) as conn:
        if uid is not None and by_uid(conn, uid) is not None:
            return ImportReport(0, 0, len(listed), ())
        book = Book(conn, "import", uid)
        report = _take_all(book, listed, mode, swatches)
        if not book.empty:
            name = "".join(c if c.isprintable() else "?" for c in path.name)
            book.finish(f"Imported {name}: {report.new} new, {report.changed} changed")
    return report


def _measured(
    store: Store, path: Path, sheet: Sheet, listed: dict[str, Listed], mode: Mode | None, uid: str | None,
    photos: Photos,
) -> dict[str, NewSwatch]:
    """The photographs of the file's fabrics by the key of their names. Raises ImportFault with every bad one."""
    with store.transactions.reading() as conn:
        if uid is not None and by_uid(conn, uid) is not None:
            return {}
        known = dict(fabrics.keyed(conn))
    found: dict[str, NewSwatch] = {}
    for key, one in listed.items():
        if not wants_photograph(one, known.get(key), mode):
            continue
        try:
            new = photos(one.fields["photo"])
            if new is not None:
                found[key] = checked_swatch(new)
        except Fault as fault:
            sheet.faults.append(CellFault(one.at["photo"], sheet.columns["photo"], "photo", fault.said()))
    if sheet.faults:
        raise ImportFault(path, sorted(sheet.faults, key=lambda fault: (fault.line, fault.column)))
    return found


def _take_all(
    book: Book, listed: dict[str, Listed], mode: Mode | None, swatches: dict[str, NewSwatch]
) -> ImportReport:
    known = dict(fabrics.keyed(book.conn))
    counts: Counter[str] = Counter()
    lines: list[str] = []
    for key, one in listed.items():
        taking = Taking(book, one, mode, swatches.get(key))
        counts[taking.take(known.get(key))] += 1
        lines += taking.lines
    return ImportReport(counts["new"], counts["changed"], counts["same"], tuple(lines), counts["left"])


def export_csv(store: Store, path: Path | str, *, overwrite: bool = False) -> int:
    """Write the whole stash, archived fabrics too, as CSV; gives how many fabrics there are.

    Raises Fault as `write_whole` does; an old file then stays as it was.
    """
    stash = store.fabrics(archived=True)

    def write(file: BinaryIO) -> None:
        text = TextIOWrapper(file, encoding="utf-8-sig", newline="")
        writer = csv.writer(text)
        writer.writerow(COLUMNS)
        for fabric in stash:
            writer.writerows(_rows(fabric))
        text.flush()
        text.detach()

    write_whole(path, write, overwrite=overwrite)
    return len(stash)


def _rows(fabric: Fabric) -> Iterator[list[str]]:
    own = _own_cells(fabric)
    for piece in fabric.pieces:
        yield _in_order(own | _piece_cells(piece))
    if not fabric.pieces:
        yield _in_order(own | ({"length": USED_UP} if fabric.recorded else {}))


def _in_order(cells: dict[str, str]) -> list[str]:
    return [cells.get(column, "") for column in COLUMNS]


def _own_cells(fabric: Fabric) -> dict[str, str]:
    cells = {"fabric": guard(fabric.name), "directional": _said(fabric.directional), "washed": _said(fabric.washed)}
    if (colour := fabric.measured) is not None:
        cells |= {"L": repr(colour.L), "a": repr(colour.a), "b": repr(colour.b), "colour from": colour.source}
    if fabric.value_by_eye is not None:
        cells["by eye"] = repr(fabric.value_by_eye)
    texts = {name: guard(getattr(fabric, name)) for name in fabrics.TEXTS}
    return cells | texts | ({"archived": "yes"} if fabric.archived else {})


def _piece_cells(piece: Piece) -> dict[str, str]:
    return {
        "length": exact_text(piece.length), "width": exact_text(piece.width), "pieces": "1", "kind": str(piece.kind),
        "piece": str(piece.id), "cut": _said(piece.cut_before), "about": _said(piece.estimated),
    }  # fmt: skip


def _said(yes: bool) -> str:
    return "yes" if yes else "no"
