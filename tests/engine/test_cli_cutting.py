"""The commands about cutting: log by star, set, fabric or strips; a kept plan made again or let go."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from stash.inventory.store import Store

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine


MILL_POND = ("log", "--star", "Mill Pond")  # 3 x 3 mirrored: A Duck Egg, B Mill Race, C Trout Pool


def lengths(cli: CommandLine) -> dict[str, float]:
    """Inches of length of each fabric's pieces together."""
    return {one["fabric"]: sum(piece["length_in"] for piece in one["pieces"]) for one in cli.json("list")}


def taken(before: dict[str, float], after: dict[str, float]) -> dict[str, float]:
    """What went off each fabric that changed, inches."""
    return {name: round(before[name] - after[name], 3) for name in before if before[name] != after[name]}


def test_a_star_is_booked_whole(cli: CommandLine) -> None:
    """A mirrored 3 x 3 has rows A B C B A of 1, 2, 3, 2, 1 small diamonds: 2, 4 and 3 strips of 2 1/2 in
    (derived), each fabric straightened by 1 in first (common practice, no source)."""
    before = lengths(cli)
    assert cli.json(*MILL_POND)["kind"] == "cut"
    assert taken(before, lengths(cli)) == {"Duck Egg": 6.0, "Mill Race": 11.0, "Trout Pool": 8.5}


def test_sets_booked_one_by_one_come_to_the_whole(cli: CommandLine) -> None:
    before = lengths(cli)
    for number in (3, 1, 2):
        cli.json(*MILL_POND, "--set", number)
    by_sets = taken(before, lengths(cli))
    assert by_sets == {"Duck Egg": 6.0, "Mill Race": 11.0, "Trout Pool": 8.5}


def test_a_second_star_has_to_be_asked_for(cli: CommandLine) -> None:
    first = cli.json(*MILL_POND)
    before = cli.path.read_bytes()
    for words in (MILL_POND, (*MILL_POND, "--set", 2)):
        said = cli(*words)
        assert (said.code, f"it is cut already (entry {first['op']})" in said.err) == (1, True)
    assert cli.path.read_bytes() == before
    cli.json("bought", "Duck Egg", "1/2 yd")
    once = lengths(cli)
    cli.json(*MILL_POND, "--replan")
    # the pieces were cut before, so they lose 1/2 in where whole ones lose 1 (common practice, no source)
    second = taken(once, lengths(cli))
    assert {name: second[name] for name in ("Mill Race", "Trout Pool")} == {"Mill Race": 10.5, "Trout Pool": 8.0}


def test_one_fabric_and_then_the_rest(cli: CommandLine) -> None:
    before = lengths(cli)
    cli.json(*MILL_POND, "--fabric", "trout pool")
    assert taken(before, lengths(cli)) == {"Trout Pool": 8.5}
    cli.json(*MILL_POND)
    assert taken(before, lengths(cli)) == {"Duck Egg": 6.0, "Mill Race": 11.0, "Trout Pool": 8.5}


def test_the_second_colouring(cli: CommandLine) -> None:
    before = lengths(cli)
    cli.json("log", "--star", "Mill Pond/2")
    assert set(taken(before, lengths(cli))) == {"Barley", "Fern", "Sloe"}
    said = cli("log", "--star", "Mill Pond/3")
    assert (said.code, "it has no colouring 3; it has 1, 2" in said.err) == (1, True)


def test_a_piece_changed_since_the_plan_is_refused_and_named(cli: CommandLine) -> None:
    cli.json(*MILL_POND, "--set", 1)
    cli.json("used", "Trout Pool", "1", "in")
    before = lengths(cli)
    said = cli(*MILL_POND)
    assert said.code == 1
    assert "Trout Pool" in said.err
    assert lengths(cli) == before


def test_a_plan_that_nothing_is_cut_of_can_be_made_again(cli: CommandLine) -> None:
    cli.json(*MILL_POND)
    cli.json("undo")  # the cut; the plan stays
    cli.json("used", "Trout Pool", "1", "in")
    assert cli(*MILL_POND).code == 1
    assert cli.json(*MILL_POND, "--replan")["kind"] == "cut"


def test_check_of_a_star_that_is_being_cut_is_about_the_rest(cli: CommandLine) -> None:
    cli.json("count", "Trout Pool", "9", "in")  # three strips of 2 1/2 in and an inch: no more (derived)
    cli.json(*MILL_POND, "--set", 1)
    said = cli("check", "--star", "Mill Pond", "--json")
    assert said.code == 0
    assert said.json["covered"]
    assert "3 of 9 strips are cut already; this is about the others." in said.err
    assert cli("check", "--star", "Mill Pond", "--use", "A=Duck Egg", "--json").code == 3  # a whole star anew


