"""What the README says is there is there, and what is there the README says."""

from __future__ import annotations

import argparse
import re
import shlex
import shutil
import tomllib
from pathlib import Path

import pytest

from stash import demo
from stash.cli import main
from stash.cli.parser import OPENING, build, find, split
from stash.cli.verbs import VERBS
from stash.inventory.csv_rows import KNOWN
from tui.commands import APP, commands_for
from tui.keys import KEY_NAMES, key_name
from tui.parts import PARTS

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
SCREENS = {
    "stash": "Stash", "intake": "Intake", "star": "Star", "suggestions": "Suggestions", "sizes": "Sizes",
    "cutting": "Cutting", "history": "History",
}  # fmt: skip
SAID = {"↑": "up", "↓": "down", "←": "left", "→": "right"}


def section(title: str) -> str:
    """The README's text under a second-level heading."""
    found = re.search(rf"^## {re.escape(title)}\n(.*?)(?=^## |\Z)", README, re.M | re.S)
    assert found is not None, title
    return found[1]


def shell_lines() -> list[str]:
    return re.findall(r"^```sh\n(.+)\n```$", README, re.M)


def options_of(parser: argparse.ArgumentParser) -> set[str]:
    return {one for one in parser._option_string_actions if one.startswith("--")}


def table_rows() -> dict[str, str]:
    """Verb to example, from the README's table of commands."""
    rows = re.findall(r"^\| `([a-z]+)` \| .* \| `(.+)` \|$", section("The command line"), re.M)
    assert rows
    return dict(rows)


def test_the_readme_starts_with_the_job() -> None:
    lines = README.splitlines()
    assert lines[0] == "# starcover"
    assert "Lone Star" in " ".join(lines[2:8])


def test_the_table_has_every_verb_of_the_parser_and_no_other() -> None:
    assert set(table_rows()) == {verb.name for verb in VERBS}


@pytest.mark.parametrize("name", [verb.name for verb in VERBS])
def test_each_example_of_the_readme_is_understood(name: str) -> None:
    words = shlex.split(table_rows()[name])
    assert words[0] == "starcover"
    request = split(words[1:])
    assert request.verb == name
    build(find(name, VERBS)).read(request.words)


@pytest.mark.parametrize("name", [verb.name for verb in VERBS])
def test_each_example_of_the_help_is_understood(name: str) -> None:
    request = split(shlex.split(find(name, VERBS).example)[1:])
    assert request.verb == name
    build(find(name, VERBS)).read(request.words)


def test_the_examples_of_the_readme_work_one_after_the_other(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    shutil.copytree(ROOT / "fixtures" / "demo", tmp_path, dirs_exist_ok=True)
    monkeypatch.setenv("STARCOVER_DB", str(demo.make_at(tmp_path / "play.db")))
    monkeypatch.setattr("tui.web.serve", lambda command, sock: sock.close())  # it would serve until Ctrl-C
    done = {verb: main(shlex.split(example)[1:]) for verb, example in table_rows().items()}
    assert done == dict.fromkeys(done, 0)


def test_every_option_in_the_readme_is_there() -> None:
    there = set(OPENING).union(*(options_of(build(verb)) for verb in VERBS))
    assert set(re.findall(r"(?<![\w-])--[a-z][a-z-]*", README)) <= there


def test_the_options_of_a_star_and_a_search_are_all_in_the_readme() -> None:
    said = set(re.findall(r"(?<![\w-])--[a-z][a-z-]*", README))
    wanted = set().union(*(options_of(build(find(name, VERBS))) for name in ("star", "suggest", "check")))
    assert wanted <= said


def test_the_readme_names_every_column_of_a_csv_file() -> None:
    text = section("The command line")
    assert [column for column in KNOWN if f"`{column}`" not in text] == []


@pytest.mark.parametrize("screen", SCREENS)
def test_the_readme_names_the_keys_of_each_screen(screen: str) -> None:
    found = re.search(rf"^\*\*{SCREENS[screen]}\.\*\*(.*?)(?=^\*\*|^## )", README, re.M | re.S)
    assert found is not None
    said = set(re.findall(r"`([^` ]+)`", found[1])) | set(re.findall(r"\b(Enter|Esc|up|down|left|right)\b", found[1]))
    shown = {SAID.get(command.shown_key, command.shown_key) for command in commands_for(screen)}
    assert shown <= said
    keys = {SAID.get(name, name) for command in commands_for(screen) for name in map(key_name, command.key.split(","))}
    keys_like = {one for one in said if len(one) == 1 or one in KEY_NAMES.values() or one in SAID.values()}
    assert keys_like <= keys | {key_name(command.key.split(",")[0]) for command in APP}


def test_every_picture_of_the_readme_is_there() -> None:
    pictures = re.findall(r"!\[(.*?)\]\((.*?)\)", README)
    assert pictures
    assert all(words and (ROOT / path).is_file() for words, path in pictures)


def test_two_commands_the_second_one_runs_the_tests_and_stands_in_the_checks() -> None:
    start, test = shell_lines()
    assert start.endswith("starcover demo")
    assert "pytest" in test
    assert test in (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()


def test_developers_map_names_every_module() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    modules = [path.relative_to(ROOT) for name in ("stash", "tui") for path in (ROOT / name).rglob("[a-z]*.py")]
    mapped = [path for path in modules if "migrations" not in path.parts]
    assert len(mapped) > 100
    assert [str(path) for path in mapped if f"/{path.name}`" not in text and f"`{path.name}`" not in text] == []


def test_developers_list_names_every_dependency() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [*project["dependencies"], *project["optional-dependencies"]["dev"]]
    names = [re.split(r"[^\w-]", one)[0].lower() for one in asked]
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition("## Dependencies")[2]
    assert names
    assert [name for name in names if not re.search(rf"(?<![\w-]){name}(?![\w-])", text)] == []
    extras = set(project["optional-dependencies"]) - {"dev"}
    assert all(f"`{name}`" in text for name in extras)


def test_the_readme_names_the_keys_of_dialogs_and_widgets() -> None:
    plain = r"\b(Enter|Esc|Tab|Space|Shift|Del|PgUp|PgDn|Home|End|arrows)\b"
    words = set(re.findall(r"`([^`\n]+)`", README)) | set(re.findall(plain, README))
    known = {"↑": "arrows", "↓": "arrows", "←": "arrows", "→": "arrows"}
    for command in PARTS:
        held, _, last = command.shown_key.rpartition("+") if len(command.shown_key) > 1 else ("", "", command.shown_key)
        assert {known.get(last, last), *([held] if held else [])} <= words, command
