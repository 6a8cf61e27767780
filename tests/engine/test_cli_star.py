"""`star` on the command line: the whole document of a star on paper, published examples, and bad measures."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from math import cos, hypot, pi, sqrt
from pathlib import Path
from typing import Any

import pytest

from stash.cli import main

ROOT = Path(__file__).resolve().parents[2]
MIRRORED = ("--grid", 4, "--strip", 2.5, "--order", "mirror")


@pytest.fixture
def star(capsys: pytest.CaptureFixture[str]) -> Any:
    """Runs `star` with these options and --json; gives the document."""

    def call(*options: object) -> Any:
        assert main(["star", *map(str, options), "--json"]) == 0
        out, err = capsys.readouterr()
        assert err == ""
        return json.loads(out)

    return call


def test_a_mirrored_star_of_four_in_full(star: Any) -> None:
    paper = star(*MIRRORED)
    assert (paper["grid"], paper["strip_in"], paper["order"]) == (4, 2.5, "ABCDCBA")
    # 2, 4, 6 and 4 strips of 2 1/2 in: common practice, no source. 5 in is more than 1/8 yd (4 1/2), 15 in more than
    # 3/8 (13 1/2): the eighths of a yard are those of scissortailquilting.com's conversion table.
    assert [(f["rows"], f["cells"], f["strips"], f["inches"], f["yards"]) for f in paper["fabrics"]] == [
        ([1, 7], 2, 2, 5, "1/4"), ([2, 6], 4, 4, 10, "3/8"), ([3, 5], 6, 6, 15, "1/2"), ([4], 4, 4, 10, "3/8"),
    ]  # fmt: skip
    assert [(r["row"], r["letter"], r["small_diamonds"]) for r in paper["rows"]] == [
        (r, "ABCDCBA"[r - 1], min(r, 8 - r)) for r in range(1, 8)
    ]
    # Set i takes rows i to i + 3; turned end for end set 4 is set 1 and set 3 is set 2 (derived).
    assert [(s["set"], s["letters"], s["same_as"]) for s in paper["strip_sets"]] == [
        (1, "ABCD", None), (2, "BCDC", None), (3, "CDCB", 2), (4, "DCBA", 1),
    ]  # fmt: skip


def test_the_sizes_of_a_star_of_four_from_its_corners(star: Any) -> None:
    """Derived, by coordinates: a large diamond has sides along 0 and 45 degrees, the star's tips lie every 45
    degrees on a circle, and each side of the square runs through two neighbouring tips, 22 1/2 degrees either
    side of its middle."""
    paper = star(*MIRRORED)
    side = 4 * 2 * sqrt(2)  # four small diamonds of height 2
    tip = hypot(side + side * cos(pi / 4), side * cos(pi / 4))
    finished = paper["finished"]
    assert finished["small_side_in"] == pytest.approx(side / 4)
    assert finished["large_side_in"] == pytest.approx(side)
    assert finished["tip_to_tip_in"] == pytest.approx(2 * tip)
    assert finished["square_in"] == pytest.approx(2 * tip * cos(pi / 8))
    setting = paper["setting"]
    assert setting["corner"]["exact_in"] == pytest.approx(side + 0.5)
    assert (setting["corner"]["cut"], setting["corner"]["reserve"]) == ("11 3/4", "12 1/8")
    assert (setting["triangle_square"]["cut"], setting["triangle_square"]["reserve"]) == ("17 1/4", "17 1/2")
    # the trade's rule, 2 n f + 1 1/4, is within 1/16 of the exact square for the four triangles (derived)
    assert setting["triangle_square"]["exact_in"] == pytest.approx(2 * 4 * 2 + 1.25, abs=1 / 16)
    check = paper["check"]
    assert (check["pair_in"], check["set_in"], check["point_across_in"]) == (4.5, 8.5, 8.5)
    assert check["step_in"] == pytest.approx(2.5 * sqrt(2))
    assert check["point_edge_in"] == pytest.approx(8.5 * sqrt(2))
    segments = paper["segments"]
    assert segments["length_for_8_in"] == pytest.approx(2.5 + 8 * 2.5 * sqrt(2))
    assert segments["spare_in"] == pytest.approx(40 - segments["length_for_8_in"])


def test_published_stars(star: Any) -> None:
    # source: mini star tutorial, sewnbyleila.blogspot.com, May 2012: 1 3/4 in strips sewn level, 22.80 in for eight
    mini = star("--grid", 2, "--strip", "1 3/4", "--stagger", 0)
    assert mini["setting"]["corner"]["exact_in"] == pytest.approx(4, abs=1 / 16)
    assert mini["setting"]["triangle_square"]["exact_in"] == pytest.approx(6.25, abs=1 / 16)
    assert mini["segments"]["length_for_8_in"] == pytest.approx(22.80, abs=0.005)
    # source: americana star wall quilt, allpeoplequilt.com: centre 33.80 finished, strips 1 2 3 4 3 2 1
    wall = star("--grid", 4, "--strip", 2.25)
    assert wall["finished"]["square_in"] == pytest.approx(33.80, abs=0.005)
    assert [f["strips"] for f in wall["fabrics"]] == [1, 2, 3, 4, 3, 2, 1]
    # source: agfblog.com, April 2019: 28.97, printed 29
    assert star("--grid", 3, "--strip", 2.5)["finished"]["square_in"] == pytest.approx(28.97, abs=0.005)
    # derived from crispynoodleknits.blogspot.com, March 2009: set off by the cut width, 32.78 in for eight
    wide = star("--grid", 5, "--strip", 2.5, "--stagger", 2.5)
    assert wide["segments"]["length_for_8_in"] == pytest.approx(32.78, abs=0.005)


@pytest.mark.parametrize(("grid", "fabrics"), [(3, 5), (4, 7), (6, 11)])
def test_no_repeat_takes_a_fabric_for_every_row(star: Any, grid: int, fabrics: int) -> None:
    # common practice, no source: 5, 7 and 11 fabrics; a 3 x 3 with five takes 1, 2, 3, 2, 1 strips
    paper = star("--grid", grid, "--strip", 2.5)
    assert [f["strips"] for f in paper["fabrics"]] == [min(r, fabrics + 1 - r) for r in range(1, fabrics + 1)]
    assert [s["same_as"] for s in paper["strip_sets"]] == [None] * grid


@pytest.mark.parametrize(
    ("strip", "width", "sewn", "strips"),
    [
        # source: shop class report, blairblogscraps.blogspot.com, January 2013: 43.10 in needed for eight at 3 1/2
        ("3 1/2", 44, "whole", [1, 2, 3, 2, 1]),
        ("3 1/2", 42, "7+1", [2, 3, 4, 3, 2]),  # derived: a strip gives seven, or four runs of one
        ("3 1/4", 40, "7+1", [2, 3, 4, 3, 2]),  # derived: seven, or five runs of one
        ("3 1/4", 41, "whole", [1, 2, 3, 2, 1]),
        ("1 1/2", 40, "whole", [1, 1, 2, 1, 1]),  # derived: two runs of eight a strip, 2 (1.5 + 8 x 2.1213) = 36.94
    ],
)
def test_how_the_sets_are_sewn(star: Any, strip: str, width: int, sewn: str, strips: list[int]) -> None:
    paper = star("--grid", 3, "--strip", strip, "--width", width)
    assert paper["segments"]["sewn"] == sewn
    assert [f["strips"] for f in paper["fabrics"]] == strips


def test_a_width_can_be_written_in_many_ways(star: Any) -> None:
    first = star("--grid", 4, "--strip", "2.5")
    for written in ("2 1/2", "2½", '2-1/2"', "2.5 in", "6.35 cm"):
        assert star("--grid", 4, "--strip", written) == first


def test_a_quilt_with_borders_and_a_bed(star: Any) -> None:
    """A border adds twice its finished width. Twin mattress 39 x 75: thesprucecrafts.com, standard sizes; a quilt
    is as wide as the mattress and two drops, as long as it and one: sewnana.com, January 2010."""
    bare = star("--grid", 4, "--strip", 2.5)["quilt"]
    bordered = star("--grid", 4, "--strip", 2.5, "--border", 2, "--border", "3 1/2")["quilt"]
    assert bordered["width_in"] == pytest.approx(bare["width_in"] + 11)
    assert len(bordered["borders"]) == 2
    bed = star("--grid", 4, "--strip", 2.5, "--bed", "twin", "--drop", 12)["quilt"]
    assert (bed["width_in"], bed["length_in"]) == pytest.approx((39 + 24, 75 + 12))


def test_a_quilt_for_a_crib_is_for_the_wall(star: Any) -> None:
    """Nothing soft in a sleep space in the first year: American Academy of Pediatrics, Pediatrics 150(1)
    e2022057990."""
    assert any("first year" in line for line in star("--grid", 2, "--strip", 2)["warnings"])
    assert not any("first year" in line for line in star("--grid", 6, "--strip", 3, "--border", 8)["warnings"])


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--grid", "1", "--strip", "2.5"), "2 to 13"),
        (("--grid", "4.5", "--strip", "2.5"), "whole number"),
        (("--grid", "9" * 5000, "--strip", "2.5"), "--grid"),
        (("--grid", "4", "--strip", "0"), "--strip"),
        (("--grid", "4", "--strip", "-1"), "--strip"),
        (("--grid", "4", "--strip", "1/0"), "--strip"),
        (("--grid", "4", "--strip", "inf"), "--strip"),
        (("--grid", "4", "--strip", "5"), "4 1/2"),
        (("--grid", "4", "--strip", "2.5" + "0" * 5000), "--strip"),
        (("--grid", "4", "--strip", "2.5", "--width", "nan"), "--width"),
        (("--grid", "4", "--strip", "2.5", "--width", "1e9"), "--width"),
        (("--grid", "4", "--strip", "4.5", "--width", "10"), "0 segments"),
        (("--grid", "4", "--strip", "2.5", "--order", "ABCDEFGH"), "8 letters"),
        (("--grid", "4", "--strip", "2.5", "--order", "A" * 5000), "5000 letters"),
        (("--grid", "4", "--strip", "2.5", "--order", "ACBDEFG"), "B is next"),
        (("--grid", "4", "--strip", "2.5", "--bed", "twn"), "twin"),
    ],
)
def test_bad_measures_are_one_short_line(
    capsys: pytest.CaptureFixture[str], options: tuple[str, ...], said: str
) -> None:
    assert main(["star", *options]) == 2
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    assert said in err
    assert len(err) < 300
    assert main(["star", "--json", *options]) == 2
    out, again = capsys.readouterr()
    assert again == err
    assert set(json.loads(out)) == {"error"}


def test_a_star_from_a_process_of_its_own() -> None:
    def run(*words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "stash.cli", *words], cwd=ROOT, capture_output=True, text=True, timeout=60,
            env={**os.environ, "STARCOVER_DB": "/nowhere/at/all.db"},  # a star on paper asks for no stash
        )  # fmt: skip

    done = run("star", "--json", *map(str, MIRRORED))
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout)["setting"]["corner"]["cut"] == "11 3/4"
    refused = run("star", "--grid", "4", "--strip", "0", "--json")
    assert (refused.returncode, refused.stderr.count("\n")) == (2, 1)
    assert set(json.loads(refused.stdout)["error"]) == {"what", "where", "do"}
