"""The command line as scripts rest on it: JSON, exit codes, one plain line for each fault, nothing changed by one."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from stash.cli import main
from stash.cli.parser import Verb, build
from stash.cli.verbs import VERBS

Run = Callable[..., tuple[int, Any, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command line with --json: exit code, the document, what was said beside it."""

    def call(*words: object) -> tuple[int, Any, str]:
        code = main([*map(str, words), "--json"])
        said = capsys.readouterr()
        return code, json.loads(said.out), said.err

    return call


@pytest.fixture
def db(demo_file: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(demo_file, tmp_path / "demo.db"))


def test_star_of_four_mirrored(run: Run) -> None:
    # A 4 x 4 mirrored star takes A 2, B 4, C 6, D 4 strips; 5, 10 and 15 in are sold as 1/4, 3/8 and 1/2 yd:
    # common practice, no source. The setting pieces follow from the geometry (derived).
    code, star, _ = run("star", "--grid", 4, "--strip", 2.5, "--order", "mirror")
    assert code == 0
    assert [(f["letter"], f["strips"], f["yards"]) for f in star["fabrics"]] == [
        ("A", 2, "1/4"), ("B", 4, "3/8"), ("C", 6, "1/2"), ("D", 4, "3/8"),
    ]  # fmt: skip
    assert (star["setting"]["corner"]["cut"], star["setting"]["triangle_square"]["cut"]) == ("11 3/4", "17 1/4")


@pytest.mark.parametrize(
    ("grid", "strip", "width", "segments"),
    [
        (3, 3.5, 42, 7),  # source: shop class report, blairblogscraps.blogspot.com, January 2013: most got seven
        (3, 3.5, 44, 8),  # the same: eight from 44 in
        (4, 3.25, 40, 7),  # derived: eight need 40.02 in
        (4, 3.25, 41, 8),
    ],
)
def test_segments_of_a_strip(run: Run, grid: int, strip: float, width: int, segments: int) -> None:
    _, star, _ = run("star", "--grid", grid, "--strip", strip, "--width", width)
    assert star["segments"]["per_strip"] == segments


def test_the_short_row_is_a_no_and_a_covered_star_a_yes(run: Run, db: Path) -> None:
    code, found, _ = run("--db", db, "check", "--star", "Lowmere Evening")
    assert (code, found["covered"], found["cuts"]) == (3, False, [])
    short = [one for one in found["letters"] if one["mark"] == "short"]
    assert [(one["letter"], one["missing_strips"], one["buy_yards"]) for one in short] == [("D", 1, "1/8")]
    code, found, _ = run("check", "--star", "Mill Pond/2", "--db", db)
    assert (code, found["covered"]) == (0, True)
    assert {cut["fabric"] for cut in found["cuts"]} == {"Barley", "Fern", "Sloe"}


def test_suggest_save_check_log_undo(run: Run, db: Path) -> None:
    star = ("--grid", 4, "--strip", 2.5)
    code, found, _ = run("suggest", *star, "--measured", "--save", "Dusk", "--take", 2, "--db", db)
    assert (code, found["proven"], len(found["sequences"])) == (0, True, 5)
    second = found["sequences"][1]["fabrics"]
    _, stars, _ = run("stars", "--db", db)
    assert {x["letter"]: [x["fabric"]] for x in second} == stars[-1]["colourings"][0]["uses"]
    assert run("check", "--star", "Dusk", "--db", db)[0] == 0
    _, before, _ = run("list", "--db", db)
    code, first, _ = run("log", "--star", "Dusk", "--uid", "twice", "--db", db)
    _, after, _ = run("list", "--db", db)
    assert (code, before == after) == (0, False)
    _, again, _ = run("log", "--star", "Dusk", "--uid", "twice", "--db", db)
    assert (again["op"], run("list", "--db", db)[1]) == (first["op"], after)
    assert run("undo", "--db", db)[0] == 0
    assert run("list", "--db", db)[1] == before
    assert any(entry["undone"] for entry in run("history", "--db", db)[1])


def test_no_sequence_says_which_letter_and_why(run: Run, tmp_path: Path) -> None:
    db = tmp_path / "two.db"
    run("new", db)
    for name, colour in (("Chalk", "#eeeeee"), ("Slate", "#333333")):
        run("add", name, "--length", "1 yd", "--colour", colour, "--db", db)
    code, found, _ = run("suggest", "--grid", 2, "--strip", 2.5, "--db", db)
    assert (code, found["sequences"]) == (3, [])
    assert found["reason"]["letter"] in ("A", "B", "C")
    assert found["reason"]["text"]


