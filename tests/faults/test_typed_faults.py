"""Faults of what is typed, one test a number: refused at once and plainly, or understood alike."""

from __future__ import annotations

import csv
import json
from typing import TYPE_CHECKING

import pytest

from stash.inventory.store import Store
from tests.faults.telling import cell, done, file, refused

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine

HEAVY = [
    "nan", "inf", "-inf", "1e400", "1e999999999", "9" * 5000, "1/" + "9" * 5000, "1/0", "-5", "0x10", "1_000", "１２",
    "٣", "", "0", "1,000", "21/2", "2.5.1", "5 ft", "\x1b[2J", "\u202e5", "5\n6", "½½", "1e-999999999",
]  # fmt: skip


@pytest.mark.parametrize("text", HEAVY, ids=lambda text: ascii(text)[:20])
def test_46_numbers_that_are_none(cli: CommandLine, text: str) -> None:
    """At every way in where a number is typed. One that is worked out before it is refused takes minutes here."""
    for words in (
        ("used", "Fern", text), ("bought", "Fern", text), ("count", "Fern", text + " in"),
        ("add", "Xylo", "--length", text),
        ("add", "Xylo", "--length", "1 yd", "--width", text), ("add", "Xylo", "--value", text),
        ("star", "--grid", "4", "--strip", text), ("star", "--grid", text, "--strip", "2.5"),
        ("star", "--grid", "4", "--strip", "2.5", "--border", text),
        ("suggest", "--grid", "2", "--strip", "2.5", "--top", text),
        ("log", "--fabric", "Fern", "--strips", text, "--strip", "2.5"), ("sizes", "--grid", "2..3", "--strip", text),
    ):  # fmt: skip
        said = refused(cli, *words)
        assert len(said) < 500
    sheet = file(cli, f"fabric,length\nXylo,{cell(text)}\n")
    if text:  # an empty length is not measured yet
        refused(cli, "import", sheet, say=("line 2, column 2 (length)",))


ALIKE = [
    (("2 1/2", "2-1/2", "2½", "2.5", "2,5", '2 1/2"', " 2.5 ", "2 1/2 in", "2.50", "5/2", "6,35 cm", "63.5 mm"), 2.5),
    (("6 cm", "6cm", "60 mm", " 6 CM ", "0.06 m"), 6 / 2.54),
    (("1/4 yd", "1/4yd", "¼ yard", "0.25 yd", "9", " 9 ", "9 in", '9"', "22.86 cm"), 9.0),
]


@pytest.mark.parametrize(("texts", "inches"), ALIKE, ids=["2.5 in", "6 cm", "9 in"])
def test_47_one_length_in_many_spellings(cli: CommandLine, texts: tuple[str, ...], inches: float) -> None:
    """As a width typed at the command line, and as one in a CSV file (1 in is 25.4 mm exactly)."""
    quoted = [f"Sheet {n},20 in,{cell(text)}" for n, text in enumerate(texts)]
    cli.json("import", file(cli, "fabric,length,width\n" + "\n".join(quoted) + "\n"))
    for number, text in enumerate(texts):
        added = cli.json("add", f"Typed {number}", "--length", "20 in", "--width", text)
        read = [one["pieces"][0]["width_in"] for one in (added, cli.fabric(f"Sheet {number}"))]
        assert read == pytest.approx([inches, inches], abs=1e-4), text  # up to the next tick of 1/320 mm


TWO_WAYS = ["21/2", "1,000", "2 1/2 1/2", "2 3/2", "2'6", "2 1 2", "1 yd 5 in", "2", "3.5", "2½½"]


@pytest.mark.parametrize("text", TWO_WAYS)
def test_47_what_can_be_read_in_two_ways_is_refused(cli: CommandLine, text: str) -> None:
    refused(cli, "bought", "Fern", text)


# --- names and texts

STORED = [
    "[/red]", "[bold red]x[/]", "=1+1", "+1", "-1", "@SUM(A1)", "=cmd|'/c calc'!A1", "'; DROP TABLE fabric; --",
    'say "hi"', "back\\slash \\x1b[2J", "%s {0} $HOME `id`", "Moss, Fern; Sage\u00a0x", "👩\u200d🌾👨\u200d👩\u200d👧",
    "🇫🇷", "e\u0301tude", "שלום", "سلام\u200cها", "架子", "ﬁne", "ẞ", "a" * 200, "İ", "Z͑ͫ̓ͪ̂ͫ̽͏̴̙̤̞͉", "../../x", "NUL", "fabric",
    "A=Fern", "1/2",
]  # fmt: skip
REFUSED = [
    "", "   ", "a" * 201, "a" * 10_000, "a\0b", "a\nb", "a\rb", "a\tb", "\x1b[2J", "\x1b]0;title\x07", "\x9b2J",
    "a\x7f", "Fern\u202e", "\u2066a", "a\u2028b", "\ud800", "Fern\udc80", "\x08\x08",
]  # fmt: skip
FIELDS = ("--place", "--note", "--price")


