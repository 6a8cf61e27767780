"""For the shop: what is to buy, as lines of narrow plain text and as a page."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from textwrap import wrap

from stash.lengths import cm_up, show_length, show_yards, yards_up
from stash.model import Mark
from stash.sheets.fonts import printable
from stash.sheets.job import Job, ToGet
from stash.sheets.paper import Paper
from stash.sheets.paper import wrap as wrapped_line
from stash.sheets.star_pages import colour_of
from stash.star.ground import ground_layout
from stash.star.quilt import BINDING_STRIP, backing_panels, quilt
from stash.star.yields import STRAIGHTEN
from stash.wording import counted

NARROW = 38  # letters a line: a telephone's screen


def shop_lines(job: Job) -> Iterator[str]:
    """The list, without breaks: a heading, what rows lack, the quilt round the star."""
    yield job.title
    yield ""
    if not job.to_get:
        yield "Nothing to buy for the star's rows."
    for one in job.to_get:
        yield row_line(job, one)
    for way in job.buying:
        yield f"- {way.text}"
    if job.to_get:
        yield "Full width, not fat quarters."
    yield ""
    yield from quilt_lines(job)


def row_line(job: Job, one: ToGet) -> str:
    """What rows lack of a fabric: `D Rosehip: 1 strip of 2 1/2 in; 1/4 yd with a spare (20 cm)`."""
    length = (one.strips + 1) * job.star.strip + STRAIGHTEN
    known = "" if one.measured else ", if it is not there"
    together = " together" if len(one.fabrics) > 1 else ""
    what = f"{counted(one.strips, 'strip')} of {show_length(job.star.strip, job.star.units)}"
    return (
        f"{' '.join(one.letters)} {' and '.join(one.fabrics)}: {what}{together}{known}; "
        f"{show_yards(yards_up(length))} yd with a spare ({cm_up(length)} cm)"
    )


def quilt_lines(job: Job) -> Iterator[str]:
    """Ground, binding, backing and batting: what they take, and what the stash says where a fabric is named."""
    star, whole, found = job.star, quilt(job.star), job.coverage
    if found.ground is not None:
        said = _said(found.ground.mark, found.ground.buy)
        yield f"Ground {found.ground.fabric}: {_cloth(found.ground.length_needed + STRAIGHTEN)}, {said}"
        if found.ground.note:
            yield f"Ground: {found.ground.note}"
    else:
        layout = ground_layout(star, star.width)
        yield f"Ground: {_cloth(layout.length + STRAIGHTEN)}"
        if layout.note:
            yield f"Ground: {layout.note}"
    named = {part.what: part for part in found.quilt}
    panels, side = backing_panels(star, star.backing_width)
    on_paper = {"binding": whole.binding_strips * BINDING_STRIP, "backing": (side * panels).up_to(Fraction(1, 64))}
    for what, inches in on_paper.items():
        part = named.get(what)
        if part is not None:
            said = _said(part.mark, part.buy)
            yield f"{what.capitalize()} {part.fabric}: {_cloth(part.length_needed + STRAIGHTEN)}, {said}"
        else:
            yield f"{what.capitalize()}: {_cloth(inches + STRAIGHTEN)}"
    yield f"Batting: {whole.batting} in as sold"
    size = whole.size
    wide, long = (show_length(Fraction(float(each)), star.units) for each in (size.width, size.length))
    yield f"Quilt: {wide} by {long}"


def _cloth(inches: Fraction) -> str:
    return f"{show_yards(yards_up(inches))} yd ({cm_up(inches)} cm)"


def _said(mark: Mark, buy: Fraction | None) -> str:
    return f"{mark}, buy {_cloth(buy)}" if buy is not None else str(mark)


def shop_text(job: Job) -> str:
    """The list in narrow lines."""
    lines: list[str] = []
    for line in shop_lines(job):
        lines += wrap(line, NARROW, subsequent_indent="  ") or [""]
    return "\n".join(lines) + "\n"


def shop_page(paper: Paper, job: Job) -> None:
    """The list on paper, with the colours to look for."""
    paper.page("shop")
    for one in job.to_get:
        lines = wrapped_line(printable(row_line(job, one)), 10, paper.right - paper.left - 68)
        paper.room(18 + 14 * len(lines))
        paper.y -= 18
        for place, grey in enumerate((False, True)):
            colour = colour_of(job.fabrics.get(one.fabrics[0]), grey)
            paper.chip(paper.left + 30 * place, paper.y - 4, 28, 16, colour)
        for number, line in enumerate(lines):
            paper.y -= 12 if number else 0
            paper.put(paper.left + 68, paper.y, line, 10)
    paper.y -= 6
    for line in list(shop_lines(job))[2 + len(job.to_get) :]:
        paper.wrapped(line or " ", 10)
