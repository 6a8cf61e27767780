"""Where answers go: one JSON document or plain lines on standard output, everything else on standard error."""

from __future__ import annotations

import json
import sys
import unicodedata
from collections.abc import Iterable, Sequence
from typing import Any, TextIO


class Output:
    """Writes the answer of one command. `as_json` is what --json asked for."""

    def __init__(self, as_json: bool) -> None:
        self.as_json = as_json

    def answer(self, document: Any, lines: Iterable[str]) -> None:
        """The command's one answer: `document` as JSON, or `lines` as text (a generator is not run for JSON)."""
        if self.as_json:
            write(sys.stdout, json.dumps(document, indent=2, allow_nan=False))
            return
        for line in lines:
            write(sys.stdout, line)

    def say(self, text: str) -> None:
        """A remark beside the answer, on standard error."""
        write(sys.stderr, text)


def write(stream: TextIO, line: str) -> None:
    """One line, in whatever the stream can write: a letter it has no code for comes out escaped."""
    encoding = stream.encoding or "utf-8"
    stream.write(line.encode(encoding, "backslashreplace").decode(encoding) + "\n")


_NO_WIDTH = ("Mn", "Me", "Cf")  # marks over other letters, joiners
_JOINERS = "\u200c\u200d"  # between the letters of some scripts, and the parts of one emoji: they steer nothing


def clean(text: str) -> str:
    """Text from a stash or a file as a terminal may see it: control codes are shown, never sent."""
    return "".join(c if c.isprintable() or c in _JOINERS else c.encode("unicode_escape").decode() for c in text)


def columns(text: str) -> int:
    """How many columns of a terminal `text` takes."""
    return sum(
        0 if unicodedata.category(c) in _NO_WIDTH else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text
    )


def table(heads: Sequence[str], rows: Iterable[Sequence[str]], right: str = "") -> list[str]:
    """Aligned lines under `heads`, two spaces between columns, no rules: plain enough for a screen reader.

    `right` has an "r" at the place of each column that is set to the right ("l r" style: "lrr").
    """
    cells = [[*heads], *([clean(cell) for cell in row] for row in rows)]
    widths = [max(columns(row[i]) for row in cells) for i in range(len(heads))]
    return [_line(row, widths, right.ljust(len(heads), "l")) for row in cells]


def _line(row: Sequence[str], widths: Sequence[int], sides: str) -> str:
    parts = []
    for cell, width, side in zip(row, widths, sides, strict=True):
        gap = " " * (width - columns(cell))
        parts.append(gap + cell if side == "r" else cell + gap)
    return "  ".join(parts).rstrip()
