"""The commands about fabrics: list, add, edit, archive, bought, used, count."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import pytest

from stash.colour.lab import delta_e_2000, lab_from_hex
from stash.model import Colour

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine


def test_list_goes_from_light_to_dark(cli: CommandLine) -> None:
    values = [one["L"] for one in cli.json("list")]
    assert len(values) == 60
    assert all(a >= b for a, b in pairwise(values))


def test_list_by_name_hue_and_length(cli: CommandLine) -> None:
    names = [one["fabric"] for one in cli.json("list", "--sort", "name")]
    assert names == sorted(names, key=str.casefold)
    by_hue = cli.json("list", "--sort", "hue")
    neutral = [one["a"] ** 2 + one["b"] ** 2 < 144 for one in by_hue]  # chroma under 12
    assert neutral == sorted(neutral, reverse=True)
    by_length = cli.json("list", "--sort", "length")
    assert by_length[0]["fabric"] == "Flax"
    assert by_length[-1]["pieces"] == []


def test_list_says_what_is_there(cli: CommandLine) -> None:
    """One yard is 36 in; a fat quarter is 18 x 21 (common practice, no source), 378 square inches: over 1/4 yd of
    40 in cloth (360), under 3/8 (derived)."""
    rosehip = cli.fabric("Rosehip")
    assert (rosehip["on_hand_yards"], rosehip["place"], rosehip["measured"]) == ("1/4", "shelf 2", True)
    assert cli.sizes("Rosehip") == [("yardage", 9.0, 40.0)]
    assert (cli.fabric("Gorse")["on_hand_yards"], cli.fabric("Reed")["on_hand_yards"]) == ("1/4", "1/3")
    windfall = cli.fabric("Windfall")
    assert (windfall["pieces"], windfall["on_hand_yards"], windfall["measured"]) == ([], "0", False)
    soot = lab_from_hex(cli.fabric("Soot")["hex"])
    assert delta_e_2000(Colour(22, 0, 0), [soot])[0] < 1.5  # drawn in L* 22, and measured from its photograph


def test_list_with_words(cli: CommandLine) -> None:
    assert {one["place"] for one in cli.json("list", "shelf", 2)} == {"shelf 2"}
    assert [one["fabric"] for one in cli.json("list", "FERN")] == ["Fern"]
    red = [one["fabric"] for one in cli.json("list", "red")]
    assert "Red Currant" in red
    assert "Kingfisher" not in red  # not measured has "red" inside, but does not begin with it
    assert cli("list", "no such thing").out == "No fabric matches.\n"


def test_list_as_text_is_aligned_and_has_no_rules(cli: CommandLine) -> None:
    head, *rows = cli("list").out.splitlines()
    assert len(rows) == 60
    for word in ("fabric", "colour", "on hand", "place"):
        at = head.index(word)
        assert all(len(row) <= at or (row[at - 1] == " " and row[at] != " ") for row in rows)
    assert not set("│─┌+|") & set("".join(rows))


def test_an_empty_stash_says_so(cli: CommandLine) -> None:
    new = cli.path.with_name("new.db")
    cli.bare("new", new)
    assert cli.bare("--db", new, "list").out == "The stash is empty: add or import puts fabrics in.\n"
    assert cli.bare("--db", new, "stars").out.startswith("No star is saved yet")
    assert cli.bare("--db", new, "history").out == "Nothing yet.\n"


def test_add_takes_all_that_is_known(cli: CommandLine) -> None:
    added = cli.json(
        "add", "Hedge Rose", "--length", "2 x 1 1/2 yd", "--width", "43", "--colour", "50,60,-10", "--place", "box 3",
        "--note", "from the attic", "--price", "9.50", "--washed", "--directional",
    )  # fmt: skip
    assert [(p["kind"], p["length_in"], p["width_in"]) for p in added["pieces"]] == [("yardage", 54.0, 43.0)] * 2
    assert (added["L"], added["a"], added["b"]) == (50, 60, -10)
    rest = ("place", "note", "price", "washed", "directional")
    assert [added[key] for key in rest] == ["box 3", "from the attic", "9.50", True, True]
    assert added == {**cli.fabric("Hedge Rose"), "text": added["text"]}


def test_add_without_a_length_is_not_measured(cli: CommandLine) -> None:
    assert cli("add", "Hedge Rose").out == "Added Hedge Rose: not measured.\n"
    assert not cli.fabric("Hedge Rose")["measured"]
    assert cli("add", "Hedge", "--width", "40").code == 2


@pytest.mark.parametrize(
    ("typed", "length"), [("1 1/2 yd", 54), ("50 cm", 50 / 2.54), ("13 1/2 in", 13.5), ("13.5", 13.5), ("½ yd", 18)]
)
def test_lengths_as_they_are_typed(cli: CommandLine, typed: str, length: float) -> None:
    """One yard is 36 in, one inch 2.54 cm (by definition)."""
    cli.json("add", "Hedge Rose", "--length", typed)
    assert cli.sizes("Hedge Rose") == [("yardage", pytest.approx(length, abs=1e-4), 40.0)]


def test_one_uid_adds_once(cli: CommandLine) -> None:
    first = cli.json("add", "Hedge Rose", "--length", "fq", "--uid", "once")
    assert cli.json("add", "Hedge Rose", "--length", "fq", "--uid", "once")["pieces"] == first["pieces"]
    assert len(cli.json("list")) == 61


def test_edit_is_one_entry_and_one_undo_takes_it_back(cli: CommandLine) -> None:
    before, entries = cli.fabric("Rime"), len(cli.json("history"))
    changed = cli.json(
        "edit", "rime", "--name", "Hoar Frost", "--place", "shelf 9", "--unwashed", "--directional", "--value", "88",
        "--colour", "#102030",
    )  # fmt: skip
    assert (changed["fabric"], changed["place"], changed["washed"]) == ("Hoar Frost", "shelf 9", False)
    assert (changed["directional"], changed["L"], changed["value_by_eye"]) == (True, 88, 88)
    assert len(cli.json("history")) == entries + 1
    cli.json("undo")
    assert cli.fabric("Rime") == before


def test_a_value_by_eye_is_taken_by_the_list_and_goes_back(cli: CommandLine) -> None:
    measured = cli.fabric("Soot")["L"]
    assert 21 < measured < 23
    cli.json("edit", "Soot", "--value", "95")
    assert cli.json("list")[0]["fabric"] == "Soot"
    cli.json("edit", "Soot", "--value", "measured")
    assert (cli.fabric("Soot")["L"], cli.fabric("Soot")["value_by_eye"]) == (measured, None)


@pytest.mark.parametrize(
    "words",
    [
        ("edit", "Rime"),
        ("edit", "Rime", "--value", "101"),
        ("edit", "Rime", "--value", "nan"),
        ("edit", "Rime", "--colour", "greenish"),
        ("edit", "Rime", "--colour", "50,60"),
        ("edit", "Rime", "--washed", "--unwashed"),
        ("add", "Hedge Rose", "--length", "1 yd", "--kind", "bolt"),
        ("add", "Hedge Rose", "--length", "0"),
        ("add", "Hedge Rose", "--length", "-5"),
        ("list", "--sort", "size"),
        ("count", "Rime", "plenty"),
        ("used", "Rime", "1e9"),
    ],
)
def test_what_is_not_understood_changes_nothing(cli: CommandLine, words: tuple[str, ...]) -> None:
    before = cli.path.read_bytes()
    said = cli(*words)
    assert (said.code, said.out, said.err.count("\n")) == (2, "", 1)
    assert cli.path.read_bytes() == before


def test_names_that_are_taken_or_empty_are_refused(cli: CommandLine) -> None:
    before = cli.path.read_bytes()
    for words in (("add", " fern "), ("edit", "Moss", "--name", "FERN"), ("add", "  ")):
        said = cli(*words)
        assert said.code in (1, 2)
        assert said.err.count("\n") == 1
    assert cli.path.read_bytes() == before


def test_archived_fabrics_are_out_of_sight_only(cli: CommandLine) -> None:
    cli.json("archive", "Fern")
    assert "Fern" not in [one["fabric"] for one in cli.json("list")]
    assert cli.fabric("Fern")["archived"]
    cli.json("undo")
    assert "Fern" in [one["fabric"] for one in cli.json("list")]


def test_bought_used_and_counted(cli: CommandLine) -> None:
    cli.json("bought", "Windfall", "2", "x", "fq")
    assert cli.sizes("Windfall") == [("fat quarter", 18.0, 21.0)] * 2
    cli.json("used", "Rosehip", "2 1/2", "in")
    assert cli.sizes("Rosehip") == [("yardage", 6.5, 40.0)]
    cli.json("used", "Rosehip", "all")
    assert cli.sizes("Rosehip") == []
    assert cli.fabric("Rosehip")["measured"]
    cli.json("count", "Rosehip", "1/2 yd", "and", "fq")
    assert sorted(cli.sizes("Rosehip")) == [("fat quarter", 18.0, 21.0), ("yardage", 18.0, 40.0)]
    cli.json("count", "Rosehip", "0")
    assert cli.sizes("Rosehip") == []


def test_what_is_counted_is_as_wide_as_what_was_there(cli: CommandLine) -> None:
    cli.json("count", "Rosehip", "1/2 yd", "--width", "43")
    cli.json("count", "Rosehip", "13 in")
    assert cli.sizes("Rosehip") == [("yardage", 13.0, 43.0)]
    cli.json("count", "Rosehip", "13 in and fq", "--width", "20")
    cli.json("count", "Rosehip", "12 in", "and", "30 x 44 in")  # a width that is typed stands
    assert cli.sizes("Rosehip") == [("yardage", 12.0, 20.0), ("yardage", 30.0, 44.0)]
    cli.json("count", "Rosehip", "11 in")  # of two widths none is the usual one
    assert cli.sizes("Rosehip") == [("yardage", 11.0, 40.0)]


def test_more_than_there_is_cannot_be_used(cli: CommandLine) -> None:
    said = cli("used", "Rosehip", "10 in")
    assert said.code == 1
    assert "9 in" in said.err
    assert cli.sizes("Rosehip") == [("yardage", 9.0, 40.0)]


def test_control_codes_are_never_sent_to_the_terminal(cli: CommandLine) -> None:
    for words in (("list", "\x1b[2J"), ("archive", "\x1b[2J\u202e"), ("\x1b[2J",), ("star", "--grid", "\x1b[2J")):
        said = cli(*words)
        assert "\x1b" not in said.out + said.err
        assert "\u202e" not in said.out + said.err
