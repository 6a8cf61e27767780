"""A whole stash as one JSON text: its form, its checksum, and what is refused before anything is made of it.

    {"format": "starcover stash", "version": 3,
     "tables": {"op": {"columns": ["id", ...], "rows": [[1, ...], ...]}, ...},
     "sha256": "..."}

Pictures are base64. `version` is that of the stash's form, as in the header of its file. The checksum is taken over
what is said, not over how it is set, so a file that a mail program broke into other lines is still whole: SHA-256
of the format, a space, the version, then for each table in the file's order [name, columns] and each row, all as
compact ASCII JSON, each ended by a line feed.
"""

from __future__ import annotations

import hashlib
import json
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

from stash.errors import Fault
from stash.files import read_up_to
from stash.inventory.schema import SCHEMA_VERSION
from stash.lengths import shown

FORMAT = "starcover stash"
MOST_BYTES = 500_000_000
MOST_VALUES = 50_000_000
MOST_LISTS = 5_000_000
DEEPEST = 8  # lists in lists; a stash has five

_FIRST_VERSION = 3  # no older program wrote JSON
_ENDS = re.compile(r'"(?:[^"\\]++|\\.)*+"?|[\[{]|[\]}]', re.DOTALL)
_NOTHING = "nothing was taken from this file"
_ANOTHER = "take another copy of it"

Value = int | float | str | None


@dataclass(frozen=True, slots=True)
class TableText:
    """One table: its columns, and rows of as many plain values. Bytes are base64."""

    columns: tuple[str, ...]
    rows: list[list[Value]]


def compact(value: Any) -> str:
    """A value as ASCII JSON with no spaces."""
    return json.dumps(value, allow_nan=False, separators=(",", ":"))


class Checksum:
    """The checksum of a stash, fed piece by piece in the file's order."""

    def __init__(self, version: int) -> None:
        self._sum = hashlib.sha256(f"{FORMAT} {version}\n".encode())

    def add(self, value: Any) -> str:
        """Count a table's head or a row; gives its text."""
        said = compact(value)
        self._sum.update(said.encode() + b"\n")
        return said

    def hex(self) -> str:
        """The SHA-256 of all that was counted, in hex."""
        return self._sum.hexdigest()


def read(path: Path) -> dict[str, TableText]:
    """The tables of a file by name. Raises Fault, with the file as its place, for all that is not whole and ours."""
    text = _text(path)
    _limits(text, path)
    document = _parsed(text, path)
    del text  # a stash with its pictures is large
    version = _version(document, path)
    tables = {name: _table(name, given, path) for name, given in _tables(document, path).items()}
    summed = Checksum(version)
    for name, table in tables.items():
        summed.add([name, table.columns])
        for row in table.rows:
            summed.add(row)
    if document.get("sha256") != summed.hex():
        raise damaged("this file was changed since it was written", path)
    return tables


def _text(path: Path) -> str:
    data = read_up_to(path, MOST_BYTES, "JSON file", "copy the stash file itself")
    if not data.strip():
        raise Fault("this file is empty", str(path), _ANOTHER)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Fault(f"this file is no JSON in UTF-8; {_NOTHING}", str(path), "name a file that export wrote") from None


def _limits(text: str, path: Path) -> None:
    """Refuse what would fill the memory when it is parsed. Counted with what stands inside texts: never too few."""
    if text.count(",") > MOST_VALUES or text.count("[") + text.count("{") > MOST_LISTS:
        raise damaged("this file has more in it than any stash", path)
    deep = 0
    for end in _ENDS.finditer(text):
        if (mark := end[0]) in ("[", "{"):
            deep += 1
            if deep > DEEPEST:
                raise damaged(f"lists stand in lists over {DEEPEST} deep", path)
        elif mark in ("]", "}"):
            deep -= 1


