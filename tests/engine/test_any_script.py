"""Names in any script on pages and pictures: read back, in order, joined; what no font has is said."""

from __future__ import annotations

import unicodedata
from fractions import Fraction
from io import BytesIO
from typing import TYPE_CHECKING

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from stash.model import Colour, Colouring, Fabric, Kind, Piece, Star
from stash.sheets.contact_sheet import contact_sheet
from stash.sheets.direction import as_seen
from stash.sheets.document import PAGES, cannot_print, hard_to_print, write_pdf
from stash.sheets.fonts import NO_LETTER, printable, unprintable
from stash.sheets.job import Job, make_job
from stash.sheets.paper import wrap
from tests.engine.by_hand import inch
from tests.engine.pages import DAY, text_of

if TYPE_CHECKING:
    from pathlib import Path

    from tests.engine.conftest import CommandLine

NAMES = {
    "Latin": "Évora Žluťoučký Đặng ß Ærø",
    "Greek": "Ελιά Θάλασσα",
    "Cyrillic": "Ёлка Ґанок",
    "Armenian": "Ծիրան",
    "Georgian": "ლურჯი",
    "Lao": "ສີຟ້າ",
    "Thai": "ผ้าไหมสีน้ำเงิน",
    "Japanese": "藍染めのガーゼ",
    "Chinese": "蓝印花布 青花瓷",
    "Korean": "쪽빛 무명",
}