def test_the_rest_of_a_plan_that_is_cut_in_part_can_be_planned_again(cli: CommandLine) -> None:
    """Set 1 takes one of Trout Pool's three strips; 1 in is used; then 1/2 in comes off for straightening a piece
    that was cut before, and two strips of 2 1/2 in (common practice, no source)."""
    before = lengths(cli)
    cli.json(*MILL_POND, "--set", 1)
    cli.json("used", "Trout Pool", "1", "in")
    assert cli(*MILL_POND).code == 1
    cli.json(*MILL_POND, "--replan")
    assert taken(before, lengths(cli))["Trout Pool"] == 1 + 2.5 + 1 + 0.5 + 5
    assert cli(*MILL_POND).code == 1  # it is all cut
    cli.json("used", "Trout Pool", "8", "in")
    cli.json(*MILL_POND[:2], "Mill Pond/2", "--set", 1)
    cli.json("count", "Fern", "3", "in")
    said = cli(*MILL_POND[:2], "Mill Pond/2", "--replan")
    assert said.code == 3
    assert "short by" in said.err
    assert "Fern" in said.err


def test_not_covered_is_a_no_that_names_the_letter(cli: CommandLine) -> None:
    said = cli("log", "--star", "Lowmere Evening", "--json")
    assert said.code == 3
    assert "short at D (Rosehip)" in said.json["error"]["what"]
    assert "short at D (Rosehip)" in said.err


def test_not_measured_is_a_no_too(cli: CommandLine) -> None:
    said = cli("check", "--star", "Mill Pond", "--use", "B=Windfall", "--save", "Parcel", "--json")
    letters = {one["letter"]: one["mark"] for one in said.json["letters"]}
    assert (said.code, said.json["covered"], letters["B"]) == (3, False, "unmeasured")
    said = cli("log", "--star", "Parcel")
    assert (said.code, "not measured yet: B (Windfall)" in said.err) == (3, True)


@pytest.mark.parametrize(
    ("fabric", "strips", "strip", "left"),
    [
        # Straightening: yardage 1 in, a fat cut 1/2, precut strips and squares none (common practice, no source).
        ("Fern", 3, "2.5", [("yardage", 36 - 1 - 7.5, 41.5)]),
        ("Gorse", 2, "2 1/2", [("fat quarter", 18 - 0.5 - 5, 21)]),
        ("Pear Skin", 1, "5", [("square", 10 - 5, 10), ("square", 10, 10), ("square", 10, 10)]),
        ("Red Currant", 3, "2.5", [("strips", 2.5, 40)]),  # no piece gives three: one from each of three
    ],
)
def test_plain_strips(cli: CommandLine, fabric: str, strips: int, strip: str, left: list[Any]) -> None:
    cli.json("log", "--fabric", fabric, "--strips", strips, "--strip", strip)
    assert sorted(cli.sizes(fabric)) == sorted(left)


def test_strips_come_from_the_smallest_piece_that_gives_them(cli: CommandLine) -> None:
    """Apple Blossom has a fat quarter and a scrap of 7 x 15: 1/2 in goes off all round it, so it gives two
    strips of 3 in, no third one (derived)."""
    cli.json("log", "--fabric", "Apple Blossom", "--strips", 2, "--strip", 3)
    assert cli.sizes("Apple Blossom") == [("fat quarter", 18.0, 21.0)]
    cli.json("undo")
    cli.json("log", "--fabric", "Apple Blossom", "--strips", 3, "--strip", 3)
    assert sorted(cli.sizes("Apple Blossom")) == [("fat quarter", 18 - 0.5 - 9, 21.0), ("scrap", 7.0, 15.0)]


def test_a_fabric_cut_before_is_straightened_by_half_an_inch(cli: CommandLine) -> None:
    cli.json("log", "--fabric", "Fern", "--strips", 1, "--strip", 2)
    cli.json("log", "--fabric", "Fern", "--strips", 1, "--strip", 2)
    assert cli.sizes("Fern") == [("yardage", 36 - 1 - 2 - 0.5 - 2, 41.5)]


def test_more_strips_than_there_are(cli: CommandLine) -> None:
    before = cli.path.read_bytes()
    said = cli("log", "--fabric", "Red Currant", "--strips", 5, "--strip", 2.5)
    assert said.code == 1
    assert "the most is 4" in said.err
    assert cli.path.read_bytes() == before


def test_one_uid_is_booked_once(cli: CommandLine) -> None:
    words = ("log", "--fabric", "Fern", "--strips", 3, "--strip", 2.5, "--uid", "table")
    first, second = cli.json(*words), cli.json(*words)
    assert first["op"] == second["op"]
    assert cli.sizes("Fern") == [("yardage", 27.5, 41.5)]


