"""Memory of a stash of 10,000 fabrics with photographs, held as the interface holds it, against its plain rows.

Each is a new process that tells how much it grew while it read. The reference reads every row of the same tables
(but for the pictures) with sqlite3 and keeps the tuples. Pictures stay in the file: the second figure is what the
interface holds against the file's size.
"""

from __future__ import annotations

import dataclasses
import io
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from PIL import Image

from stash.inventory.exchange import import_csv
from stash.inventory.store import Store
from stash.model import Colour, Fabric, Measured, NewSwatch, PaletteColour, Reference
from tests.bench.invented import fabrics
from tests.bench.measure import Figure, figure

COUNT, ROUNDS, MEGA = 10_000, 3, 1e6
GROWN = """
import os, sys
from pathlib import Path
def resident():
    return int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE")
"""
OURS = GROWN + """
from stash.inventory.store import Store
from tui.state import read_stash
from tui.widgets.fabric_lines import make_lines
with Store.open(sys.argv[1]) as store:
    store.history(limit=1)
    before = resident()
    loaded = read_stash(store)
    lines = make_lines(loaded.fabrics)
print(resident() - before)
"""
PLAIN = GROWN + """
import sqlite3
stash = sqlite3.connect(sys.argv[1])
names = [name for name, in stash.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
before = resident()
rows = [stash.execute(f'SELECT * FROM "{name}"').fetchall() for name in names
        if name not in ("picture", "thumbnail", "op", "line", "change")]
print(resident() - before)
"""


def figures() -> list[Figure]:
    with tempfile.TemporaryDirectory(prefix="starcover-bench-") as folder:
        path = Path(folder, "stash.db")
        make_stash(path)
        own, plain = ([_grown(code, path) for _ in range(ROUNDS)] for code in (OURS, PLAIN))
        size = [path.stat().st_size / MEGA] * ROUNDS
        return [
            figure(f"{COUNT:,} fabrics with photographs", own, "plain rows", plain, unit="MB"),
            figure("the same", own, "the file", size, unit="MB"),
        ]


def _grown(code: str, path: Path) -> float:
    """MB that a new process grew by."""
    command = [sys.executable, "-c", code, str(path)]
    return int(subprocess.run(command, check=True, capture_output=True, text=True).stdout) / MEGA


def make_stash(path: Path) -> None:
    """Invented fabrics, each with a photograph of its own; taken in as a file is, in one go."""
    stash = fabrics(COUNT)
    shots = {f"{fabric.id}.jpg": _swatch(fabric) for fabric in stash}
    with Store.create(path) as store:
        sheet = path.with_name("stash.csv")
        sheet.write_text("\n".join(["fabric,length,width,kind,photo", *_rows(stash)]), encoding="utf-8")
        import_csv(store, sheet, photos=shots.get)


def _rows(stash: Sequence[Fabric]) -> list[str]:
    return [
        f"{fabric.name},{piece.length / 8128:g} in,{piece.width / 8128:g} in,{piece.kind},{fabric.id}.jpg"
        for fabric in stash for piece in fabric.pieces
    ]  # fmt: skip


def _swatch(fabric: Fabric) -> NewSwatch:
    """As measuring makes one: four main colours, a picture (small here) and a thumbnail that no other fabric has."""
    assert fabric.colour is not None
    seen = dataclasses.replace(fabric.colour, source="measured")
    main = tuple(PaletteColour(Colour(seen.L, seen.a + i, seen.b, "measured"), 0.25) for i in range(4))
    picture = io.BytesIO()
    weave = np.random.default_rng(fabric.id).integers(0, 255, (96, 128, 3), dtype=np.uint8)
    Image.fromarray(weave).save(picture, "JPEG", quality=70)
    measured = Measured(seen, seen.L - 5, seen.L + 5, 8.0, main, (0, 0, 4000, 3000), Reference.PAPER, ())
    return NewSwatch(measured, f"{fabric.id}.jpg", f"{fabric.id:064x}", picture.getvalue(), picture.getvalue())
