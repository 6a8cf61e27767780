"""A star written to a file from the screens: pages, a picture, or the list for the shop, as the file's ending says."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from stash.errors import UsageFault
from stash.files import expanded, refuse_target, write_whole
from stash.inventory.store import Store
from stash.sheets.document import PAGES, cannot_print, write_pdf
from stash.sheets.job import Job
from stash.sheets.shop import shop_text
from stash.sheets.star_picture import draw_star, palette

PIXELS = 1600


def offered_path(name: str) -> Path:
    """Where the pages go if nothing else is said: in the home folder, under the star's name."""
    plain = "".join(c if c.isalnum() or c in " -_" else "_" for c in name).strip() or "star"
    return Path("~") / f"{plain}.pdf"


def write_file(store: Store, job: Job, path: Path) -> str:
    """Write the file and say so. Call it on the stash's thread.

    Raises Fault for a file that is there already, for an ending that is not known, and where it cannot be written.
    """
    refuse_target(expanded(path), overwrite=False)
    kind = path.suffix.casefold()
    if kind == ".pdf":
        return _pages(job, path)
    if kind == ".txt":
        text = shop_text(job)
        return f"Wrote {write_whole(path, lambda file: file.write(text.encode()))}"
    if kind == ".png":
        picture = draw_star(job.star, palette(job.colouring, job.fabrics, _pictures(store, job)), PIXELS)
        return f"Drew {write_whole(path, lambda file: picture.save(file, 'PNG'))}"
    raise UsageFault("what is to be written is told by the file's ending", path.name, "use .pdf, .png or .txt")


def _pages(job: Job, path: Path) -> str:
    paper = "a4" if job.star.units == "cm" else "letter"
    today = datetime.now().astimezone().date()
    counted: list[int] = []
    written = write_whole(
        path, lambda file: counted.append(write_pdf(file, job, paper=paper, pages=tuple(PAGES), day=today))
    )
    lost = cannot_print(job)
    boxes = f". An empty box stands for each of {' '.join(lost)}" if lost else ""
    return f"Wrote {written}: {counted[-1]} pages on {paper}{boxes}"


def _pictures(store: Store, job: Job) -> dict[int, bytes]:
    names = {name for used in job.colouring.uses.values() for name in used} | {job.colouring.ground or ""}
    fabrics = [job.fabrics[name] for name in names if name in job.fabrics]
    found = {fabric.id: store.picture(fabric.id) for fabric in fabrics if fabric.swatch is not None}
    return {fabric_id: data for fabric_id, data in found.items() if data is not None}
