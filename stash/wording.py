"""Small parts of sentences: how many of what, and several names in a row."""

from __future__ import annotations

from collections.abc import Sequence


def counted(count: int, word: str) -> str:
    """`1 strip`, `4 strips`: words whose plural is an s."""
    return f"{count} {word}{'' if count == 1 else 's'}"


def listed(words: Sequence[str]) -> str:
    """`Moss`, `Moss and Fern`, `Moss, Fern and Sage`."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
