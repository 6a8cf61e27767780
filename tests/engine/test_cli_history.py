"""The commands undo and history."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine


def test_undo_takes_the_newest_back_then_the_next_older(cli: CommandLine) -> None:
    start = cli.json("list")
    cli.json("used", "Fern", "5")
    middle = cli.json("list")
    cli.json("used", "Fern", "6")
    assert cli.json("undo")["kind"] == "undo"
    assert cli.json("list") == middle
    cli.json("undo")
    assert cli.json("list") == start


def test_history_is_newest_first_and_says_what_is_undone(cli: CommandLine) -> None:
    cli.json("used", "Fern", "5")
    cli.json("undo")
    entries = cli.json("history")
    assert [entry["op"] for entry in entries] == sorted((entry["op"] for entry in entries), reverse=True)
    assert [(one["kind"], one["undone"]) for one in entries[:2]] == [("undo", False), ("used", True)]
    assert entries[0]["undo_of"] == entries[1]["op"]
    assert cli.json("history", "--limit", 1) == entries[:1]
    assert cli("history").out.splitlines()[1].endswith("(undone)")


def test_nothing_to_undo(cli: CommandLine) -> None:
    new = cli.path.with_name("new.db")
    cli.bare("new", new)
    said = cli.bare("--db", new, "undo")
    assert (said.code, said.err.count("\n")) == (1, 1)