def job(*names: str, place: str = "") -> Job:
    fabrics = [
        Fabric(i, name, (Piece(i, Kind.YARDAGE, inch(36), inch(40)),), Colour(90 - 9 * i, 20, 10), place=place)
        for i, name in enumerate(names, start=1)
    ]
    letters = "ABCDEFG"[: len(names)]
    star = Star(len(names) // 2 + 1, Fraction(5, 2), letters)
    return make_job("Pond", 1, star, Colouring({a: (b,) for a, b in zip(letters, names, strict=True)}), fabrics)


def read_back(one: Job, *pages: str) -> str:
    file = BytesIO()
    write_pdf(file, one, paper="letter", pages=pages or tuple(PAGES), day=DAY)
    return text_of(pypdfium2.PdfDocument(file.getvalue()))


@pytest.mark.parametrize("script", NAMES)
def test_a_name_in_any_of_these_scripts_is_read_back_from_every_page(script: str) -> None:
    name = NAMES[script]
    one = job(name, "Moss", "Fern")
    assert cannot_print(one) == ""
    for page in ("map", "cutting", "machine"):
        text = read_back(one, page)
        assert "".join(name.split()) in "".join(text.split()), page
        assert NO_LETTER not in text


def test_hebrew_is_seen_from_right_to_left_and_the_numbers_after_it_stay_after_it() -> None:
    """By hand: the letters of each leftward part backwards, all else as it was."""
    shalom = "שלום"
    assert as_seen(shalom) == shalom[::-1]
    assert as_seen(f"D {shalom}: 4 strips of 2 1/2 in") == f"D {shalom[::-1]}: 4 strips of 2 1/2 in"
    assert as_seen(f"A is {shalom} in the first and {shalom} in the second") == (
        f"A is {shalom[::-1]} in the first and {shalom[::-1]} in the second"
    )
    assert as_seen(f"{shalom} כחול") == f"{shalom} כחול"[::-1]
    assert as_seen(f"{shalom} 12 כחול") == f"{'כחול'[::-1]} 12 {shalom[::-1]}"
    assert as_seen(f"{shalom} 12") == f"{shalom[::-1]} 12"
    assert as_seen("Moss 4 x 4 (green)") == "Moss 4 x 4 (green)"


def test_arabic_letters_join() -> None:
    """The forms of beh, yeh and teh at the beginning, in the middle and at the end of a word are letters of their own
    in Unicode, named so."""
    forms = [unicodedata.name(c).rsplit(" ", 2)[-2:] for c in reversed(as_seen("بيت"))]
    assert forms == [["INITIAL", "FORM"], ["MEDIAL", "FORM"], ["FINAL", "FORM"]]
    assert unicodedata.normalize("NFKC", as_seen("بيت أزرق"))[::-1] == "بيت أزرق"
    assert unprintable(as_seen("پارچهٔ آبی ٹھنڈا")) == ""


@pytest.mark.parametrize("name", ["שלום כחד", "قماش دزر"])
def test_names_from_right_to_left_stand_so_on_the_page(name: str) -> None:
    """Each letter of the name is further to the left than the one before; the row's letter is before them all."""
    file = BytesIO()
    write_pdf(file, job(name, "Moss", "Fern"), paper="letter", pages=["map"], day=DAY)
    page = pypdfium2.PdfDocument(file.getvalue())[0].get_textpage()
    places: dict[str, float] = {}
    for number in range(page.count_chars()):
        letter = unicodedata.normalize("NFKC", page.get_text_range(number, 1))
        places.setdefault(letter, page.get_charbox(number)[0])
    wanted = "".join(dict.fromkeys(name.replace(" ", "")))
    found = [places[letter] for letter in wanted]
    assert found == sorted(found, reverse=True)
    assert len(set(found)) == len(found)
    assert places["A"] < min(found)


@pytest.mark.parametrize("name", ["Spool 🧵", "नीला कपड़ा", "நீலம்", "Bell \x1b[2J", "\ue000"])
def test_what_no_font_has_is_an_empty_box_and_is_named(name: str) -> None:
    one = job(name, "Moss", "Fern")
    lost = cannot_print(one)
    assert lost
    assert set(lost) <= set(name)
    assert hard_to_print(one) == [name]
    assert NO_LETTER * name.count(lost[0]) in "".join(read_back(one, "map").split())
    assert len(printable(name)) == len(name)  # a box for each, none dropped


def test_signs_that_are_not_seen_are_no_boxes() -> None:
    assert printable("Moss\u200d\ufe0f\u200e \u00ad Fern") == "Moss Fern"
    assert printable("e\u0301") == "é"
    assert cannot_print(job("Heart \u2764\ufe0f", "Moss", "Fern")) == ""


def test_the_place_of_a_fabric_counts_too() -> None:
    assert hard_to_print(job("Rime", "Moss", "Fern", place="box 🧵")) == ["box 🧵"]


def test_a_long_name_without_spaces_goes_over_several_lines_and_keeps_every_letter() -> None:
    text = "藍" * 200
    lines = wrap(text, 9, 400)
    assert len(lines) > 3
    assert "".join(lines) == text


def test_the_names_below_pictures_are_drawn_in_these_scripts_too() -> None:
    """What is drawn differs from the box that stands for a letter without a font."""
    picture = Image.new("RGB", (200, 40), "white")
    boxes = np.asarray(contact_sheet([("🧵🧵🧵", picture)]))
    assert (boxes < 128).any()
    drawn = [boxes]
    for name in ("藍染め", "쪽빛물", "ผ้าไ", "שלום", "بيت"):
        codes = np.asarray(contact_sheet([(name, picture)]))
        assert (codes < 128).any()
        assert all((codes != other).any() for other in drawn)
        drawn.append(codes)
    assert (np.asarray(contact_sheet([("藍" * 90, picture)]))[:, -17:] == 255).all()


def test_the_command_says_it_in_one_line_with_the_name(cli: CommandLine, tmp_path: Path) -> None:
    for name in ("Spool 🧵", "藍染め", "שלום"):
        cli.json("add", name, "--length", "1 yd", "--colour", "#336699")
    cli.json("add", "Thread 🧵", "--length", "1 yd", "--colour", "#336699")
    asked = ("check", "--grid", 2, "--strip", 2.5, "--order", "ABC", "--use", "B=藍染め", "--use", "C=שלום")
    cli.json(*asked, "--use", "A=Spool 🧵", "--save", "Star 🧵")
    said = cli("sheet", "--star", "Star 🧵", "--out", tmp_path / "a.pdf")
    assert said.code == 0
    assert said.err.splitlines() == [
        "No font here has 🧵, in Star 🧵 and 1 more: an empty box stands for each, to fill in by hand."
    ]
    assert "🧵" in cli("sheet", "--star", "Star 🧵", "--out", tmp_path / "a.png", "--all", "--pixels", 100).err
    cli.json(*asked, "--use", "A=Moss", "--save", "Plain")
    assert cli("sheet", "--star", "Plain", "--out", tmp_path / "b.pdf").err == ""
    assert "藍染め" in text_of(pypdfium2.PdfDocument(tmp_path / "b.pdf"))
    cli("sheet", "--star", "Star 🧵", "--out", tmp_path / "a.txt")
    assert "Star 🧵" in (tmp_path / "a.txt").read_text(encoding="utf-8")
