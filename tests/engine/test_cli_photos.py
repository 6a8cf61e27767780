"""Photographs at the command line that become fabrics: add --photo and --photos, edit --photo, counted and stopped."""

from __future__ import annotations

import signal
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from stash.cli.progress import Counter, until_interrupted
from tests.engine.drawn import bad, flat, grey, on_paper, sheet

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine

pytestmark = pytest.mark.usefixtures("one_core")

# --- add and edit


def test_a_photograph_gives_a_fabric_its_colour(cli: CommandLine, tmp_path: Path) -> None:
    path = on_paper(tmp_path / "a.jpg", "#677239")
    (measured,) = cli.json("measure", path, "--on-paper")
    added = cli.json("add", "Tarn Moss", "--photo", path, "--on-paper", "--length", "fq")
    same = ("L", "a", "b", "value_low", "value_high", "variety", "palette", "relative")
    assert {key: added[key] for key in same} == {key: measured[key] for key in same}
    assert (added["photo"], len(added["pieces"])) == ("a.jpg", 1)
    again = cli.json("edit", "tarn moss", "--photo", flat(tmp_path / "b.png", "#777777"))
    assert (again["relative"], again["photo"], again["hex"]) == (True, "b.png", "#777777")
    assert "~50" in cli("list", "tarn").out
    cli.json("undo")
    assert cli.fabric("Tarn Moss")["L"] == measured["L"]
    assert "~" not in cli("list", "tarn").out


def test_a_fabric_with_no_photograph_has_none_of_its_measures(cli: CommandLine) -> None:
    fabric = cli.json("add", "Tarn Moss", "--colour", "#677239")
    assert [fabric[key] for key in ("value_low", "value_high", "variety", "palette")] == [None] * 4
    assert (fabric["relative"], fabric["photo"]) == (False, "")


def test_a_value_by_eye_outlives_a_new_photograph(cli: CommandLine, tmp_path: Path) -> None:
    cli.json("edit", "Soot", "--value", "30")
    said = cli("edit", "Soot", "--photo", flat(tmp_path / "b.png", "#777777"))
    assert "by eye, 30" in said.out
    assert cli.fabric("Soot")["L"] == 30
    assert cli.fabric("Soot")["relative"] is False


