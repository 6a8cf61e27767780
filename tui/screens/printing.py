"""A star written to a file from the screens: pages, a picture, or the list for the shop, as the file's ending says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from stash.errors import UsageFault
from stash.model import Colouring, Fabric, SavedStar, StoredPlan

if TYPE_CHECKING:
    from stash.inventory.store import Store
    from stash.sheets.job import Job

PIXELS = 1600
KINDS = {".pdf": "application/pdf", ".png": "image/png", ".txt": "text/plain"}


@dataclass(frozen=True)
class Printed:
    """What is printed: a colouring of a saved star, the cloth it may take, and its kept plan if it has one. `keeps`:
    a plan that is printed is kept."""

    saved: SavedStar
    number: int
    colouring: Colouring
    cloth: tuple[Fabric, ...]
    plan: StoredPlan | None = None
    keeps: bool = True

    @property
    def paper(self) -> str:
        return "a4" if self.saved.star.units == "cm" else "letter"


@dataclass(frozen=True)
class Ready:
    """All that the pages and the picture tell, with the fabrics' photographs by fabric id."""

    job: Job
    pictures: Mapping[int, bytes]
    paper: str


def offered_path(name: str) -> Path:
    """Where the pages go if nothing else is said: in the home folder, under the star's name."""
    plain = "".join(c if c.isalnum() or c in " -_" else "_" for c in name).strip() or "star"
    return Path("~") / f"{plain}.pdf"


def kind_of(path: str) -> str:
    """The ending that says what is written. Raises UsageFault for one that says nothing."""
    kind = Path(path.strip()).suffix.casefold()
    if kind not in KINDS:
        raise UsageFault("what is written is told by the file's ending", do="use .pdf, .png or .txt")
    return kind


def make_ready(store: Store, printed: Printed) -> Ready:
    """Ask the stash. Call it on the stash's thread. Raises Fault where the colouring cannot be asked about."""
    from stash.sheets.job import make_job

    saved = printed.saved
    job = make_job(saved.name, printed.number, saved.star, printed.colouring, printed.cloth, printed.plan)
    names = {name for used in job.colouring.uses.values() for name in used} | {job.colouring.ground or ""}
    fabrics = [job.fabrics[name] for name in names if name in job.fabrics]
    found = {fabric.id: store.picture(fabric.id) for fabric in fabrics if fabric.swatch is not None}
    return Ready(job, {key: data for key, data in found.items() if data is not None}, printed.paper)


def keep_plan(store: Store, printed: Printed, ready: Ready) -> Ready:
    """A star whose cutting page is printed has its plan kept. Call it on the stash's thread."""
    if not printed.keeps or printed.plan is not None or not ready.job.coverage.covered or store.read_only:
        return ready
    kept = store.keep_plan(printed.saved.id, printed.number, ready.job.coverage.cuts)
    return make_ready(store, replace(printed, plan=kept))


def contents(ready: Ready, kind: str) -> bytes:
    """What a file of this ending (one of `KINDS`) holds."""
    if kind == ".txt":
        from stash.sheets.shop import shop_text

        return shop_text(ready.job).encode()
    file = BytesIO()
    if kind == ".png":
        from stash.sheets.star_picture import draw_star, palette

        job = ready.job
        draw_star(job.star, palette(job.colouring, job.fabrics, ready.pictures), PIXELS).save(file, "PNG")
    else:
        from stash.sheets.document import PAGES, write_pdf

        today = datetime.now().astimezone().date()
        write_pdf(file, ready.job, paper=ready.paper, pages=tuple(PAGES), day=today)
    return file.getvalue()


def not_drawn(ready: Ready, kind: str) -> str:
    """What the page's font cannot draw of the names, as a sentence; "" for nothing."""
    from stash.sheets.document import cannot_print

    lost = cannot_print(ready.job) if kind == ".pdf" else ""
    return f". An empty box stands for each of {' '.join(lost)}" if lost else ""
