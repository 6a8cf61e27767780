"""The pages of a star put together as one PDF."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from io import BytesIO
from typing import BinaryIO

from stash.errors import UsageFault
from stash.sheets.cut_pages import cutting_pages, machine_pages
from stash.sheets.fonts import unprintable
from stash.sheets.job import Job
from stash.sheets.paper import Paper
from stash.sheets.shop import shop_page
from stash.sheets.star_pages import chart_pages, map_page

PAGES: dict[str, Callable[[Paper, Job], None]] = {
    "chart": chart_pages,
    "map": map_page,
    "cutting": cutting_pages,
    "machine": machine_pages,
    "shop": shop_page,
}


def write_pdf(file: BinaryIO, job: Job, *, paper: str, pages: Sequence[str], day: date) -> int:
    """Write these pages (names of `PAGES`) on "letter" or "a4"; gives how many sheets of paper they take.

    Raises UsageFault for a page or a paper that is not known.
    """
    for name in pages:
        if name not in PAGES:
            raise UsageFault(f'"{name}" is no page that is known here', do=f"use some of {', '.join(PAGES)}")
    total = _draw(BytesIO(), job, paper, pages, day, total=0)
    return _draw(file, job, paper, pages, day, total)


def _draw(file: BinaryIO, job: Job, size: str, pages: Sequence[str], day: date, total: int) -> int:
    plan = f", plan {job.plan}" if job.plan else ""
    paper = Paper(file, size, job.title, f"starcover, {day.isoformat()}{plan}", total)
    for name in pages:
        PAGES[name](paper, job)
    paper.close()
    return paper.pages


def cannot_print(job: Job) -> str:
    """Letters of the names on these pages that no font has, each once."""
    return unprintable("".join(_names(job)))


def hard_to_print(job: Job) -> list[str]:
    """The names on these pages that have such letters."""
    return [name for name in dict.fromkeys(_names(job)) if unprintable(name)]


def _names(job: Job) -> list[str]:
    names = [*job.colouring.names, *job.colouring.parts.values()]
    return [job.name, *names, *(job.fabrics[name].place for name in names if name in job.fabrics)]