USES = ("--use", "A=Duck Egg", "--use", "B=Mill Race", "--use", "C=Trout Pool")


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("check", "--grid", 2, "--strip", 2.5, "--use", "A=Duk Egg", "--use", "B=Fern", "--use", "C=Sloe"), 1,
         "did you mean"),
        (("star", "--grid", 4, "--strip", 2.5, "--order", "ABC"), 2, "7"),
        (("star", "--grid", 4, "--strip", "0"), 2, "strip"),
        (("star", "--grid", 4, "--strip", "nan"), 2, "nan"),
        (("star", "--grid", 4, "--strip", "1e9"), 2, "1e9"),
        (("star", "--grid", 4, "--strip", "9" * 5000), 2, "strip"),
        (("suggest", "--grid", 2, "--strip", 2.5, "--hue", "grue"), 2, "no hue"),
        (("star", "--grid", 14, "--strip", "2.5"), 2, "--grid: A grid of 14 cannot be. Use 2 to 13"),
        (("star", "--grid", 4, "--strip", "2.5", "--seam", ""), 2, "--seam: it is empty"),
        (("log", "--star", "Mill Pond", "--set", ""), 2, "--set: it is empty"),
        (("log", "--star", "Mill Pond", "--fabric", ""), 2, "--fabric: it is empty"),
        (("log", "--star", "", "--fabric", "Fern", "--strips", 1, "--strip", 2), 2, "--star: it is empty"),
        (("check", "--star", "Mill Pond", "--save", " "), 2, "--save: it is empty"),
        (("suggest", "--grid", 2, "--strip", 2.5, "--save", "Mill Pond/2"), 1, "colouring 2"),
        (("check", "--star", "Mill Pond", "--use", "A=Fern+Fern"), 2, "twice"),
        (("add", "New", "--length", "1/2 yd", "--width", "0"), 2, "--width"),
        (("chek",), 2, "did you mean check"),
        (("check", "--grid", 2, "--strip", 2.5, *USES, "--grund", "Flax"), 2, "did you mean --ground"),
        (("add", "Thistle Down", "--length", "2"), 2, "inches or yards"),
        (("bought", "Fern", "3"), 2, "inches or yards"),
        (("used", "Fern", "40 yd"), 1, "there is"),
        (("log", "--fabric", "Fern", "--strips", 400, "--strip", 2.5), 1, "400"),
        (("log", "--star", "Lowmere Evening"), 3, "D (Rosehip)"),
    ],
)  # fmt: skip
def test_a_fault_is_one_line_and_changes_nothing(
    db: Path, capsys: pytest.CaptureFixture[str], words: tuple[object, ...], code: int, said: str
) -> None:
    before = db.read_bytes()
    assert main(["--db", str(db), *map(str, words)]) == code
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert said in err
    assert "Traceback" not in err
    assert db.read_bytes() == before


def test_a_fault_with_json_goes_to_both_outputs(run: Run, db: Path) -> None:
    code, document, err = run("archive", "Nettel", "--db", db)
    assert code == 1
    assert set(document["error"]) == {"what", "where", "do"}
    assert "Nettle" in document["error"]["do"]
    assert err.count("\n") == 1


def test_one_bad_row_among_many_good_ones(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = [f"Fabric {i},1/2 yd" for i in range(10_000)]
    rows[4321] = "Fabric 4321,1e9"
    sheet = tmp_path / "many.csv"
    sheet.write_text("fabric,length\n" + "\n".join(rows) + "\n", encoding="utf-8")
    db = tmp_path / "made.db"
    assert main(["import", str(sheet), "--db", str(db)]) == 1
    err = capsys.readouterr().err
    assert "line 4323" in err
    assert "length" in err
    assert not db.exists()


def test_a_file_that_is_no_stash_is_left_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    other = tmp_path / "notes.db"
    other.write_text("wool, needles, thread\n" * 50, encoding="utf-8")
    before = other.read_bytes()
    assert main(["list", "--db", str(other)]) == 1
    assert main(["import", str(tmp_path / "none.csv"), "--db", str(other)]) == 1
    assert main(["list", "--db", str(tmp_path / "missing.db")]) == 1
    err = capsys.readouterr().err
    assert err.count("\n") == 3
    assert "Traceback" not in err
    assert other.read_bytes() == before
    assert not (tmp_path / "missing.db").exists()


def test_the_stash_may_be_named_by_the_environment(
    run: Run, db: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("STARCOVER_DB", str(db))
    assert len(run("list")[1]) == 60
    assert [one["fabric"] for one in run("list", "parcel", "--sort", "name")[1]] != []


def test_export_never_writes_over_a_stash(db: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    other = Path(shutil.copy(db, tmp_path / "other.db"))
    for stash in (db, other):
        before = stash.read_bytes()
        assert main(["--db", str(db), "export", str(stash), "--overwrite"]) == 1
        assert stash.read_bytes() == before
    assert capsys.readouterr().err.count("\n") == 2


def test_an_archived_fabric_is_said_to_be_one(db: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--db", str(db), "archive", "Fern"]) == 0
    assert main(["--db", str(db), "bought", "Fern", "1/2", "yd"]) == 0
    assert "archived" in capsys.readouterr().out
    assert main(["--db", str(db), "check", "--star", "Mill Pond/2"]) == 1
    assert "Fern: this fabric is archived" in capsys.readouterr().err
    assert main(["--db", str(db), "suggest", "--grid", "2", "--strip", "2.5", "--with", "Fern"]) == 1


def test_a_star_in_centimetres_is_printed_in_centimetres(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["star", "--grid", "4", "--strip", "2.5", "--units", "cm"]) == 0
    out = capsys.readouterr().out.replace(" in as sold", "")
    assert "cut 29.8 cm from measured points" in out  # 11 3/4 in (derived)
    assert re.findall(r"[0-9] (?:yd|in)\b", out) == []


def test_no_path_is_made_of_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.delenv("STARCOVER_DB", raising=False)
    assert main(["new", ""]) == 2
    assert main(["demo", "--at", ""]) == 2
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("verb", VERBS, ids=lambda verb: verb.name)
def test_help_of_each_command_reads_like_a_manual_page(verb: Verb, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([verb.name, "--help"]) == 0
    text = capsys.readouterr().out
    sentence = verb.help[0].upper() + verb.help[1:] + "."
    assert sentence in " ".join(text.split())
    assert f"For example: {verb.example}" in " ".join(text.split())
    for action in build(verb)._actions:
        assert action.help, action
        assert all(name in text for name in action.option_strings)
