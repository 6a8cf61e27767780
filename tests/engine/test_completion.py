"""Shell completion: each script, run by its own shell, offers what the table of commands has."""

from __future__ import annotations

import os
import pty
import select
import shutil
import subprocess
import time
from pathlib import Path

import pytest

from stash.cli import main
from stash.cli.completion import FILES, SHELLS, VALUES, taken_by
from stash.cli.verbs import VERBS
from stash.colour.lab import HUES
from stash.model import Kind
from stash.sheets.document import PAGES
from stash.shelf import Order
from stash.star.beds import BEDS

PATIENCE = 20.0
TAKES = {verb.name: taken_by(verb) for verb in VERBS}


def has(shell: str) -> str:
    found = shutil.which(shell)
    if found is None:
        pytest.skip(f"{shell} is not installed here")
    return found


def script(shell: str, capsys: pytest.CaptureFixture[str]) -> str:
    assert main(["completion", shell]) == 0
    return capsys.readouterr().out


# -- the table


def test_the_words_offered_are_those_that_are_understood() -> None:
    assert set(VALUES["--kind"]) == {str(kind) for kind in Kind}
    assert set(VALUES["--sort"]) == {str(order) for order in Order}
    assert set(VALUES["--hue"]) == {"warm", "cool", *HUES}
    assert set(VALUES["--pages"]) == set(PAGES)
    assert set(VALUES["--bed"]) <= set(BEDS)


def test_every_place_that_is_filled_in_is_there() -> None:
    names = {name for takes in TAKES.values() for one in takes for name in one.names}
    places = {one.place for takes in TAKES.values() for one in takes}
    assert set(VALUES) <= names | places
    assert places >= FILES


@pytest.mark.parametrize("shell", SHELLS)
def test_each_script_names_every_command_and_option(shell: str, capsys: pytest.CaptureFixture[str]) -> None:
    text = script(shell, capsys)
    for verb in VERBS:
        assert verb.name in text
        for one in TAKES[verb.name]:
            assert all((f"-l {name[2:]}" if shell == "fish" else name) in text for name in one.names if name != "-h")


def test_another_shell_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["completion", "tcsh"]) == 2
    assert "bash, zsh or fish" in capsys.readouterr().err


# -- the shells

CASES = [
    (["su"], {"suggest"}, set()),
    (["add", "Moss", "--ki"], {"--kind"}, {"--colour"}),
    (["check", "--sta"], {"--star", "--stagger"}, {"--set"}),
    (["list", "--sort", "na"], {"name"}, {"value"}),
    (["sheet", "--paper", ""], {"letter", "a4"}, {"--paper"}),
    (["completion", ""], {"bash", "zsh", "fish"}, set()),
    (["import", "sta"], {"stash.csv"}, {"stars"}),
    (["--db", "sta"], {"stash.csv"}, {"star"}),
    (["undo", "--"], {"--json", "--db"}, {"--set"}),
]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "stash.csv").write_text("fabric\n", encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(("words", "wanted", "unwanted"), CASES)
def test_bash(
    words: list[str], wanted: set[str], unwanted: set[str], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = 'COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _starcover; printf "%s\\n" "${COMPREPLY[@]}"'
    command = [has("bash"), "--norc", "-c", script("bash", capsys) + asked, "bash", "starcover", *words]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=60)
    assert done.stderr == ""
    offered = set(done.stdout.splitlines())
    assert wanted <= offered
    assert not unwanted & offered


def test_bash_keeps_a_value_of_two_words_together(capsys: pytest.CaptureFixture[str]) -> None:
    asked = 'COMP_WORDS=(starcover add Moss --kind fat); COMP_CWORD=4; _starcover; printf "%s\\n" "${COMPREPLY[@]}"'
    done = subprocess.run([has("bash"), "-c", script("bash", capsys) + asked], capture_output=True, text=True)
    assert done.stdout.splitlines() == ["fat\\ quarter", "fat\\ eighth"]


@pytest.mark.parametrize(("words", "wanted", "unwanted"), CASES)
def test_fish(
    words: list[str], wanted: set[str], unwanted: set[str], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    line = " ".join(["starcover", *words])
    command = [has("fish"), "--no-config", "-c", script("fish", capsys) + f'complete -C "{line}"']
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=60)
    assert done.stderr == ""
    offered = {one.partition("\t")[0] for one in done.stdout.splitlines()}
    assert wanted <= offered
    assert not unwanted & offered


def shown_by_zsh(text: str, line: str, folder: Path) -> str:
    """What an interactive zsh shows and completes when Tab is pressed twice after `line`."""
    (folder / "script").write_text(text, encoding="utf-8")
    start = "PS1='now> '; unsetopt prompt_sp list_beep; autoload -Uz compinit; compinit -u -D; LISTMAX=200; . ./script"
    child, terminal = pty.fork()
    if child == 0:
        os.chdir(folder)
        os.execve(has("zsh"), ["zsh", "-f", "-i"], {**os.environ, "TERM": "dumb", "COLUMNS": "200"})
    seen = b""
    try:
        for typed, wanted in ((f"{start}\n", b"\nnow> "), (f"{line}\t\t", None), ("\x15print over\n", b"\nover")):
            os.write(terminal, typed.encode())
            deadline = time.monotonic() + PATIENCE
            while wanted is not None and wanted not in seen:
                assert time.monotonic() < deadline, seen.decode(errors="replace")
                if select.select([terminal], [], [], 0.2)[0]:
                    seen += os.read(terminal, 65536).replace(b"\r", b"")
    finally:
        os.close(terminal)
        os.waitpid(child, 0)
    return seen.decode(errors="replace").partition("\nnow> ")[2]


@pytest.mark.parametrize(("words", "wanted", "unwanted"), CASES)
def test_zsh(
    words: list[str], wanted: set[str], unwanted: set[str], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    has("zsh")
    shown = shown_by_zsh(script("zsh", capsys), " ".join(["starcover", *words]), folder)
    assert all(word in shown for word in wanted), shown