@pytest.mark.parametrize(
    "words",
    [
        ("add", "--photos", "a.png", "--photo", "a.png"),
        ("add", "Moss Two", "--photos", "a.png"),
        ("add", "--photos", "a.png", "--colour", "#777777"),
        ("add",),
        ("add", "Moss Two", "--on-paper"),
        ("add", "Moss Two", "--photo", "a.png", "--sheet"),
        ("add", "--photos", "a.png", "--length", "2"),
        ("add", "--photos", "a.png", "--width", "40"),
        ("edit", "Moss", "--box", "0,0,60,60"),
        ("edit", "Moss", "--photo", "a.png", "--place", "shelf 2"),
    ],
)
def test_words_that_clash_change_nothing(
    cli: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    monkeypatch.chdir(tmp_path)
    flat(tmp_path / "a.png", "#777777")
    before = cli.path.read_bytes()
    said = cli(*words)
    assert (said.code, said.out, said.err.count("\n")) == (2, "", 1), said
    assert cli.path.read_bytes() == before


@pytest.mark.parametrize("verb", [("add", "Tarn Moss"), ("edit", "Moss")])
def test_a_bad_photograph_changes_nothing(cli: CommandLine, tmp_path: Path, verb: tuple[str, ...]) -> None:
    before = cli.path.read_bytes()
    said = cli(*verb, "--photo", bad(tmp_path))
    assert (said.code, said.err.count("\n")) == (1, 1)
    assert cli.path.read_bytes() == before


# --- many


@pytest.mark.usefixtures("both_cores")
def test_a_folder_becomes_fabrics_in_one_entry(cli: CommandLine, photos: Path) -> None:
    before = cli.json("list")
    entries = len(cli.json("history"))
    done = cli.json("add", "--photos", photos, "--on-paper", "--length", "fq", "--place", "box 7", "--washed")
    names = [one["fabric"] for one in done["added"]]
    assert names == ["Hedge rose", "dark grey 1", "Moss 1", "Moss 2", "Moss 10", "Sage 2"]  # the demo has a Sage
    assert (done["repeated"], done["failed"], done["stopped"]) == ([], [], False)
    for one in done["added"]:
        assert [(p["kind"], p["length_in"]) for p in one["pieces"]] == [("fat quarter", 18.0)]
        assert (one["place"], one["washed"], one["relative"]) == ("box 7", True, False)
    values = {one["photo"]: one["L"] for one in done["added"]}
    dark_to_light = ["moss-1.jpg", "moss-2.jpg", "IMG_0003.jpg", "moss-10.jpg", "hedge rose.jpg", "sage.jpg"]
    assert sorted(values, key=values.__getitem__) == dark_to_light
    assert len(cli.json("history")) == entries + 1
    cli.json("undo")
    assert cli.json("list") == before


def test_what_the_stash_has_is_passed_over(cli: CommandLine, photos: Path) -> None:
    cli.json("add", "Tarn", "--photo", photos / "sage.jpg", "--on-paper")
    (photos / "twin.jpg").write_bytes((photos / "moss-1.jpg").read_bytes())
    done = cli.json("add", "--photos", photos, "--on-paper")
    assert len(done["added"]) == 5
    passed = {Path(one["photo"]).name: one["fabric"] for one in done["repeated"]}
    assert passed == {"sage.jpg": "Tarn", "twin.jpg": "Moss 1"}
    again = cli("add", "--photos", photos, "--on-paper")
    assert again.code == 0
    assert again.out.count("has it already") == 7
    assert len(cli.json("add", "--photos", photos)["repeated"]) == 7


def test_bad_ones_are_listed_and_good_ones_taken(cli: CommandLine, photos: Path) -> None:
    bad(photos)
    said = cli("add", "--photos", photos, photos / "nothere", "--on-paper", "--json")
    assert said.code == 1
    assert len(said.json["added"]) == 6
    assert [Path(one["photo"]).name for one in said.json["failed"]] == ["nothere", "bad.jpg"]
    assert all(one["what"] and one["do"] for one in said.json["failed"])
    assert said.err.count("\n") == 2


def test_nothing_but_bad_ones_adds_nothing(cli: CommandLine, tmp_path: Path) -> None:
    before = cli.path.read_bytes()
    said = cli("add", "--photos", bad(tmp_path), "--json")
    assert (said.code, said.err.count("\n")) == (1, 1)
    assert said.json["added"] == []
    assert said.json["error"]["what"] == said.json["failed"][0]["what"]
    assert cli("add", "--photos", tmp_path / "nothere").code == 1
    assert cli.path.read_bytes() == before


def test_a_sheet_of_twelve_becomes_twelve_fabrics(cli: CommandLine, tmp_path: Path) -> None:
    """In one command, and the order of their values is right."""
    codes = [150, 40, 90, 120, 60, 135, 75, 105, 50, 160, 30, 82]
    path = sheet(tmp_path / "grey-box.jpg", [grey(code) for code in codes])
    said = cli("add", "--photos", path, "--sheet", "--length", "9 x 21", "--json")
    added: list[Any] = said.json["added"]
    assert [one["fabric"] for one in added] == [f"Grey box {i}" for i in range(1, 13)]
    values = [one["L"] for one in added]
    assert sorted(range(12), key=values.__getitem__) == sorted(range(12), key=codes.__getitem__)
    assert "12 swatches found" in said.err
    assert "nearly white" in said.err
    (repeat,) = cli.json("add", "--photos", path, "--sheet")["repeated"]
    assert repeat["fabric"] == "Grey box 1"


def test_relative_values_are_marked_and_said_once(cli: CommandLine, photos: Path) -> None:
    said = cli("add", "--photos", photos)
    assert said.out.count("~") == 6
    assert said.err.count("relative") == 1


# --- a long job


def test_ctrl_c_keeps_what_is_measured(cli: CommandLine, photos: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    count = Counter.__call__

    def pressed(self: Counter, done: int, of: int, what: str) -> None:
        count(self, done, of, what)
        if done == 2:
            signal.raise_signal(signal.SIGINT)

    monkeypatch.setattr(Counter, "__call__", pressed)
    said = cli("add", "--photos", photos, "--on-paper", "--json")
    assert (said.code, said.json["stopped"]) == (130, True)
    added = len(said.json["added"])
    assert added == 2
    assert f"{added} of 6" in said.err
    monkeypatch.setattr(Counter, "__call__", count)
    rest = cli.json("add", "--photos", photos, "--on-paper")
    assert (len(rest["repeated"]), len(rest["added"])) == (added, 6 - added)


def test_a_second_ctrl_c_ends_it() -> None:
    before = signal.getsignal(signal.SIGINT)
    with until_interrupted() as stopped:
        assert not stopped()
        signal.raise_signal(signal.SIGINT)
        assert stopped()
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)
    assert signal.getsignal(signal.SIGINT) is before


def test_counting_is_one_line_on_a_terminal_and_every_tenth_elsewhere(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def counted(of: int) -> str:
        counter = Counter()
        for done in range(1, of + 1):
            counter(done, of, "hedge-rose.jpg")
        counter.end()
        return capsys.readouterr().err

    assert counted(23) == "10 of 23\n20 of 23\n23 of 23\n"
    assert counted(9) == ""
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    shown = counted(23)
    assert "\n" not in shown
    assert shown.count("\r") == 25
    assert shown.split("\r")[-3] == "23 of 23  hedge-rose.jpg"
    assert (shown.split("\r")[-2].strip(), shown.split("\r")[-1]) == ("", "")
