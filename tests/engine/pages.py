"""The pages of a star written as a PDF in a test, and read back."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from io import BytesIO

import pypdfium2

from stash.model import Colour, Colouring, Fabric, Kind, Piece, Star
from stash.sheets.document import PAGES, write_pdf
from stash.sheets.job import Job, make_job
from stash.star.chart import make_order
from tests.engine.by_hand import inch

DAY = date(2026, 3, 1)
LONG = "A name of sixty letters that a maker types on her first day x"


def job(grid: int = 4, repeat: str = "none", yards: float = 1.0, **more: object) -> Job:
    star = Star(grid, Fraction(5, 2), make_order(repeat, grid))
    fabrics = [
        Fabric(i, f"{LONG[:58]}{i:02}", (Piece(i, Kind.YARDAGE, inch(36 * yards), inch(40)),),
               Colour(95 - 75 * i / 26, 20, 10), place="shelf 1")
        for i, _ in enumerate(star.letters, start=1)
    ]  # fmt: skip
    uses = {letter: (one.name,) for letter, one in zip(star.letters, fabrics, strict=True)}
    return make_job("Evening", 1, star, Colouring(uses, fabrics[0].name), fabrics)


def pdf(one: Job, *pages: str, paper: str = "letter") -> pypdfium2.PdfDocument:
    file = BytesIO()
    count = write_pdf(file, one, paper=paper, pages=pages or tuple(PAGES), day=DAY)
    document = pypdfium2.PdfDocument(file.getvalue())
    assert len(document) == count
    return document


def text_of(document: pypdfium2.PdfDocument) -> str:
    return "\n".join(page.get_textpage().get_text_range() for page in document).replace("\r", "")
