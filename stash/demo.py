"""The demo stash: sixty invented fabrics and two saved stars, made into a stash file of its own.

Its files stand in `fixtures/demo` of the source tree and travel inside the installed package as `stash/demo_files`.
The fabrics' colours were measured from their photographs beforehand, so that the demo starts at once.
"""

from __future__ import annotations

import json
import tempfile
from pathlib import Path
from typing import Any
from zipfile import ZipFile

from stash.errors import Fault
from stash.inventory.exchange import import_csv
from stash.inventory.store import Store
from stash.lengths import read_length
from stash.model import Colour, Colouring, Measured, NewSwatch, PaletteColour, Reference, Star
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
        import_csv(store, source / "stash.csv", photos=swatches(source).get)
        for saved in json.loads((source / "stars.json").read_text(encoding="utf-8")):
            star = _star(saved)
            for colouring in saved["colourings"]:
                store.save_star(saved["name"], star, _colouring(colouring))
    return path


def swatches(source: Path) -> dict[str, NewSwatch]:
    """The measured photographs of the demo's fabrics, by what their column `photo` says."""
    told = json.loads((source / "measured.json").read_text(encoding="utf-8"))
    with ZipFile(source / "swatches.zip") as pictures:
        return {
            one["photo"]: NewSwatch(
                _measured(one), one["photo"], one["hash"],
                pictures.read(f"{name}.jpg"), pictures.read(f"{name}.thumb.jpg"),
            )
            for name, one in told.items()
        }  # fmt: skip


def _measured(one: dict[str, Any]) -> Measured:
    reference = Reference(one["reference"])
    source = reference.source
    palette = tuple(PaletteColour(_colour(main, source), main["share"]) for main in one["palette"])
    x, y, width, height = one["box"]
    return Measured(
        _colour(one, source), one["value_low"], one["value_high"], one["variety"], palette, (x, y, width, height),
        reference, tuple(one["notes"]),
    )  # fmt: skip


def _colour(one: dict[str, Any], source: str) -> Colour:
    return Colour(one["L"], one["a"], one["b"], source)


def _star(saved: dict[str, Any]) -> Star:
    grid = int(saved["grid"])
    return Star(grid=grid, strip=read_length(saved["strip"]), order=make_order(saved["order"], grid))


def _colouring(saved: dict[str, Any]) -> Colouring:
    return Colouring({letter: tuple(names) for letter, names in saved["uses"].items()}, saved.get("ground"))
