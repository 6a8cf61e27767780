"""Pages as they are laid out: all text within the margins, no two lines on each other, no name cut off; read back."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from io import BytesIO

import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from stash.model import Colour, Colouring, Fabric, Kind, Piece, Star
from stash.sheets.document import PAGES, write_pdf
from stash.sheets.job import Job, make_job
from stash.sheets.paper import MARGIN
from stash.star.chart import make_order
from tests.engine.by_hand import inch
from tests.engine.pages import DAY, LONG, text_of

PLACE = "the third shelf in the sewing room, behind the door"
NAME = "Evening over the far hills and the long valley of a mill pond"
PAIRS = "ACEG"
Box = tuple[float, float, float, float]


def laid_out(grid: int, repeat: str, yards: float, units: str = "in", pairs: str = "") -> Job:
    """A star with names of sixty letters; look-alikes at the letters in `pairs`."""
    star = Star(grid, Fraction(5, 2), make_order(repeat, grid), units=units, borders=(Fraction(4),))
    names: dict[str, tuple[str, ...]] = {}
    fabrics: list[Fabric] = []
    for letter in star.letters:
        for _ in range(2 if letter in pairs else 1):
            number = len(fabrics) + 1
            pieces = (Piece(number, Kind.YARDAGE, inch(36 * yards), inch(40)),)
            colour, name = Colour(96 - 2 * number, 20, 10), f"{LONG[:58]}{number:02}"
            fabrics.append(Fabric(number, name, pieces, colour, place=PLACE))
            names[letter] = (*names.get(letter, ()), fabrics[-1].name)
    return make_job(NAME, 1, star, Colouring(names, fabrics[0].name), fabrics)


def pages_of(one: Job, paper: str) -> pypdfium2.PdfDocument:
    file = BytesIO()
    write_pdf(file, one, paper=paper, pages=tuple(PAGES), day=DAY)
    return pypdfium2.PdfDocument(file.getvalue())


def text_boxes(page: pypdfium2.PdfPage) -> Iterator[Box]:
    """Left, low, right and high edge of the ink of each piece of text."""
    for one in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT]):
        left, low, right, high = one.get_bounds()
        if right - left > 0.1:
            yield left, low, right, high


def on_each_other(boxes: list[Box]) -> list[tuple[Box, Box]]:
    """Pairs of boxes that share more than a fifth of a point both ways."""
    return [
        (a, b)
        for number, a in enumerate(boxes)
        for b in boxes[:number]
        if min(a[2], b[2]) - max(a[0], b[0]) > 0.2 and min(a[3], b[3]) - max(a[1], b[1]) > 0.2
    ]


CASES = [
    (2, "none", 1.0, "in", ""),
    (3, "mirror", 0.1, "in", ""),
    (4, "none", 0.3, "cm", ""),
    (7, "mirror", 3.0, "cm", PAIRS),
    (10, "none", 0.5, "in", ""),
    (13, "none", 5.0, "in", PAIRS),
    (13, "mirror", 2.0, "cm", ""),
]


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("case", CASES, ids=lambda case: "-".join(map(str, case)))
def test_text_stands_within_the_margins_and_no_line_on_another(
    case: tuple[int, str, float, str, str], paper: str
) -> None:
    one = laid_out(*case)
    document = pages_of(one, paper)
    for number, page in enumerate(document, start=1):
        width, height = page.get_size()
        boxes = list(text_boxes(page))
        assert boxes
        assert min(box[0] for box in boxes) >= MARGIN - 1, number
        assert max(box[2] for box in boxes) <= width - MARGIN + 1, number
        assert min(box[1] for box in boxes) >= MARGIN - 7, number  # the foot's line and its descenders
        assert max(box[3] for box in boxes) <= height - MARGIN + 1, number
        assert on_each_other(boxes) == [], number
    text = " ".join(text_of(document).split())
    for name in one.fabrics:
        assert text.count(name) >= (3 if one.pieces else 1)  # on the map, and where it is cut and sewn or bought
    assert f"page {len(document)} of {len(document)}" in text


def test_two_texts_on_each_other_would_be_found() -> None:
    assert on_each_other([(0, 0, 10, 10), (20, 0, 30, 10), (9, 9, 19, 12)]) == [((9, 9, 19, 12), (0, 0, 10, 10))]


@pytest.mark.parametrize("grid", [6, 13])
def test_each_small_diamond_of_a_chart_in_parts_has_its_letter_once(grid: int) -> None:
    """n x n letters on all parts together, whole: by the count of each letter in its row."""
    one = laid_out(grid, "none", 1.0)
    file = BytesIO()
    write_pdf(file, one, paper="letter", pages=["chart"], day=DAY)
    found = dict.fromkeys(one.star.letters, 0)
    for page in pypdfium2.PdfDocument(file.getvalue()):
        read = page.get_textpage()
        for box in text_boxes(page):
            letter = read.get_text_bounded(*box).strip()
            if letter in found and box[3] - box[1] > 9:  # the large ones of the chart
                found[letter] += 1
    assert found == {letter: min(row, 2 * grid - row) for row, letter in enumerate(one.star.order, start=1)}


def test_a_letter_with_very_many_rows_and_a_fabric_with_very_many_letters_keep_them_all() -> None:
    order = "AB" * 12 + "A"
    star = Star(13, Fraction(3, 2), order)
    fabrics = [Fabric(i, f"Cloth {i}", (Piece(i, Kind.YARDAGE, inch(400), inch(40)),)) for i in (1, 2)]
    one = make_job("Checks", 1, star, Colouring({"A": ("Cloth 1",), "B": ("Cloth 2",)}), fabrics)
    text = " ".join(text_of(pages_of(one, "a4")).split())
    assert f"rows {', '.join(map(str, range(1, 26, 2)))}" in text
    star = Star(7, Fraction(3, 2), make_order("none", 7))
    uses = {letter: ("Cloth 1",) for letter in star.letters}
    one = make_job("Plain", 1, star, Colouring(uses), fabrics)
    document = pages_of(one, "letter")
    assert f"{star.letters} Cloth 1" in text_of(document)
    assert all(on_each_other(list(text_boxes(page))) == [] for page in document)


def test_a_piece_that_goes_over_two_pages_is_named_on_the_second() -> None:
    star = Star(13, Fraction(3, 2), "A" * 25)
    fabrics = [Fabric(1, "Only one", (Piece(1, Kind.YARDAGE, inch(900), inch(40)),))]
    one = make_job("Plain", 1, star, Colouring({"A": ("Only one",)}), fabrics)
    file = BytesIO()
    write_pdf(file, one, paper="letter", pages=["cutting"], day=DAY)
    document = pypdfium2.PdfDocument(file.getvalue())
    texts = [page.get_textpage().get_text_range() for page in document]
    assert len(texts) > 1
    assert all("Only one, piece 1, further" in text for text in texts[1:])
    assert "left: " in texts[-1]
    assert len(texts[-1].splitlines()) > 4  # never what is left alone on a page
