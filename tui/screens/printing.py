"""A star written to a file from the screens: pages, a picture, or the list for the shop, as the file's ending says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from stash.errors import UsageFault
from stash.model import Colouring, Fabric, SavedStar

if TYPE_CHECKING:
    from stash.inventory.store import Store
    from stash.sheets.job import Job

PIXELS = 1600
MOST_BYTES = 120  # of a file's name; file systems take 255
PAPERS = {"letter": "letter", "a4": "A4"}  # with what each is called
KINDS = {".pdf": "application/pdf", ".png": "image/png", ".txt": "text/plain"}


@dataclass(frozen=True)
class Printed:
    """What is printed: a colouring of a saved star; the cloth it may take, and that cloth as it is where it was asked
    for as it will be once washed: a kept plan is cut from it as it is, and a new one is kept only then."""

    saved: SavedStar
    number: int
    colouring: Colouring
    cloth: tuple[Fabric, ...]
    as_it_is: tuple[Fabric, ...]
    chosen: str = ""  # the paper that was chosen, of `PAPERS`

    @property
    def paper(self) -> str:
        """The paper that was chosen; else A4 for a star in cm and letter for one in inches."""
        return self.chosen or ("a4" if self.saved.star.units == "cm" else "letter")


@dataclass(frozen=True)
class Ready:
    """All that the pages and the picture tell, with the fabrics' photographs by fabric id."""

    job: Job
    pictures: Mapping[int, bytes]
    paper: str


def offered_path(name: str) -> Path:
    """Where the pages go if nothing else is said: in the home folder, under the star's name."""
    plain = "".join(c if c.isalnum() or c in " -_" else "_" for c in name).strip() or "star"
    short = plain.encode()[:MOST_BYTES].decode(errors="ignore").strip()
    return Path("~") / f"{short}.pdf"


def kind_of(path: str) -> str:
    """The ending that says what is written. Raises UsageFault for one that says nothing."""
    kind = Path(path.strip()).suffix.casefold()
    if kind not in KINDS:
        raise UsageFault("what is written is told by the file's ending", do="use .pdf, .png or .txt")
    return kind


def make_ready(store: Store, printed: Printed) -> Ready:
    """Ask the stash. Call it on the stash's thread. Raises Fault where the colouring cannot be asked about."""
    from stash.sheets.job import make_job, pictures_of

    saved = printed.saved
    plans = store.plans(saved.id, printed.number)
    waiting = any(strip.booked is None for plan in plans for strip in plan.strips)
    cloth = printed.as_it_is if waiting else printed.cloth
    job = make_job(saved.name, printed.number, saved.star, printed.colouring, cloth, plans)
    return Ready(job, pictures_of(job.colouring, job.fabrics, store.picture), printed.paper)


def keep_plan(store: Store, printed: Printed, ready: Ready) -> Ready:
    """A star whose cutting page is printed has its plan kept. Call it on the stash's thread."""
    after_wash = printed.cloth != printed.as_it_is
    if ready.job.plan or after_wash or not ready.job.coverage.covered or store.read_only:
        return ready
    store.keep_plan(printed.saved.id, printed.number, ready.job.coverage.cuts)
    return make_ready(store, printed)


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
