"""The demo stash: sixty invented fabrics and two saved stars, made into a stash file of its own.

Its files stand in `fixtures/demo` of the source tree and travel inside the installed package as `stash/demo_files`.
"""

from __future__ import annotations

import json
import tempfile
from pathlib import Path
from typing import Any

from stash.errors import Fault
from stash.inventory.exchange import import_csv
from stash.inventory.store import Store
from stash.lengths import read_length
from stash.model import Colouring, Star
from stash.star.chart import make_order

FILE_NAME = "demo.db"


def files() -> Path:
    """The folder with `stash.csv` and `stars.json`. Raises Fault where the package came without them."""
    here = Path(__file__).resolve().parent
    for folder in (here / "demo_files", here.parent / "fixtures" / "demo"):
        if (folder / "stash.csv").is_file():
            return folder
    raise Fault("the demo's files are not there", where=str(here), do="install starcover again")


def make(folder: Path | None = None) -> Path:
    """Make the demo stash in `folder` (default: a new temporary one) and give its path."""
    place = Path(tempfile.mkdtemp(prefix="starcover-demo-")) if folder is None else folder
    return make_at(place / FILE_NAME)


def make_at(path: Path) -> Path:
    """Make the demo stash at `path`, where nothing may be yet."""
    source = files()
    with Store.create(path) as store:
        import_csv(store, source / "stash.csv")
        for saved in json.loads((source / "stars.json").read_text(encoding="utf-8")):
            star = _star(saved)
            for colouring in saved["colourings"]:
                store.save_star(saved["name"], star, _colouring(colouring))
    return path


def _star(saved: dict[str, Any]) -> Star:
    grid = int(saved["grid"])
    return Star(grid=grid, strip=read_length(saved["strip"]), order=make_order(saved["order"], grid))


def _colouring(saved: dict[str, Any]) -> Colouring:
    return Colouring({letter: tuple(names) for letter, names in saved["uses"].items()}, saved.get("ground"))
