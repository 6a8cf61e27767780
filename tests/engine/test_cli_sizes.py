"""`sizes`: ranges, words, JSON and exit codes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine


def test_the_grid_of_the_demo(cli: CommandLine) -> None:
    found = cli.json("sizes", "--grid", "3..4", "--strip", "2..2 1/2 by 1/4", "--order", "mirror")
    assert [(one["grid"], one["strip_in"], one["covered"], one["letters_short"]) for one in found] == [
        (grid, strip, True, 0) for grid in (3, 4) for strip in (2, 2.25, 2.5)
    ]
    assert found[2]["square_in"] == pytest.approx(28.97, abs=0.005)


def test_one_star_alone_and_in_words(cli: CommandLine) -> None:
    said = cli("sizes", "--grid", 4, "--strip", "2 1/2")
    assert said.code == 0
    assert "1 of 1 stars are covered." in said.out
    assert "38 5/8 in" in said.out
    assert "98.1 cm" in cli("sizes", "--grid", 4, "--strip", "2 1/2", "--units", "cm").out


def test_none_covered_is_a_no_with_the_letters_short(cli: CommandLine) -> None:
    said = cli("sizes", "--grid", 13, "--strip", "4 1/2", "--json")
    assert said.code == 3
    assert said.json[0]["covered"] is False
    assert said.json[0]["letters_short"] > 0
    assert "letters short" in cli("sizes", "--grid", 13, "--strip", "4 1/2").out


def test_it_agrees_with_suggest_and_knows_its_wishes(cli: CommandLine) -> None:
    asked = ("--grid", 6, "--strip", "2 1/2", "--hue", "warm", "--measured")
    covered = cli("suggest", *asked, "--top", 1).code == 0
    assert (cli("sizes", *asked).code == 0) is covered
    assert cli("sizes", "--grid", 4, "--strip", 2.5, "--fix", "A=Rime").code in (0, 3)


def test_strips_in_centimetres_by_steps_of_centimetres(cli: CommandLine) -> None:
    for words in ("4 cm..6 cm by 1 cm", "4..6 cm by 1"):
        found = cli.json("sizes", "--grid", 3, "--strip", words)
        assert [one["strip_in"] for one in found] == pytest.approx([4 / 2.54, 5 / 2.54, 6 / 2.54])


def test_a_fixed_fabric_stands_in_every_star_of_the_range(cli: CommandLine) -> None:
    asked = ("--strip", "2 1/2", "--fix", "A=Rime")
    found = cli.json("sizes", "--grid", "4..5", *asked)
    assert [one["grid"] for one in found] == [4, 5]
    for one in found:
        assert one["covered"] is (cli("suggest", "--grid", one["grid"], "--top", 1, *asked).code == 0)


def test_a_name_that_is_not_there_is_refused_as_suggest_does(cli: CommandLine) -> None:
    for option in ("--ground", "--with", "--without"):
        said = cli("sizes", "--grid", 4, option, "Rimey")
        assert said.code == 1
        assert said.err == cli("suggest", "--grid", 4, "--strip", 2.5, option, "Rimey").err


def test_one_end_of_the_run_alone_is_asked_of_every_star(cli: CommandLine) -> None:
    found = cli.json("sizes", "--grid", "2..13", "--strip", "4 1/2", "--to", 30)
    assert {one["covered"] for one in found} == {True, False}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--grid", "10..8"), "--grid: 10 to 8 is no range"),
        (("--grid", "2..40"), "--grid: A grid of 40 cannot be"),
        (("--grid", "2..4 by 2"), "--grid: grids go one by one"),
        (("--grid", "four"), '--grid: "four" is no whole number'),
        (("--strip", "1..x"), '--strip: "x" is not a length'),
        (("--strip", "3..2"), '--strip: "3..2" is no range'),
        (("--strip", "1..4 by 0.001"), "--strip: a step of"),
        (("--strip", "2..9"), "--strip: A strip width of"),
        (("--order", "ABBA"), "--order: A 2 x 2 star has 3 rows"),
        (("--strip", "1/2..1"), "--strip: A strip width of 1/2 in"),
        (("--strip", "1..2..3"), '--strip: "2..3" is not a length'),
        (("--grid", "2..4", "--fix", "D=Rime"), "--fix: no row has the letter D"),
        (("--from", 20, "--to", 60), "a run from 20 to 60 does not darken"),
    ],
)
def test_what_is_no_range_is_said_with_its_option(cli: CommandLine, words: tuple[str, ...], said: str) -> None:
    answer = cli("sizes", *words)
    assert answer.code == 2
    assert said in answer.err
    assert answer.out == ""