@pytest.mark.parametrize("name", STORED, ids=ascii)
def test_48_any_name_that_can_be_shown_is_stored_and_comes_back(cli: CommandLine, name: str) -> None:
    """Added, found, edited, used in a star, logged, told as text and as JSON, exported both ways and imported."""
    cli.path = cli.path.with_name("small.db")
    assert cli.bare("new", cli.path).code == 0
    price = name[:40]
    added = done(cli, "add", f"--place={name}", f"--note={name}", f"--price={price}", "--length=1 yd", "--", name)
    stored = added["fabric"]
    assert cli.fabric(stored)["place"] == added["place"] == stored
    assert json.loads(json.dumps(added)) == added
    done(cli, "used", "--", name, "1/4", "yd")
    star = cli("check", "--grid=2", "--strip=1.5", "--order=AAA", f"--use=A={name}", f"--save=Star {name[:190]}")
    assert star.code in (0, 3)
    for words in (("list",), ("history",), ("stars",), ("check", f"--star=Star {name[:190]}")):
        said = cli(*words)
        assert said.code in (0, 3), said
        assert all(c.isprintable() or c in "\n\u200c\u200d" for c in said.out + said.err)
    text = cli.path.with_name("shop.txt")
    assert cli("sheet", f"--star=Star {name[:190]}", "--out", text).code == 0
    for export in ("all.csv", "all.json"):
        assert cli("export", cli.path.with_name(export)).code == 0
        with_it = cli.path.with_name(f"{export}.db")
        assert cli.bare("--db", with_it, "import", cli.path.with_name(export)).code == 0
        with Store.open(cli.path) as one, Store.open(with_it) as other:
            pairs = [(f.name, f.place, f.note, f.price) for f in one.fabrics()]
            assert [(f.name, f.place, f.note, f.price) for f in other.fabrics()] == pairs
            assert pairs[-1] == (stored, stored, stored, added["price"])
    with cli.path.with_name("all.csv").open(encoding="utf-8-sig", newline="") as sheet:
        cells = [row[field] for row in csv.DictReader(sheet) for field in ("fabric", "place", "note", "price")]
    assert not [one for one in cells if one[:1] in tuple("=+-@\t\r") and one]


@pytest.mark.parametrize("name", REFUSED, ids=lambda name: ascii(name)[:20])
def test_48_a_name_that_cannot_be_shown_is_refused_at_every_way_in(cli: CommandLine, name: str) -> None:
    sheet = f"fabric,place\n{cell(name)},box\n"
    path = file(cli, sheet.encode("utf-8", "surrogateescape" if "\udc80" in name else "surrogatepass"))
    for words in (
        ("add", "--length=1 yd", "--", name), ("edit", "Fern", f"--name={name}"), ("import", path),
        ("check", "--star=Mill Pond", f"--save={name}"), ("suggest", "--grid=2", "--strip=2.5", f"--save={name}"),
    ):  # fmt: skip
        refused(cli, *words)
    if name.strip() and len(name) <= 200:
        for field in FIELDS:
            if field == "--note" and name in ("a\nb", "a\tb", "a\rb"):
                continue  # a note may have several lines
            refused(cli, "edit", "Fern", f"{field}={name}")
    for words in (("used", "--", name, "1 in"), ("archive", "--", name), ("check", f"--star={name}"),
                  ("suggest", "--grid=2", "--strip=2.5", f"--with={name}")):  # fmt: skip
        refused(cli, *words)


def test_48_texts_too_long_are_refused_with_what_is_allowed(cli: CommandLine) -> None:
    for field, most in (("--place", 200), ("--note", 10_000), ("--price", 40)):
        cli.json("edit", "Fern", f"{field}={'x' * most}")
        refused(cli, "edit", "Fern", f"{field}={'x' * (most + 1)}", say=(f"use {most} at most",))
