"""Sentences on the screen name the key that does it: the user's own, where one was given."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import tui
from stash.paths import keys_file
from tests.tui.driving import running, screen_text, settled, toasts, wait_for
from tui.commands import BY_ID
from tui.named_keys import key_of, name_keys, with_keys

BRACED = re.compile(r"\{([a-z]+\.[a-z_]+)\}")
SOURCES = sorted(Path(tui.__file__).parent.rglob("*.py"))


@pytest.fixture(autouse=True)
def keys_as_they_come() -> None:
    name_keys({})


def test_a_sentence_names_the_key_of_the_table_or_the_users_own() -> None:
    assert with_keys("{app.undo} takes it back; {star.restore} restores") == "u takes it back; Esc restores"
    name_keys({"app.undo": "ctrl+u,f3"})
    assert with_keys("{app.undo} takes it back") == "^u takes it back"
    assert key_of("star.wider") == ">"


def test_every_command_that_a_sentence_names_is_in_the_table() -> None:
    named = {name for source in SOURCES for name in named_in(ast.parse(source.read_text(encoding="utf-8")))}
    assert len(named) > 20
    assert named <= set(BY_ID)


def named_in(tree: ast.AST) -> Iterator[str]:
    """The commands in texts for `with_keys`, and those given to `key_of`."""
    if isinstance(tree, ast.JoinedStr):  # what stands in braces there is a variable's
        for part in tree.values:
            if isinstance(part, ast.FormattedValue):
                yield from named_in(part)
        return
    if isinstance(tree, ast.Constant) and isinstance(tree.value, str):
        yield from BRACED.findall(tree.value)
    if isinstance(tree, ast.Call) and getattr(tree.func, "id", "") == "key_of":
        yield from (one.value for one in tree.args if isinstance(one, ast.Constant))
    for child in ast.iter_child_nodes(tree):
        yield from named_in(child)


async def test_keys_of_the_users_own_stand_in_what_the_screens_say(stash_path: Path) -> None:
    keys_file().parent.mkdir(parents=True, exist_ok=True)
    keys_file().write_text('"app.undo" = "ctrl+t"\n"stash.clear" = "f9"\n', encoding="utf-8")
    async with running(stash_path) as pilot:
        await pilot.press("f", "b", *"1 yd", "enter")
        await wait_for(pilot, lambda: toasts(pilot), "the toast")
        assert toasts(pilot)[0].endswith("^t takes it back")
        await pilot.press("slash", *"zebra")
        await settled(pilot)
        assert "F9 shows all of them" in screen_text(pilot)


async def test_the_empty_stash_names_them_too(tmp_path: Path) -> None:
    from stash.inventory.store import Store

    Store.create(tmp_path / "new.db").close()
    keys_file().parent.mkdir(parents=True, exist_ok=True)
    keys_file().write_text('"stash.intake" = "f9"\n', encoding="utf-8")
    async with running(tmp_path / "new.db") as pilot:
        assert "F9  photos:" in screen_text(pilot)
        assert "a  type:" in screen_text(pilot)


async def test_an_empty_star_screen_names_them(empty_path: Path) -> None:
    keys_file().parent.mkdir(parents=True, exist_ok=True)
    keys_file().write_text('"star.open" = "ctrl+g"\n', encoding="utf-8")
    async with running(empty_path) as pilot:
        await pilot.press("s")
        await settled(pilot)
        assert "^g  open a saved star" in screen_text(pilot)