@pytest.mark.parametrize(
    "words",
    [
        ("log",),
        ("log", "--fabric", "Fern"),
        ("log", "--fabric", "Fern", "--strips", "3"),
        ("log", "--fabric", "Fern", "--strips", "0", "--strip", "2.5"),
        ("log", "--fabric", "Fern", "--strips", "-3", "--strip", "2.5"),
        ("log", "--fabric", "Fern", "--strips", "3", "--strip", "0"),
        ("log", "--fabric", "Fern", "--strips", "3", "--strip", "2.5", "--set", "1"),
        (*MILL_POND, "--set", "4"),
        (*MILL_POND, "--set", "1", "--fabric", "Duck Egg"),
        (*MILL_POND, "--strips", "3"),
    ],
)
def test_what_is_not_understood_changes_nothing(cli: CommandLine, words: tuple[str, ...]) -> None:
    before = cli.path.read_bytes()
    said = cli(*words)
    assert (said.code, said.out, said.err.count("\n")) == (2, "", 1)
    assert cli.path.read_bytes() == before


def test_a_fabric_that_the_star_has_not_keeps_no_plan(cli: CommandLine) -> None:
    before = cli.path.read_bytes()
    assert cli(*MILL_POND, "--fabric", "Fern").code == 1
    assert cli(*MILL_POND, "--fabric", "Nobody").code == 1
    assert cli("log", "--star", "Mill Pnd").code == 1
    assert cli.path.read_bytes() == before


def test_a_plan_let_go_half_cut_is_not_cut_already(cli: CommandLine) -> None:
    """The star is planned and booked whole again; what was cut for it is off the stash already."""
    cli.json(*MILL_POND, "--set", 1)
    with Store.open(cli.path) as store:
        store.let_go(store.star("Mill Pond").id, 1)
    before = lengths(cli)
    assert cli("check", "--star", "Mill Pond").code == 0
    cli.json(*MILL_POND)
    # pieces that were cut lose 1/2 in where whole ones lose 1 (common practice, no source)
    assert taken(before, lengths(cli)) == {"Duck Egg": 5.5, "Mill Race": 10.5, "Trout Pool": 8.0}


def test_a_plan_that_lacks_strips_is_not_booked_as_the_star(cli: CommandLine) -> None:
    cli.json(*MILL_POND, "--set", 1)
    second = cli.json(*MILL_POND, "--set", 2)
    with Store.open(cli.path) as store:
        store.let_go(store.star("Mill Pond").id, 1)
        store.undo(second["op"])
    said = cli(*MILL_POND)
    assert (said.code, "part of its plan is cut and part was let go" in said.err) == (1, True)
    assert cli.json(*MILL_POND, "--replan")["text"].startswith("Cut 9 strips for Mill Pond")


def test_a_plan_is_let_go_from_the_command_line(cli: CommandLine) -> None:
    """A booking that was undone leaves its plan, which holds its cloth until it is let go."""
    cli.json(*MILL_POND)
    cli.json("undo")
    said = cli(*MILL_POND, "--let-go")
    assert said.code == 0
    assert "Mill Pond" in said.out
    again = cli(*MILL_POND, "--let-go")
    assert again.code == 1
    assert "no plan is kept" in again.err
    assert cli(*MILL_POND, "--let-go", "--set", "1").code == 2
    assert cli.json("undo")["kind"] == "undo"
    assert cli(*MILL_POND, "--let-go").code == 0  # what was let go came back with the undo


def test_a_piece_changed_since_names_the_way_on(cli: CommandLine) -> None:
    cli.json(*MILL_POND, "--set", "1")
    with Store.open(cli.path) as store:
        plan = store.open_plans()[0]
        fabric = next(strip.cut.fabric for strip in plan.strips if strip.booked is None)
        store.used(store.fabric(fabric).id, 8128)
    said = cli(*MILL_POND)
    assert said.code == 1
    assert "--replan" in said.err


def test_a_star_that_is_cut_is_printed_and_checked_as_it_was_cut(cli: CommandLine, tmp_path: Path) -> None:
    """No second plan is kept for it, so a booking sent again is still refused."""
    cli.json(*MILL_POND)
    said = cli("check", "--star", "Mill Pond")
    assert (said.code, "All 9 strips are cut already" in said.err) == (0, True)
    assert cli.json("sheet", "--star", "Mill Pond", "--out", tmp_path / "pond.pdf")["plan"] == 1
    cli.json("sheet", "--star", "Mill Pond", "--out", tmp_path / "pond.txt")
    assert "Nothing to buy" in (tmp_path / "pond.txt").read_text()
    assert cli(*MILL_POND).code == 1
    with Store.open(cli.path) as store:
        assert store.open_plans() == []
