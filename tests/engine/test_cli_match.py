"""`suggest`, `check` and `stars` on the command line: the wishes, agreement of the two, saving, and what is a no."""

from __future__ import annotations

import math
from itertools import combinations, pairwise
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine

STAR = ("--grid", 4, "--strip", 2.5)
SMALL = ("--grid", 2, "--strip", 2.5)


def names(sequence: Any) -> list[str]:
    return [one["fabric"] for one in sequence["fabrics"]]


def values(sequence: Any) -> list[float]:
    return [one["L"] for one in sequence["fabrics"]]


def uses(sequence: Any) -> list[str]:
    return [word for one in sequence["fabrics"] for word in ("--use", f"{one['letter']}={one['fabric']}")]


def test_a_suggestion_is_what_the_stash_holds_and_check_agrees(cli: CommandLine) -> None:
    """Targets are evenly spaced from the light end to the dark one, and values fall by the least step (both by our
    own definition); the cost is reckoned again from what is printed."""
    before = cli.path.read_bytes()
    found = cli.json("suggest", *STAR, "--measured")
    listed = {one["fabric"]: (one["L"], one["a"], one["b"]) for one in cli.json("list")}
    assert found["proven"]
    steps = [a - b for a, b in pairwise(found["targets"])]
    assert steps == pytest.approx([steps[0]] * 6)
    costs = [one["cost"] for one in found["sequences"]]
    assert len(costs) == 5
    assert costs == sorted(costs)
    for one in found["sequences"]:
        assert [x["letter"] for x in one["fabrics"]] == list("ABCDEFG")
        assert all((x["L"], x["a"], x["b"]) == listed[x["fabric"]] for x in one["fabrics"])
        assert all(a - b >= found["min_step"] for a, b in pairwise(values(one)))
        value = sum((x["L"] - x["target"]) ** 2 for x in one["fabrics"]) / 100
        colour = sum(((p["a"] - q["a"]) ** 2 + (p["b"] - q["b"]) ** 2) / 400 for p, q in pairwise(one["fabrics"]))
        dull = sum(60 - min(math.hypot(x["a"], x["b"]), 60) for x in one["fabrics"]) / 20
        assert one["cost"] == pytest.approx(value + 0.5 * colour + 0.25 * dull)
        checked = cli.json("check", *STAR, *uses(one))
        assert [x["mark"] for x in checked["letters"]] == [x["mark"] for x in one["fabrics"]]
        assert checked["covered"]
    assert cli.path.read_bytes() == before


def test_answers_differ_by_the_fabrics_asked_for(cli: CommandLine) -> None:
    def least_apart(*options: object) -> int:
        found = [set(names(one)) for one in cli.json("suggest", *STAR, *options)["sequences"]]
        assert len(found) == 5
        return min(len(a - b) for a, b in combinations(found, 2))

    assert least_apart() >= 4  # half of seven letters, rounded up
    assert least_apart("--apart", 6) >= 6
    assert least_apart("--apart", 1) < 4


def test_each_wish_is_kept(cli: CommandLine) -> None:
    first = cli.json("suggest", *STAR, "--top", 1)["sequences"]
    assert len(first) == 1
    best = names(first[0])
    without = cli.json("suggest", *STAR, "--without", best[1], "--without", best[3])["sequences"]
    assert all(not {best[1], best[3]} & set(names(one)) for one in without)
    assert all("Sloe" in names(one) for one in cli.json("suggest", *STAR, "--with", "sloe")["sequences"])
    fixed = cli.json("suggest", *STAR, "--fix", "d=fern")["sequences"]
    assert fixed
    assert {names(one)[3] for one in fixed} == {"Fern"}
    ends = cli.json("suggest", *SMALL, "--from", 80, "--to", 30)
    assert ends["targets"] == [80, 55, 30]
    dark = cli.json("suggest", *STAR, "--dark-first", "--top", 1)
    assert values(dark["sequences"][0]) == sorted(values(dark["sequences"][0]))
    assert dark["targets"] == sorted(dark["targets"])
    wide = cli.json("suggest", *SMALL, "--min-step", 25)["sequences"]
    assert wide
    assert all(a - b >= 25 for one in wide for a, b in pairwise(values(one)))


def test_a_hue_keeps_neutrals_and_hues_near_it(cli: CommandLine) -> None:
    """Green is 140 degrees in the a*b* plane, give or take 45; chroma under 12 is neutral (our own limits)."""
    found = cli.json("suggest", *SMALL, "--hue", "green")["sequences"]
    assert found
    for one in (each for sequence in found for each in sequence["fabrics"]):
        angle = math.degrees(math.atan2(one["b"], one["a"])) % 360
        assert math.hypot(one["a"], one["b"]) < 12 or abs(angle - 140) <= 45


def test_outer_rows_stand_off_the_ground_or_are_said_to_be_near_it(cli: CommandLine) -> None:
    ground = cli.fabric("Flax")["L"]
    for stand_off in (10, 60):
        found = cli.json("suggest", *STAR, "--ground", "Flax", "--stand-off", stand_off)["sequences"]
        assert found
        for one in found:
            near = {r for r in (4, 5, 6, 7) if abs(values(one)[r - 1] - ground) < stand_off}
            near |= {1} if abs(values(one)[0] - ground) < 12 else set()
            assert set(one["near_ground"]) == near
        assert any(one["near_ground"] for one in found) == (stand_off == 60)


