"""The command measure: what scripts rest on, boxes and references, sheets, bad photographs among good ones."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.engine.drawn import bad, flat, grey, on_paper, sheet

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine

pytestmark = pytest.mark.usefixtures("one_core")

KEYS = {"photo", "box", "L", "a", "b", "hex", "value_low", "value_high", "variety", "palette", "reference", "relative",
        "notes"}  # fmt: skip


def test_measure_gives_what_scripts_rest_on(cli: CommandLine, tmp_path: Path) -> None:
    """sRGB #777777 is L* 50.0 (derived: (119/255 by IEC 61966-2-1) is 0.1845 of the light)."""
    path = flat(tmp_path / "a.png", "#777777")
    (one,) = cli.json("measure", path)
    assert one.keys() >= KEYS
    assert (one["photo"], one["box"], one["hex"]) == (str(path), [0, 0, 120, 90], "#777777")
    assert (one["reference"], one["relative"], one["word"]) == ("none", True, "solid")
    assert one["L"] == pytest.approx(50.03, abs=0.02)
    assert one["value_low"] <= one["L"] <= one["value_high"]
    assert sum(main["share"] for main in one["palette"]) == pytest.approx(1)
    assert all(main.keys() == {"L", "a", "b", "hex", "share"} for main in one["palette"])


def test_measure_with_boxes_and_references(cli: CommandLine, tmp_path: Path) -> None:
    path = on_paper(tmp_path / "a.png", "#677239")
    (on,) = cli.json("measure", path, "--on-paper")
    assert (on["reference"], on["relative"]) == ("paper", False)
    (white,) = cli.json("measure", path, "--box", "120,120,160,160", "--white", "10,10,80,80")
    assert (white["reference"], white["box"]) == ("white", [120, 120, 160, 160])
    assert white["L"] == pytest.approx(on["L"], abs=1.5)
    (card,) = cli.json("measure", path, "--box", "120,120,160,160", "--grey", "10,10,80,80")
    assert (card["reference"], card["relative"]) == ("grey", False)
    assert card["L"] < white["L"] - 10  # the same patch taken for a card of 18 % makes the cloth darker
    (darker,) = cli.json("measure", path, "--on-paper", "--reflectance", "0.5")
    assert darker["L"] < on["L"] - 5


def test_measure_as_text_says_relative_in_words(cli: CommandLine, tmp_path: Path) -> None:
    said = cli("measure", flat(tmp_path / "a.png", "#777777"))
    first, second = said.out.splitlines()
    assert "value ~50 (50 to 50)" in first
    assert "#777777" in first
    assert "relative" in second
    assert "--on-paper" in said.err
    paper = cli("measure", on_paper(tmp_path / "b.png", "#677239"), "--on-paper")
    assert "relative" not in paper.out + paper.err


def test_measure_a_folder_with_bad_ones_among_them(cli: CommandLine, photos: Path) -> None:
    bad(photos)
    said = cli("measure", photos, photos / "nothere.jpg", "--on-paper", "--json")
    names = [Path(one["photo"]).name for one in said.json]
    assert names == ["hedge rose.jpg", "IMG_0003.jpg", "moss-1.jpg", "moss-2.jpg", "moss-10.jpg", "sage.jpg"]
    assert said.code == 1
    assert [name in said.err for name in ("bad.jpg", "nothere.jpg")] == [True, True]
    assert said.err.count("\n") == 2


def test_measure_nothing_but_bad_ones_is_an_error(cli: CommandLine, tmp_path: Path) -> None:
    one = cli("measure", bad(tmp_path), "--json")
    assert (one.code, one.err.count("\n")) == (1, 1)
    assert one.json["error"].keys() == {"what", "where", "do"}
    two = cli("measure", bad(tmp_path), bad(tmp_path, "worse.jpg"), "--json")
    assert two.code == 1
    assert "error" in two.json
    assert "worse.jpg" in two.err


def test_measure_a_sheet_numbers_its_swatches(cli: CommandLine, tmp_path: Path) -> None:
    path = sheet(tmp_path / "sheet.png", [grey(code) for code in (150, 40, 90, 120)], across=2)
    found = cli.json("measure", path, "--sheet")
    assert [one["swatch"] for one in found] == [1, 2, 3, 4]
    assert sorted(range(4), key=lambda i: found[i]["L"]) == [1, 2, 3, 0]
    said = cli("measure", path, "--sheet")
    assert "4 swatches found" in said.out
    assert "nearly white" in said.err


def test_the_same_file_twice_is_told_twice(cli: CommandLine, tmp_path: Path) -> None:
    path = flat(tmp_path / "a.png", "#777777")
    (tmp_path / "b.png").write_bytes(path.read_bytes())
    one, other = cli.json("measure", path, tmp_path / "b.png")
    assert (one["L"], Path(other["photo"]).name) == (other["L"], "b.png")


@pytest.mark.parametrize(
    "words",
    [
        ("--box", "1,2,3"),
        ("--box", "1,2,3,x"),
        ("--box", "1,2,0,5"),
        ("--white", "0,0,60,60", "--grey", "0,0,60,60"),
        ("--on-paper", "--sheet"),
        ("--reflectance", "0.8"),
        ("--on-paper", "--reflectance", "0"),
        ("--on-paper", "--reflectance", "88"),
        ("--sheet", "--box", "0,0,60,60"),
    ],
)
def test_options_that_make_no_sense(cli: CommandLine, tmp_path: Path, words: tuple[str, ...]) -> None:
    said = cli("measure", flat(tmp_path / "a.png", "#777777"), *words)
    assert (said.code, said.out, said.err.count("\n")) == (2, "", 1)


def test_json_stays_one_document(cli: CommandLine, photos: Path) -> None:
    for words in (("measure", photos), ("add", "--photos", photos)):
        json.loads(cli(*words, "--json").out)
