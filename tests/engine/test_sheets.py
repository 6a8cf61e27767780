"""Pages read back: sizes true to scale, every strip once, nothing over the edge, cautions where they belong."""

from __future__ import annotations

import ctypes
import math
import re
from collections.abc import Iterator
from fractions import Fraction
from io import BytesIO
from typing import TYPE_CHECKING

import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from stash.errors import UsageFault
from stash.model import Colour, Colouring, Fabric, Kind, Piece, Star
from stash.sheets.document import cannot_print, write_pdf
from stash.sheets.job import Job, make_job
from stash.sheets.shop import NARROW, shop_text
from stash.sheets.star_pages import colour_of
from stash.star.chart import make_order
from tests.engine.by_hand import inch
from tests.engine.pages import DAY, job, pdf, text_of

if TYPE_CHECKING:
    from pathlib import Path

    from tests.engine.conftest import CommandLine


INCH = 72.0


def outlines(page: pypdfium2.PdfPage) -> Iterator[list[tuple[float, float]]]:
    """The corners of every path on a page, in points, where it is drawn."""
    for one in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_PATH]):
        matrix = one.get_matrix()
        corners = []
        for number in range(pdfium.FPDFPath_CountSegments(one.raw)):
            x, y = ctypes.c_float(), ctypes.c_float()
            segment = pdfium.FPDFPath_GetPathSegment(one.raw, number)
            pdfium.FPDFPathSegment_GetPoint(segment, x, y)
            corners.append(matrix.on_point(x.value, y.value))
        yield corners


def edges(corners: list[tuple[float, float]]) -> list[float]:
    return [math.dist(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("grid", [2, 5, 6, 13])
def test_the_chart_s_diamonds_are_an_inch_a_side_at_45_degrees(grid: int, paper: str) -> None:
    """1.000 in to 0.005, 45 degrees; two charts of n x n small diamonds each (some stand on several parts)."""
    document = pdf(job(grid, "mirror"), "chart", paper=paper)
    diamonds = 0
    for page in document:
        squares = 0
        for corners in outlines(page):
            sides = edges(corners[:4])
            if len(corners) in (4, 5) and max(sides) - min(sides) < 0.01 and abs(sides[0] - INCH) < 5:
                (ax, ay), (bx, by), _, (dx, dy) = corners[:4]
                angle = abs(math.degrees(math.atan2(by - ay, bx - ax) - math.atan2(dy - ay, dx - ax))) % 180
                assert sides == pytest.approx([INCH] * 4, abs=0.005 * INCH)
                if angle == pytest.approx(90, abs=0.1):
                    squares += 1
                else:
                    assert angle == pytest.approx(45, abs=0.1)
                    diamonds += 1
        assert squares == 1  # the test square
    assert diamonds >= 2 * grid * grid
    lettered = text_of(document)
    assert all(letter in lettered for letter in make_order("mirror", grid))


def test_the_cutting_page_has_every_strip_once_with_its_running_measure() -> None:
    one = job(4)
    text = text_of(pdf(one, "cutting"))
    lines = re.findall(r"^(\d+) (\S+(?: \d/\d)?) in ([A-G]) 8 segments of set (\d)$", text, re.M)
    planned = [
        (str(number), strip.letters, str(strip.runs[0].set))
        for piece in one.pieces for number, strip in enumerate(piece.strips, start=1)
    ]  # fmt: skip
    assert sorted((number, letter, which) for number, _, letter, which in lines) == sorted(planned)
    ends = [sum(map(Fraction, at.split())) for _, at, _, _ in re.findall(
        r"^(\d+) (\S+(?: \d/\d)?) in ([A-G]) 8 segments of set (\d)$", text, re.M)]  # fmt: skip
    assert {end % Fraction(5, 2) for end in ends} == {0}
    assert "left: " in text
    assert "shelf 1; piece 4" in text


def test_cautions_stand_on_the_cutting_page_and_only_there() -> None:
    one = job(4)
    assert "close the guard after every cut" in text_of(pdf(one, "cutting")).replace("\n", " ")
    for page in ("chart", "map", "machine", "shop"):
        assert "guard" not in text_of(pdf(one, page))


def test_the_machine_page_has_the_sets_with_check_measures() -> None:
    """A pair of 2 1/2 in strips sewn measures 4 1/2, a set of four 8 1/2; a segment 3.54 along the edge [derived]."""
    text = text_of(pdf(job(4, "mirror"), "machine")).replace("\n", " ")
    for words in ("A pair of strips sewn: 4 1/2 in", "A whole set sewn: 8 1/2 in", "3.54 in along the edge",
                  "Set 1: sewn whole, 8 segments of 10", "The same as set 1 turned end for end"):  # fmt: skip
        assert words in text


def look_alikes(grid: int = 4, pairs: str = "D") -> Job:
    """A star with a fabric for each letter and its look-alike beside it for the letters in `pairs`."""
    star = Star(grid, Fraction(5, 2), make_order("none", grid))
    names = {letter: ("Moss " + letter, "Fern " + letter)[: 2 if letter in pairs else 1] for letter in star.letters}
    fabrics = [
        Fabric(i, name, (Piece(i, Kind.YARDAGE, inch(36), inch(40)),), Colour(95 - 3 * i, 20, 2 * i))
        for i, name in enumerate((one for each in names.values() for one in each), start=1)
    ]  # fmt: skip
    return make_job("Evening", 1, star, Colouring(names), fabrics)


def test_the_machine_page_says_which_half_is_which_look_alike() -> None:
    """A set with two look-alikes is halved: four segments with each, which go into points that take turns
    (common practice, no source)."""
    text = text_of(pdf(look_alikes(), "machine")).replace("\n", " ")
    said = "Two halves of 4 segments each: D is Moss D in the first and Fern D in the second."
    assert text.count(said) == 4  # D is in every set of a 4 x 4 star
    assert "Set 1: sewn halved, 4 + 4 segments" in text
    assert "four points of the first halves and four of the second" in text
    both = text_of(pdf(look_alikes(pairs="AC"), "machine")).replace("\n", " ")
    assert "A is Moss A in the first and Fern A in the second; C is Moss C in the first and Fern C in" in both
    assert both.count("Two halves") == 3  # not in set 4, which has D E F G
    assert "halves" not in text_of(pdf(job(4), "machine"))


def test_the_stripe_of_two_look_alikes_shows_both_colours() -> None:
    one = look_alikes()
    page = pdf(one, "machine")[0]
    fills = []
    for shape in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_PATH]):
        red, green, blue, alpha = (ctypes.c_uint() for _ in range(4))
        pdfium.FPDFPageObj_GetFillColor(shape.raw, red, green, blue, alpha)
        fills.append((red.value, green.value, blue.value))
    for name, times in (("Moss D", 4), ("Fern D", 4), ("Moss A", 1)):
        assert fills.count(colour_of(one.fabrics[name])) == times


