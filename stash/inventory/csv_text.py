"""From the bytes of a CSV file to rows of named cells, with the line and column of whatever is wrong.

Read as spreadsheets write: UTF-8 with or without a byte order mark, or UTF-16 with one; comma, semicolon or tab,
whichever makes the first line a header that is known; any line ends. Nothing is guessed: what is not clear is named.
"""

from __future__ import annotations

import codecs
import csv
import io
import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from stash.errors import Fault
from stash.files import read_up_to
from stash.lengths import shown
from stash.wording import counted

MOST_BYTES = 32_000_000
MOST_ROWS = 100_000
MOST_COLUMNS = 200
MOST_SHOWN = 100

# A cell that starts so would be taken for a formula by a spreadsheet. One apostrophe before it keeps it text; a
# text that begins with apostrophes and then so gets one more, so that one always comes off again.
_FORMULA = re.compile(r"'*[=+\-@\t\r]")
_GUARDED = re.compile(r"'+[=+\-@\t\r]")
_NOT_UTF8 = re.compile("[\ud800-\udfff]")

# What a file begins with that is something else, and what to do with it instead.
_OTHER_FILES = (
    (b"PK\x03\x04", "a spreadsheet, not CSV, or an archive", "save it from the spreadsheet as CSV UTF-8, or unpack it"),
    (b"\xd0\xcf\x11\xe0", "a spreadsheet, not CSV", "save it from the spreadsheet as CSV UTF-8"),
    (b"\x1f\x8b", "an archive, not CSV", "unpack it and name the CSV file"),
    (b"BZh", "an archive, not CSV", "unpack it and name the CSV file"),
    (b"\xfd7zXZ", "an archive, not CSV", "unpack it and name the CSV file"),
    (b"7z\xbc\xaf", "an archive, not CSV", "unpack it and name the CSV file"),
    (b"SQLite format 3\0", "a stash or another database, not CSV", "name it with --db to look into it"),
    (b"\xff\xd8\xff", "a picture, not CSV", "take it in with: starcover add --photos"),
    (b"\x89PNG", "a picture, not CSV", "take it in with: starcover add --photos"),
    (b"{", "JSON, not CSV", "a whole stash as JSON comes in from a file whose name ends in .json"),
)
_NUL = "there is a NUL in this cell"
_NO_UTF8 = "this cell is not UTF-8, perhaps Windows-1252; save the file as CSV UTF-8"
_TAR = b"ustar"  # at its 258th byte


@dataclass(frozen=True, slots=True)
class CellFault:
    """What is wrong at a line (from 1) and column (from 1; 0: the whole line), `name` its header."""

    line: int
    column: int
    name: str
    text: str

    def place(self) -> str:
        """`line 3, column 2 (length)`."""
        if not self.column:
            return f"line {self.line}"
        return f"line {self.line}, column {self.column}" + (f" ({self.name})" if self.name else "")

    def __str__(self) -> str:
        return f"{self.place()}: {self.text}"


class ImportFault(Fault):
    """A file of which nothing was taken. `faults` has them all in the file's order; `lines()` is for people."""

    def __init__(self, path: Path, faults: Sequence[CellFault]) -> None:
        self.faults = tuple(faults)
        first = self.faults[0]
        more = len(self.faults) - 1
        others = f" (and {counted(more, 'more fault')})" if more else ""
        super().__init__(
            f"{first.text}{others}; nothing was taken from this file",
            f"{path}, {first.place()}",
            "mend the file and import it again",
        )

    def lines(self) -> list[str]:
        """One sentence a fault, 100 at most, then how many more there are."""
        told = [str(one) for one in self.faults[:MOST_SHOWN]]
        left = len(self.faults) - len(told)
        return [*told, f"and {left} more"] if left else told


