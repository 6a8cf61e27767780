"""The figures as a table: plain text, which Markdown shows as a table too."""

from __future__ import annotations

import os
import platform
from collections.abc import Sequence
from pathlib import Path

from tests.bench.measure import Figure

HEADS = ("what", "ours", "against", "reference", "ratio", "goal", "")


def machine() -> str:
    """Cores, processor and Python, in one line."""
    model = platform.processor() or platform.machine()
    facts = Path("/proc/cpuinfo")
    if facts.is_file():
        names = [line.split(":", 1)[1].strip() for line in facts.read_text().splitlines() if "model name" in line]
        model = names[0] if names else model
    return f"{os.cpu_count()} cores, {model}, Python {platform.python_version()}"


def rows_of(figures: Sequence[Figure]) -> list[tuple[str, ...]]:
    return [
        (
            one.what, amount(one.ours, one.unit), one.against, amount(one.reference, one.unit), said(one.ratio),
            one.goal, "" if one.met is None else "met" if one.met else "missed",
        )
        for one in figures
    ]  # fmt: skip


def amount(value: float, unit: str) -> str:
    if unit != "s":
        return f"{value:.0f} {unit}"
    return f"{value:.2f} s" if value >= 1 else f"{1000 * value:.0f} ms" if value >= 0.01 else f"{1000 * value:.2f} ms"


def said(ratio: float) -> str:
    """A ratio to two figures; small ones as a part."""
    return f"{ratio:.2g}" if ratio >= 0.1 else f"1/{1 / ratio:.2g}" if 1 / ratio < 100 else f"1/{1 / ratio:.0f}"


def table(figures: Sequence[Figure]) -> str:
    rows = [HEADS, *rows_of(figures)]
    widths = [max(len(row[column]) for row in rows) for column in range(len(HEADS))]
    lines = [f"| {' | '.join(cell.ljust(width) for cell, width in zip(row, widths, strict=True))} |" for row in rows]
    lines.insert(1, "|" + "|".join("-" * (width + 2) for width in widths) + "|")
    return "\n".join(lines)