def joint(cli: CommandLine, own_inches: str) -> None:
    """Three fabrics at 3 in strips and 39 1/2 in: one in whole strips only, one in fat quarters only.

    Derived: eight segments take 3 + 8 x 3 x 1.4142 = 36.94 in, four 19.97: a fat quarter's 21 in hold only a half
    run, and 39 1/2 in one half run, not two. So a set of both is sewn whole for one and halved for the other.
    """
    cli.bare("new", cli.path.with_name("joint.db"))
    cli.path = cli.path.with_name("joint.db")
    cli.json("add", "Light", "--length", own_inches, "--width", "39.5", "--colour", "90,0,0")
    cli.json("add", "Medium", "--length", "fq", "--colour", "60,0,0")
    cli.json("add", "Dark", "--length", "1 yd", "--width", "39.5", "--colour", "30,0,0")


@pytest.mark.parametrize(("own", "covered"), [("4 in", False), ("7 in", True)])
def test_letters_covered_each_but_not_together(cli: CommandLine, own: str, covered: bool) -> None:
    joint(cli, own)
    star = ("--grid", 2, "--strip", 3, "--width", "39.5")
    fabrics = ("--use", "A=Light", "--use", "B=Medium", "--use", "C=Dark")
    said = cli("check", *star, *fabrics, "--json")
    assert (said.code, said.json["covered"]) == ((0, True) if covered else (3, False))
    assert any(one["mark"] == "short" for one in said.json["letters"]) == (not covered)
    found = cli("suggest", *star, "--json")
    assert (found.code, len(found.json["sequences"])) == ((0, 1) if covered else (3, 0))
    assert ("reason" in found.json) == (not covered)
    (listed,) = cli.json("suggest", *star, "--any")["sequences"]  # as it is, short or not
    assert ("short" in [one["mark"] for one in listed["fabrics"]]) == (not covered)


@pytest.mark.parametrize("fabric", ["Light", "Medium"])
def test_each_of_the_two_is_covered_where_the_others_do_not_bind_it(cli: CommandLine, fabric: str) -> None:
    joint(cli, "4 in")
    cli.json("add", "Plenty", "--length", "2 yd", "--colour", "10,0,0")
    uses = {"A": "Plenty", "B": "Plenty", "C": "Plenty", "AB"["LM".index(fabric[0])]: fabric}
    options = [word for letter, name in uses.items() for word in ("--use", f"{letter}={name}")]
    assert cli.json("check", "--grid", 2, "--strip", 3, "--width", "39.5", *options)["covered"]


def test_the_document_of_a_check(cli: CommandLine) -> None:
    short = cli("check", "--star", "Lowmere Evening", "--json").json
    (row,) = [one for one in short["letters"] if one["mark"] != "covered"]
    # one strip of 2 1/2 in and 1 in to straighten is 3 1/2, sold as 1/8 yd (4 1/2); with one more 6, as 1/4 (derived)
    assert {key: row[key] for key in ("letter", "strips_needed", "strips_on_hand", "missing_strips")} == {
        "letter": "D", "strips_needed": 4, "strips_on_hand": 3, "missing_strips": 1,
    }  # fmt: skip
    assert (row["buy_yards"], row["buy_with_spare"]) == ("1/8", "1/4")
    assert short["next"][-1]["step"] == "buy"
    assert "Rosehip" in short["next"][-1]["text"]
    found = cli.json("check", "--star", "Mill Pond")
    runs: dict[tuple[str, int], int] = {}
    for cut in found["cuts"]:
        for strip in cut["strips"]:
            assert strip["x_in"] + strip["length_in"] <= cut["piece_width_in"]  # cut across: x along the width
            assert strip["y_in"] + strip["width_in"] <= cut["piece_length_in"]
            for run in strip["runs"]:
                runs[cut["fabric"], run["set"]] = runs.get((cut["fabric"], run["set"]), 0) + run["segments"]
    # eight segments for every strip of every set: rows A B C, B C B, C B A (derived)
    letters = {"A": "Duck Egg", "B": "Mill Race", "C": "Trout Pool"}
    sets = {1: "ABC", 2: "BCB", 3: "CBA"}
    assert runs == {(letters[x], n): 8 * row.count(x) for n, row in sets.items() for x in row}


def test_the_text_of_a_check_names_the_row_and_what_to_buy(cli: CommandLine) -> None:
    said = cli("check", "--star", "Lowmere Evening")
    assert (said.code, said.err) == (3, "")
    assert "Not covered: short at D." in said.out
    (row,) = [line for line in said.out.splitlines() if line.startswith("D ")]
    assert "Rosehip" in row
    assert "SHORT of 1 strip, buy 1/8 yd (1/4 yd with a spare)" in row