@pytest.mark.parametrize(("grid", "repeat"), [(2, "mirror"), (4, "none"), (8, "none"), (13, "none"), (13, "mirror")])
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_nothing_runs_over_an_edge_with_names_of_sixty_letters(grid: int, repeat: str, paper: str) -> None:
    document = pdf(job(grid, repeat, yards=3), "map", "cutting", "machine", "shop", paper=paper)
    for page in document:
        width, height = page.get_size()
        for one in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT]):
            left, low, right, high = one.get_bounds()
            assert left >= 36
            assert right <= width - 36
            assert low >= 28
            assert high <= height - 28
    assert f"page 1 of {len(document)}" in text_of(document)
    assert "2026-03-01" in text_of(document)


def test_the_shop_s_list_is_narrow_and_says_what_is_missing() -> None:
    """1/4 yd of 40 in gives three strips of 2 1/2 in after an inch of straightening, D needs four; one more and a
    spare are 6 in, sold as 1/4 yd (common practice, no source)."""
    one = job(4, yards=0.25)
    text = shop_text(one)
    assert max(map(len, text.splitlines())) <= NARROW
    joined = " ".join(text.split())
    assert "1 strip of 2 1/2 in; 1/4 yd with a spare (20 cm)" in joined
    assert "Batting: 72 x 90 in as sold" in joined
    assert "Full width, not fat quarters." in joined
    assert "Nothing to buy" in shop_text(job(4))
    assert "1 strip of 2 1/2 in" in text_of(pdf(one, "shop")).replace("\n", " ")


def test_letters_that_the_font_has_not_are_boxes_and_are_said() -> None:
    star = Star(2, Fraction(5, 2), "ABA")
    fabrics = [
        Fabric(i, name, (Piece(i, Kind.YARDAGE, inch(36), inch(40)),), Colour(60, 0, 0))
        for i, name in ((1, "Ёлка שלום Ελιά"), (2, "藍染 \x1b[2J"))
    ]
    uses = {"A": (fabrics[0].name,), "B": (fabrics[1].name,)}
    one = make_job("Évora", 1, star, Colouring(uses), fabrics)
    assert cannot_print(one) == "\x1b"
    text = text_of(pdf(one))
    assert "Ёлка" in text
    assert "Évora" in text
    assert "□[2J" in text


def test_pages_and_papers_that_are_not_known() -> None:
    for pages, paper in ((["charts"], "letter"), (["chart"], "a3")):
        with pytest.raises(UsageFault):
            write_pdf(BytesIO(), job(2), paper=paper, pages=pages, day=DAY)


def test_the_command_writes_pages_keeps_the_plan_and_says_its_number(cli: CommandLine, tmp_path: Path) -> None:
    asked = ("sheet", "--star", "Mill Pond", "--out", tmp_path / "pond.pdf")
    found = cli.json(*asked, "--paper", "a4")
    assert found["plan"] == 1
    document = pypdfium2.PdfDocument(tmp_path / "pond.pdf")
    assert len(document) == found["pages"]
    assert "plan 1" in text_of(document)
    width, height = document[0].get_size()
    assert (width, height) == pytest.approx((210 / 25.4 * 72, 297 / 25.4 * 72), abs=0.1)
    # what is printed is held against other stars, and is what is booked
    cli.json("count", "Trout Pool", "9 in")
    assert cli("log", "--star", "Mill Pond").code == 1
    assert cli.json(*asked, "--overwrite", "--pages", "map,shop")["pages"] == 2
    said = cli("sheet", "--star", "Mill Pond", "--out", tmp_path / "x.pdf", "--pages", "map,shoop")
    assert (said.code, "did you mean shop" in said.err) == (2, True)
    cli.json("sheet", "--star", "Lowmere Evening", "--out", tmp_path / "low.txt")
    assert "D Rosehip" in (tmp_path / "low.txt").read_text(encoding="utf-8")
    assert cli.json("sheet", "--star", "Lowmere Evening", "--out", tmp_path / "low.pdf")["plan"] is None