@dataclass(frozen=True, slots=True)
class Row:
    """The cells of one row by header, trimmed and freed of a guard; empty ones are left out."""

    line: int
    cells: dict[str, str]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A file that was read: which column a header stands in (from 1), the rows, whether a comma may be a decimal point
    (where it does not part the cells), and what is wrong so far."""

    columns: dict[str, int]
    rows: list[Row]
    decimal_comma: bool
    faults: list[CellFault]


def guard(text: str) -> str:
    """A text as it is written into a cell."""
    return f"'{text}" if _FORMULA.match(text) else text


def unguard(text: str) -> str:
    """What `guard` was given."""
    return text[1:] if _GUARDED.match(text) else text


def read_sheet(path: Path, known: Sequence[str]) -> Sheet:
    """Read a file whose headers are among `known` (any case). Raises Fault where it cannot be read at all."""
    text = _decoded(path)
    delimiter, columns = _header(path, text, {name.casefold(): name for name in known})
    sheet = Sheet(columns, [], delimiter != ",", [])
    names = {column: name for name, column in columns.items()}
    filled = (record for record in _records(text, delimiter, sheet.faults) if any(map(str.strip, record[1])))
    _, header = next(filled)
    for number, (line, cells) in enumerate(filled, 1):
        if number > MOST_ROWS:  # ragged ones too, so that not even their faults can fill the memory
            raise Fault(f"this file has over {MOST_ROWS:,} rows", str(path), "split it into several files")
        if cells == header:
            sheet.faults.append(CellFault(line, 1, "", "the first line stands here once more; take this line out"))
        else:
            _take(sheet, line, cells, names)
    return sheet


def _decoded(path: Path) -> str:
    data = read_up_to(path, MOST_BYTES, "CSV file", "split it into several files")
    if not data.strip():
        raise Fault("this file is empty", str(path), "export it again, with a header that has a column fabric")
    _refuse_other_files(data, path)
    wide = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    try:
        return data.decode("utf-16") if wide else data.decode("utf-8-sig", "surrogateescape")
    except UnicodeDecodeError:
        raise Fault("this file is broken UTF-16", str(path), "save it again as CSV UTF-8") from None


def _refuse_other_files(data: bytes, path: Path) -> None:
    for head, what, do in _OTHER_FILES:
        if data.startswith(head):
            raise Fault(f"this is {what}", str(path), do)
    if data[257:262] == _TAR:
        raise Fault("this is an archive, not CSV", str(path), "unpack it and name the CSV file")
    if data.startswith((codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)):
        raise Fault("this file is UTF-32, which is not read", str(path), "save it again as CSV UTF-8")
    if b"\0" in data[:4] and not data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        what = "this file is UTF-16 without the mark that says so, or no text"
        raise Fault(what, str(path), "save it again as CSV UTF-8")


def _header(path: Path, text: str, known: dict[str, str]) -> tuple[str, dict[str, int]]:
    """The delimiter that makes the most known names of the first line, and where each name stands."""
    best: tuple[int, str, int, list[str]] = (-1, ",", 1, [])
    for delimiter in (",", ";", "\t"):
        filled = (record for record in _records(text, delimiter, []) if any(map(str.strip, record[1])))
        line, cells = next(filled, (1, []))
        names = [cell.strip().casefold() for cell in cells]
        hits = sum(name in known for name in names)
        if hits > best[0]:
            best = (hits, delimiter, line, names)
    _, delimiter, line, names = best
    while names and not names[-1]:
        names.pop()
    if len(names) > MOST_COLUMNS:
        too_many = f"the first line has {len(names):,} cells, and a stash has not so many columns"
        raise ImportFault(path, [CellFault(line, MOST_COLUMNS + 1, "", too_many)])
    if "fabric" not in names:
        raise ImportFault(path, [CellFault(line, 0, "", "the first line has no column called fabric")])
    faults: list[CellFault] = []
    columns: dict[str, int] = {}
    for column, name in enumerate(names, 1):
        if name not in known:
            faults.append(CellFault(line, column, "", _unknown(name, known)))
        elif known[name] in columns:
            faults.append(CellFault(line, column, known[name], "this column is there twice"))
        else:
            columns[known[name]] = column
    if faults:
        raise ImportFault(path, faults)
    return delimiter, columns


def _unknown(name: str, known: dict[str, str]) -> str:
    from difflib import get_close_matches

    near = get_close_matches(name[:40], known, n=1, cutoff=0.6)
    hint = f'did you mean "{known[near[0]]}"?' if near else f"known are {', '.join(known.values())}"
    return f'no column is called "{shown(name)}"; {hint}'


def _records(text: str, delimiter: str, faults: list[CellFault]) -> Iterator[tuple[int, list[str]]]:
    """(line it starts at, cells) of each record. What the form itself breaks ends the reading with a fault."""
    source = io.StringIO(text, newline="")
    reader = csv.reader(source, delimiter=delimiter, strict=True)
    while True:
        line = reader.line_num + 1
        try:
            yield line, next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            rest = "".join(itertools.islice(io.StringIO(text, newline=""), line - 1, None))
            faults.append(CellFault(line, _broken_column(rest, delimiter), "", _broken(str(error))))
            return


def _broken_column(record: str, delimiter: str) -> int:
    """The column (from 1) of the cell that breaks the form of the record at the start of a text.

    RFC 4180: a quoted cell ends at a quotation mark that is not doubled, before a delimiter or a line end.
    """
    column, start = 1, 0
    while start < len(record):
        end = start + 1
        if record[start] == '"':
            closing = re.compile('[^"]*(?:""[^"]*)*"').match(record, start + 1)
            if closing is None:
                return column
            end = closing.end()
            if record[end : end + 1] not in ("", delimiter, "\r", "\n"):
                return column
        else:
            end = min((at for at in (record.find(c, start) for c in (delimiter, "\r", "\n")) if at >= 0),
                      default=len(record))  # fmt: skip
        if end - start > csv.field_size_limit() or record[end : end + 1] != delimiter:
            return column
        column, start = column + 1, end + 1
    return column


def _broken(error: str) -> str:
    if "unexpected end of data" in error:
        return "a quotation mark is opened in this row and never closed"
    if "field larger" in error:
        return "a cell is far too long, or a quotation mark in this row is never closed"
    if "expected after" in error:
        return "there is text behind a closing quotation mark; a mark inside a cell is written twice"
    return f"this row cannot be read ({error})"


def _take(sheet: Sheet, line: int, cells: list[str], names: dict[int, str]) -> None:
    while len(cells) > len(names) and not cells[-1].strip():
        cells.pop()
    if len(cells) != len(names):
        many = f"this row has {len(cells)} cells, the first line has {len(names)}"
        sheet.faults.append(CellFault(line, min(len(cells), len(names)) + 1, "", many))
        return
    found: dict[str, str] = {}
    bad = False
    for column, cell in enumerate(cells, 1):
        if "\0" in cell or _NOT_UTF8.search(cell):
            bad = True
            sheet.faults.append(CellFault(line, column, names[column], _NUL if "\0" in cell else _NO_UTF8))
        elif cell.strip():
            found[names[column]] = unguard(cell.strip())
    if not bad:  # else its other cells would only be faults in the wake of this one
        sheet.rows.append(Row(line, found))
