"""Keys that the user changed: shown everywhere, listed at the command line, and faults of the file in one line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from textual.command import CommandPalette

from stash.cli import main
from stash.paths import keys_file
from tests.tui.driving import running, screen_text, settled, toasts, wait_for
from tui.commands import ALL
from tui.dialogs.base import Dialog
from tui.keys import key_name
from tui.remapping import read_keys
from tui.screens.star import StarScreen


def write(text: str | bytes) -> None:
    keys_file().parent.mkdir(parents=True, exist_ok=True)
    keys_file().write_bytes(text.encode() if isinstance(text, str) else text)


async def test_a_key_of_the_users_own_works_and_is_shown_everywhere(stash_path: Path) -> None:
    write('"star.grey" = "f9"\n[star]\nbacking = ["ctrl+b"]\n[app]\nhistory = "ctrl+g,f5"\n')
    async with running(stash_path, (120, 50)) as pilot:
        assert not [text for text in toasts(pilot) if "keys.toml" in text]
        assert "F9 Grey" in screen_text(pilot).splitlines()[-1]
        assert "^g History" in screen_text(pilot).splitlines()[0]
        screen = pilot.app.screen
        assert isinstance(screen, StarScreen)
        assert screen.active_bindings["f9"].binding.id == "star.grey"
        assert "v" not in screen.active_bindings
        await pilot.press("question_mark")
        assert "F9" in screen_text(pilot)
        await pilot.press("escape", "ctrl+p", *"hist")
        await wait_for(pilot, lambda: "History  (^g)" in screen_text(pilot), "the palette")
        assert isinstance(pilot.app.screen, CommandPalette)
        await pilot.press("escape", "ctrl+g")
        await wait_for(pilot, lambda: pilot.app.current_mode == "history", "the history")


async def test_a_dialogs_keys_can_be_changed_too(stash_path: Path) -> None:
    write('"form.save" = "f10"\n')
    async with running(stash_path) as pilot:
        await pilot.press("f", "a", *"Dusk")
        await settled(pilot)
        assert "F10 Save" in screen_text(pilot)
        await pilot.press("f10")
        await wait_for(pilot, lambda: not isinstance(pilot.app.screen, Dialog), "the form saved")
        assert any(fabric.name == "Dusk" for fabric in pilot.app.loaded.fabrics)


async def test_faults_of_the_file_are_one_line_and_the_rest_works(stash_path: Path) -> None:
    write('"star.prnt" = "f9"\n"star.grey" = "f8"\n"app.history" = "ctrl+g"\n')
    async with running(stash_path, (120, 40)) as pilot:
        said = [text for text in toasts(pilot) if "keys.toml" in text]
        assert len(said) == 1
        assert "there is no command star.prnt, did you mean star.print?" in said[0]
        assert "and 1 more" in said[0]
        assert pilot.app.screen.active_bindings["v"].binding.id == "star.grey"
        assert pilot.app.screen.active_bindings["f8"].binding.id == "star.binding"
        await pilot.press("ctrl+g")
        await wait_for(pilot, lambda: pilot.app.current_mode == "history", "the history")


REFUSED = [
    ('"star.grey" = 7', "in quotes"),
    ('"star.grey" = []', "in quotes"),
    ('"star.grey" = ""', "no key"),
    ('"star.grey" = "F99"', "no key"),
    ('"star.grey" = "ctrl+"', "no key"),
    ('"star.grey" = "kontrol+x"', "no key"),
    ('"star.grey" = "A"', "picks a row"),
    ('"star.grey" = "3"', "picks a row"),
    ('"star.way" = "f9"', "keeps its keys"),
    ('"star.grey" = "c"', "is the key of star.chart"),
    ('"star.grey" = "?"', "is the key of app.help"),
    ('"stash.add" = "home"', "is the key of list.first"),
    ('"app.undo" = "/"', "is the key of stash.filter"),
    ('"form.save" = "s"', "is written into the field"),
    ('"paper.larger" = "+"', "is written into the field"),
    ("star.grey = ", "not TOML"),
    ("nothing", "not TOML"),
    (b"\xff\xfe", "not in UTF-8"),
    (b'"star.grey" = "\x1b[31m"', "not TOML"),
    (b"#" * 200_000, "longer"),
    (b"a=" + b"[" * 50_000, "not TOML"),
]


@pytest.mark.parametrize(("text", "said"), REFUSED)
def test_what_is_wrong_in_it_is_said(text: str | bytes, said: str) -> None:
    write(text)
    found = read_keys(keys_file())
    assert found.keys == {}
    assert len(found.faults) == 1
    assert said in found.faults[0]
    assert "\x1b" not in found.said(keys_file())
    assert "\n" not in found.said(keys_file())


TAKEN = [
    ('"star.grey" = "c"\n"star.chart" = "v"', {"star.grey": "c", "star.chart": "v"}),  # exchanged
    ('"stash.add" = "insert, a"', {"stash.add": "insert,a"}),
    ('"stash.add" = ","', {"stash.add": "comma"}),
    ('"stash.add" = "!"', {"stash.add": "!"}),
    ('"stash.grey" = "g"\n"app.suggestions" = "f4"', {"stash.grey": "g", "app.suggestions": "f4"}),
    ("", {}),
]


@pytest.mark.parametrize(("text", "keys"), TAKEN)
def test_what_is_right_is_taken(text: str, keys: dict[str, str]) -> None:
    write(text)
    assert read_keys(keys_file()).keys == keys
    assert read_keys(keys_file()).faults == ()


def test_no_file_is_no_fault() -> None:
    assert read_keys(keys_file()).faults == ()


def test_a_folder_in_its_place_is_one() -> None:
    keys_file().mkdir(parents=True)
    assert "cannot be read" in read_keys(keys_file()).faults[0]


# -- the command line


def test_keys_lists_every_command_with_its_keys(capsys: pytest.CaptureFixture[str]) -> None:
    write('"star.print" = "ctrl+r"\n')
    assert main(["keys", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert [one["command"] for one in said["commands"]] == [command.id for command in ALL]
    by_id = {one["command"]: one["keys"] for one in said["commands"]}
    assert by_id["star.print"] == ["^r"]
    assert by_id["star.cut"] == [key_name("x")]
    assert main(["where"]) == 0
    assert str(keys_file()) in capsys.readouterr().out


def test_keys_says_what_is_wrong_in_the_file(capsys: pytest.CaptureFixture[str]) -> None:
    write('"star.prnt" = "ctrl+r"\n')
    assert main(["keys"]) == 0
    assert "did you mean star.print?" in capsys.readouterr().err