def test_a_value_judged_by_eye_counts(cli: CommandLine) -> None:
    cli.json("edit", "Fern", "--value", "61")
    (one,) = cli.json("suggest", *STAR, "--fix", "D=Fern", "--top", 1)["sequences"]
    assert values(one)[3] == 61


def test_colourings_are_kept_and_taken_back(cli: CommandLine) -> None:
    before = cli.json("stars")
    for take in (2, 3):
        found = cli.json("suggest", *STAR, "--measured", "--ground", "flax", "--save", "Dusk", "--take", take)
    dusk = cli.json("stars")[-1]
    assert (dusk["star"], dusk["grid"], dusk["strip_in"], dusk["order"]) == ("Dusk", 4, 2.5, "ABCDEFG")
    assert [(one["number"], one["ground"]) for one in dusk["colourings"]] == [(1, "Flax"), (2, "Flax")]
    for one, sequence in zip(dusk["colourings"], found["sequences"][1:], strict=False):
        assert one["uses"] == {x["letter"]: [x["fabric"]] for x in sequence["fabrics"]}
    second = cli("check", "--star", "dusk/2", "--json").json
    assert [one["fabric"] for one in second["letters"]] == names(found["sequences"][2])
    cli.json("undo")
    assert len(cli.json("stars")[-1]["colourings"]) == 1
    cli.json("undo")
    assert cli.json("stars") == before


def test_what_is_not_covered_can_be_saved_and_no_sequence_cannot(cli: CommandLine) -> None:
    assert cli("check", "--star", "Lowmere Evening", "--save", "Wish").code == 3
    assert cli.json("stars")[-1]["star"] == "Wish"
    before = cli.path.read_bytes()
    said = cli("suggest", *STAR, "--min-step", 90, "--save", "Never", "--json")
    assert (said.code, said.json["sequences"], said.json["proven"]) == (3, [], True)
    assert said.json["reason"]["letter"] in "ABCDEFG"
    assert cli.path.read_bytes() == before


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("suggest", *STAR, "--with", "Nettel"), 1, "Nettle"),
        (("suggest", *STAR, "--without", "Nettel"), 1, "Nettle"),
        (("suggest", *STAR, "--fix", "D=Nettel"), 1, "Nettle"),
        (("suggest", *STAR, "--ground", "Flx"), 1, "Flax"),
        (("suggest", *STAR, "--from", "10", "--to", "90"), 2, "light end first"),
        (("suggest", *STAR, "--from", "nan"), 2, "--from"),
        (("suggest", *STAR, "--colour-weight", "-1"), 2, "--colour-weight"),
        (("suggest", *STAR, "--top", "0"), 2, "1 or more"),
        (("suggest", *STAR, "--top", "99999999"), 2, "too large"),
        (("suggest", *STAR, "--apart", "8"), 2, "1 to 7"),
        (("check", "--star", "Mil Pond"), 1, "Mill Pond"),
        (("check", "--star", "Mill Pond/3"), 1, "it has 1, 2"),
        (("check", *SMALL, "--order", "ABA", "--use", "A=Fern", "--use", "B=Moss", "--save", "Mill Pond"), 1,
         "another name"),
        (("check", *SMALL, "--use", "A=Fern", "--use", "Z=Moss"), 2, "A to C"),
        (("check", "--star", "Mill Pond", "--use", "A=" + "x" * 5000), 1, "no fabric"),
    ],
)  # fmt: skip
def test_a_fault_is_one_short_line_and_keeps_the_stash(
    cli: CommandLine, words: tuple[object, ...], code: int, said: str
) -> None:
    before = cli.path.read_bytes()
    one = cli(*words)
    assert (one.code, one.out, one.err.count("\n")) == (code, "", 1)
    assert said in one.err
    assert len(one.err) < 300
    document = cli(*words, "--json")
    assert (document.code, set(document.json["error"])) == (code, {"what", "where", "do"})
    assert cli.path.read_bytes() == before


def test_two_unlike_fabrics_in_one_row_are_told_apart_in_a_note(cli: CommandLine) -> None:
    """4 apart in value at most: a definition of our own."""
    light, dark = (f"{one['fabric']}" for one in cli.json("list", "--sort", "value")[:: len(cli.json("list")) - 1])
    said = cli("check", *SMALL, "--order", "mirror", "--use", f"A={light}+{dark}", "--use", f"B={dark}")
    assert "apart in value" in said.err
    assert light in said.err
    alike = cli("check", *SMALL, "--order", "mirror", "--use", f"A={light}", "--use", f"B={dark}")
    assert "apart in value" not in alike.err


def test_a_star_is_covered_though_its_backing_is_not(cli: CommandLine) -> None:
    (first,) = cli.json("suggest", *SMALL, "--top", 1, "--measured")["sequences"]
    scarce = next(one["fabric"] for one in cli.json("list") if one["fabric"] not in names(first)
                  and sum(piece["length_in"] for piece in one["pieces"]) < 20)  # fmt: skip
    said = cli("check", *SMALL, *uses(first), "--backing", scarce)
    assert said.code == 0
    assert "Covered: the stash holds this star, but not its backing." in said.out
