"""How the command line begins and ends: help, versions, JSON of every command, interrupts, faults of our own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import pytest

import stash
from stash.cli import faults, stars
from stash.cli.output import clean, table
from stash.cli.verbs import VERBS

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine

ROOT = Path(__file__).resolve().parents[2]


def process(*words: object, **environment: str) -> subprocess.CompletedProcess[bytes]:
    """A command in a process of its own, with no terminal."""
    return subprocess.run(
        [sys.executable, "-m", "stash.cli", *map(str, words)],
        cwd=ROOT, env={**os.environ, **environment}, capture_output=True, stdin=subprocess.DEVNULL, timeout=60,
    )  # fmt: skip


def test_version_and_help(cli: CommandLine) -> None:
    assert cli.bare("--version").out == f"starcover {stash.__version__}\n"
    assert cli.bare("--version", "--json").json == {"starcover": stash.__version__}
    overview = cli.bare("--help").out
    for verb in VERBS:
        assert f"\n  {verb.name} " in overview
        said = cli.bare(verb.name, "--help")
        assert (said.code, said.err) == (0, "")
        assert said.out.startswith(f"usage: starcover {verb.name}")
        assert f"For example: {verb.example}" in " ".join(said.out.split())


READING = (
    ("star", "--grid", "2", "--strip", "2"),
    ("suggest", "--grid", "2", "--strip", "2"),
    ("check", "--star", "Mill Pond"),
    ("stars",), ("list",), ("history",), ("where",),
)  # fmt: skip


@pytest.mark.parametrize("words", READING, ids=lambda words: words[0])
@pytest.mark.parametrize("place", ["before", "after", "between"])
def test_json_is_one_document_wherever_the_options_stand(cli: CommandLine, words: tuple[str, ...], place: str) -> None:
    options = ("--db", str(cli.path), "--json")
    lines = {
        "before": (*options, *words),
        "after": (*words, *options),
        "between": (*options[:2], *words[:1], "--json", *words[1:]),
    }
    said = cli.bare(*lines[place])
    assert said.code == 0
    assert said.json is not None
    assert "{" in said.out or "[" in said.out


@pytest.mark.parametrize("words", READING, ids=lambda words: words[0])
def test_text_is_plain(cli: CommandLine, words: tuple[str, ...]) -> None:
    said = cli(*words)
    assert said.code == 0
    assert said.out.endswith("\n")
    assert "\x1b" not in said.out
    assert not any("\u2500" <= sign <= "\u259f" for sign in said.out)  # box drawing and blocks
    assert all(line == line.rstrip() for line in said.out.splitlines())


def test_options_are_not_guessed_from_their_beginning(cli: CommandLine) -> None:
    said = cli("star", "--gri", "4", "--strip", "2.5")
    assert (said.code, said.out) == (2, "")
    assert "did you mean --grid?" in said.err


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (("sugest",), "did you mean suggest?"),
        (("STAR",), "did you mean star?"),
        (("star", "--units", "inn", "--grid", "4", "--strip", "2"), "did you mean in?"),
        (("list", "--sort", "nam"), "did you mean name?"),
        (("--jsn", "list"), "did you mean --json?"),
        (("star", "--grid", "4", "--strip", "2", "1/2"), "stands in quotes"),
        (("star", "--grid"), "expected one argument"),
        (("star",), "--grid and --strip are needed"),
        (("archive",), "required: F"),
        (("undo", "3"), "was not expected"),
        (("suggest", "--dark-first", "--light-first"), "not allowed with"),
        (("suggest", "--grid", "2", "--strip", "2", "--take", "2"), "--save"),
        (("suggest", "--grid", "2", "--strip", "2", "--take", "9", "--save", "X"), "use 1 to"),
        (("suggest", "--grid", "2", "--strip", "2", "--fix", "Fern"), "D=Fern"),
        (("suggest", "--grid", "2", "--strip", "2", "--fix", "D=Fern"), "A to C"),
        (("suggest", "--grid", "2", "--strip", "2", "--hue", "mauve"), "warm"),
        (("check", "--star", "Mill Pond", "--grid", "4"), "do not go together"),
        (("check", "--grid", "2", "--strip", "2", "--use", "A=Fern"), "B, C"),
        (("check", "--grid", "2", "--strip", "2", "--use", "A=Fern", "--use", "A=Moss"), "D=Moss+Fern"),
    ],
)
def test_usage_faults_are_one_line(cli: CommandLine, words: tuple[str, ...], hint: str) -> None:
    before = cli.path.read_bytes()
    said = cli(*words)
    assert (said.code, said.out, said.err.count("\n")) == (2, "", 1)
    assert said.err.startswith("starcover: ")
    assert hint in said.err
    assert cli.path.read_bytes() == before
    with_json = cli(*words, "--json")
    assert (with_json.code, set(with_json.json["error"])) == (2, {"what", "where", "do"})


def test_look_alikes_and_letters_in_any_case(cli: CommandLine) -> None:
    uses = ("--use", "a=Sage", "--use", "B=moss + FERN", "--use", "C=Sloe")
    found = cli.json("check", "--grid", 2, "--strip", 2.5, *uses)
    assert [one["fabric"] for one in found["letters"]] == ["Sage", "Moss+Fern", "Sloe"]
    assert {one["sewn"] for one in found["sets"]} == {"halved"}  # four points of each, so no run of eight


def test_a_name_with_a_plus_is_one_fabric(cli: CommandLine) -> None:
    cli.json("add", "Salt + Pepper", "--length", "1 yd")
    uses = ("--use", "A=salt + pepper", "--use", "B=Fern")
    found = cli.json("check", "--grid", 2, "--strip", 2.5, "--order", "ABA", *uses)
    assert found["letters"][0]["fabric"] == "Salt + Pepper"


def test_a_saved_star_with_one_fabric_changed(cli: CommandLine) -> None:
    assert cli("check", "--star", "Lowmere Evening", "--json").code == 3
    assert cli.json("check", "--star", "Lowmere Evening", "--use", "D=Rhubarb", "--save", "Lowmere Evening")["covered"]
    assert cli.json("check", "--star", "Lowmere Evening/2")["covered"]
    assert [len(one["colourings"]) for one in cli.json("stars")] == [2, 2]


def test_a_star_may_have_a_stroke_in_its_name(cli: CommandLine) -> None:
    cli.json("check", "--star", "Mill Pond", "--save", "Half/2")
    assert cli.json("check", "--star", "Half/2")["covered"]
    assert cli.json("check", "--star", "Half/2/1")["covered"]


def test_centimetres_are_printed_where_asked_for(cli: CommandLine) -> None:
    """1 in is 2.54 cm by definition; 5 in and 1 in for straightening are 15.24 cm, sold as 20."""
    said = cli("star", "--grid", "4", "--strip", "2.5", "--order", "mirror", "--units", "cm")
    assert "12.7 cm   20 cm" in said.out
    short = cli("check", "--grid", "2", "--strip", "2.5", "--order", "ABA", "--units", "cm", "--use", "A=Rosehip",
                "--use", "B=Rosehip", "--json")  # fmt: skip
    assert [one["buy_yards"] for one in short.json["letters"]] == ["10 cm", "10 cm"]


def test_an_interrupt_ends_quietly(cli: CommandLine, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_: object) -> NoReturn:
        raise KeyboardInterrupt

    monkeypatch.setattr(stars, "stars", interrupted)
    said = cli("stars")
    assert (said.code, said.out, said.err) == (faults.INTERRUPTED, "", "")


def test_a_fault_of_our_own_is_one_line_and_its_traceback_goes_to_the_log(
    cli: CommandLine, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stumble(*_: object) -> NoReturn:
        raise ZeroDivisionError("a fault of our own")

    log = Path(cli.json("where")["log"])
    monkeypatch.setattr(stars, "stars", stumble)
    said = cli("stars", "--json")
    assert (said.code, said.err.count("\n"), set(said.json["error"])) == (1, 1, {"what", "where", "do"})
    assert "Traceback" not in said.out + said.err
    assert str(log) in said.err
    assert "ZeroDivisionError: a fault of our own" in log.read_text(encoding="utf-8")
    log.unlink()
    log.mkdir()
    said = cli("stars")
    assert (said.code, said.err.count("\n")) == (1, 1)
    assert "the log cannot be written" in said.err


def test_a_reader_that_goes_away_is_no_fault(cli: CommandLine) -> None:
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run(
        [sys.executable, "-m", "stash.cli", "--db", str(cli.path), "list"],
        cwd=ROOT, stdout=write, stderr=subprocess.PIPE, stdin=subprocess.DEVNULL, timeout=60,
    )  # fmt: skip
    os.close(write)
    assert (done.returncode, done.stderr) == (faults.PIPE_CLOSED, b"")


def test_a_machine_without_a_locale_still_prints_every_name(cli: CommandLine) -> None:
    cli.json("add", "Würzkraut ½")
    poor = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "PYTHONIOENCODING": "ascii"}
    done = process("--db", cli.path, "list", "rzkraut", **poor)
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"W\\xfcrzkraut \\xbd" in done.stdout
    done = process("--db", cli.path, "list", "rzkraut", "--json", **poor)
    assert json.loads(done.stdout)[0]["fabric"] == "Würzkraut ½"


def test_control_codes_are_shown_and_never_sent() -> None:
    assert clean("a\x1b[2Jb\nc\u202ed") == "a\\x1b[2Jb\\nc\\u202ed"
    assert clean("Würzkraut ½ 綿") == "Würzkraut ½ 綿"


def test_a_table_lines_up_wide_and_combining_letters() -> None:
    rows: list[Any] = [("綿", "1"), ("e\u0301te\u0301", "22"), ("linen", "333")]
    head, *lines = table(("name", "n"), rows, right="lr")
    assert head == "name     n"
    assert lines == ["綿       1", "e\u0301te\u0301     22", "linen  333"]