class _NotOurs(ValueError):
    """What JSON readers let pass and we do not."""


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, value in pairs:
        if name in found:
            raise _NotOurs(f'"{shown(name)}" stands there twice')
        found[name] = value
    return found


def _no_constant(word: str) -> NoReturn:
    raise _NotOurs(f"{word} is no number")


def _whole(digits: str) -> int:
    if len(digits) > 20:
        raise _NotOurs(f"a number has {len(digits)} digits")
    return int(digits)


def _real(digits: str) -> float:
    value = float(digits)
    if len(digits) > 40 or not math.isfinite(value):
        raise _NotOurs(f'"{shown(digits)}" is no number')
    return value


def _parsed(text: str, path: Path) -> dict[str, Any]:
    try:
        document = json.loads(
            text, object_pairs_hook=_once, parse_constant=_no_constant, parse_int=_whole, parse_float=_real
        )
    except json.JSONDecodeError as error:
        what = f"this file is cut short or no JSON (line {error.lineno}, column {error.colno}: {error.msg})"
        raise damaged(what, path) from None
    except (_NotOurs, RecursionError) as error:
        raise damaged(str(error), path) from None
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise Fault(f"this JSON is no stash; {_NOTHING}", str(path), "name a file that export wrote")
    return document


def _version(document: dict[str, Any], path: Path) -> int:
    version = document.get("version")
    if type(version) is not int or version < _FIRST_VERSION:
        raise damaged("it does not say its version", path)
    if version > SCHEMA_VERSION:
        raise Fault(
            f"this file was written by a newer starcover (version {version} of the stash; this one knows"
            f" {SCHEMA_VERSION}); {_NOTHING}",
            str(path),
            "start the newer starcover, or bring this one up to date",
        )
    return version


def _tables(document: dict[str, Any], path: Path) -> dict[str, Any]:
    tables = document.get("tables")
    unknown = sorted(set(document) - {"format", "version", "tables", "sha256"})
    if unknown:
        raise damaged(f'it has a part "{shown(unknown[0])}" that is unknown', path)
    if not isinstance(tables, dict):
        raise damaged("it has no tables", path)
    return tables


def _table(name: str, given: Any, path: Path) -> TableText:
    if not isinstance(given, dict) or set(given) != {"columns", "rows"}:
        raise damaged(f'the table "{shown(name)}" is not columns and rows', path)
    columns, rows = given["columns"], given["rows"]
    if not isinstance(columns, list) or not all(isinstance(one, str) for one in columns):
        raise damaged(f'the columns of the table "{shown(name)}" are not names', path)
    if not isinstance(rows, list):
        raise damaged(f'the rows of the table "{shown(name)}" are no list', path)
    for number, row in enumerate(rows, 1):
        if not isinstance(row, list) or len(row) != len(columns) or not all(map(_is_value, row)):
            raise damaged(f'row {number} of the table "{shown(name)}" is not {len(columns)} plain values', path)
    return TableText(tuple(columns), rows)


def _is_value(value: Any) -> bool:
    return value is None or type(value) in (int, float, str)


def damaged(what: str, path: Path) -> Fault:
    """The fault of a file that is not just as an export wrote it."""
    return Fault(f"{what}; {_NOTHING}", str(path), _ANOTHER)


def head(version: int) -> str:
    """The text before the first table."""
    return f'{{\n"format": {compact(FORMAT)},\n"version": {version},\n"tables": {{'


def table_head(name: str, columns: Sequence[str]) -> str:
    """The text of a table before its first row."""
    return f'{compact(name)}: {{"columns": {compact(list(columns))}, "rows": ['


def tail(checksum: str) -> str:
    """The text after the last table."""
    return f'\n}},\n"sha256": {compact(checksum)}\n}}\n'


def lines(rows: Iterator[str]) -> Iterator[str]:
    """Rows, each on a line of its own, with the commas between them."""
    for number, row in enumerate(rows):
        yield f"{',' if number else ''}\n{row}"
