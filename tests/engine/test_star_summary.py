"""The document that `--json` prints for a star."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stash.errors import UsageFault
from stash.lengths import read_length
from stash.model import Star
from stash.star.chart import make_order
from stash.star.summary import as_json

F = Fraction
USUAL = Star(4, F(5, 2), make_order("mirror", 4))

# The promise to scripts: names and what they hold. More may stand beside them.
SHAPE = {
    "grid": int, "strip_in": float, "order": str,
    "finished": {"small_side_in": float, "large_side_in": float, "square_in": float, "tip_to_tip_in": float},
    "segments": {"per_strip": int, "length_for_8_in": float, "spare_in": float, "sewn": str},
    "rows": [{"row": int, "letter": str, "small_diamonds": int}],
    "fabrics": [{"letter": str, "rows": [int], "cells": int, "strips": int, "inches": float, "yards": str,
                 "buy_yards": str}],
    "strip_sets": [{"set": int, "letters": str, "same_as": (int, type(None))}],
    "setting": {"corner": {"exact_in": float, "cut": str, "reserve": str},
                "triangle_square": {"exact_in": float, "cut": str, "reserve": str}},
    "ground": {"length_in": float, "yards": str, "fits": bool, "note": str},
    "check": {"pair_in": float, "set_in": float, "step_in": float, "point_across_in": float, "point_edge_in": float},
    "quilt": {"width_in": float, "length_in": float, "borders": list, "binding_strips": int, "binding_yards": str,
              "backing_yards": str, "batting": str},
    "warnings": [str],
}  # fmt: skip


def check_shape(found: object, shape: object, where: str = "star") -> None:
    if isinstance(shape, dict):
        assert isinstance(found, dict), where
        for name, part in shape.items():
            assert name in found, f"{where}.{name}"
            check_shape(found[name], part, f"{where}.{name}")
    elif isinstance(shape, list):
        assert isinstance(found, list), where
        for each in found:
            check_shape(each, shape[0], f"{where}[]")
    else:
        assert isinstance(found, shape), where  # type: ignore[arg-type]


def test_the_usual_star() -> None:
    found = as_json(USUAL)
    check_shape(found, SHAPE)
    assert json.loads(json.dumps(found)) == found
    assert (found["grid"], found["strip_in"], found["order"]) == (4, 2.5, "ABCDCBA")
    # Common practice, no source: 2, 4, 6, 4 strips; 5, 10, 15, 10 in as cuts sold by the eighth of a yard.
    fabrics = {one["letter"]: one for one in found["fabrics"]}
    assert [fabrics[letter]["strips"] for letter in "ABCD"] == [2, 4, 6, 4]
    assert [fabrics[letter]["yards"] for letter in "ABCD"] == ["1/4", "3/8", "1/2", "3/8"]
    assert [fabrics[letter]["cells"] for letter in "ABCD"] == [2, 4, 6, 4]
    assert fabrics["C"]["rows"] == [3, 5]
    # Derived by hand: S + 2s = 11.814, 2nf + s(2 + 2 sqrt2) = 17.207; L(8) = 30.78.
    corner, square = found["setting"]["corner"], found["setting"]["triangle_square"]
    assert (corner["cut"], corner["reserve"]) == ("11 3/4", "12 1/8")
    assert (square["cut"], square["reserve"]) == ("17 1/4", "17 1/2")
    assert found["segments"]["per_strip"] == 10
    assert found["segments"]["length_for_8_in"] == pytest.approx(30.78, abs=0.005)
    assert found["segments"]["spare_in"] == pytest.approx(9.22, abs=0.005)
    assert found["segments"]["sewn"] == "whole"
    assert [one["same_as"] for one in found["strip_sets"]] == [None, None, 2, 1]
    assert found["check"]["pair_in"] == 4.5
    assert found["check"]["set_in"] == found["check"]["point_across_in"] == 8.5
    assert found["ground"]["yards"] == "7/8"


def test_other_widths_of_cloth() -> None:
    # Source: blairblogscraps.blogspot.com, January 2013: 3 1/2 in, 3 x 3: seven from 42 in, eight from 44.
    # Derived: 3 1/4 in: seven from 40 in by 0.02, eight from 41.
    for strip, width, segments in (("3.5", 42, 7), ("3.5", 44, 8), ("3.25", 40, 7), ("3.25", 41, 8)):
        found = as_json(Star(3, F(strip), make_order("mirror", 3), width=F(width)))
        assert found["segments"]["per_strip"] == segments
        assert found["segments"]["spare_in"] == pytest.approx(width - found["segments"]["length_for_8_in"])
        assert found["segments"]["sewn"] == ("whole" if segments == 8 else "7+1")


def test_a_bed_with_a_drop_shows_both_border_widths() -> None:
    found = as_json(replace(USUAL, bed="queen", drop=F(12), borders=(F(4),)))
    quilt = found["quilt"]
    assert (quilt["width_in"], quilt["length_in"]) == (84, 92)
    assert quilt["borders"] == pytest.approx([4, 18.686], abs=1e-3)
    assert quilt["border_ends"] == pytest.approx([4, 22.686], abs=1e-3)
    assert quilt["bed"]["wanted_in"] == [84, 92]
    assert as_json(replace(USUAL, borders=(F(4),)))["quilt"]["borders"] == [4.0]
    assert as_json(USUAL)["quilt"]["bed"] is None


def test_what_cannot_be_is_a_usage_fault() -> None:
    with pytest.raises(UsageFault):
        as_json(replace(USUAL, grid=14))
    with pytest.raises(UsageFault, match="no way to sew"):
        as_json(replace(USUAL, strip=F(9, 2), width=F(9)))


@given(st.integers(2, 13), st.fractions(1, F(9, 2), max_denominator=32), st.sampled_from(["none", "mirror"]))
@settings(max_examples=60, deadline=None)
def test_every_star_has_its_document(grid: int, strip: F, order: str) -> None:
    star = Star(grid, strip, make_order(order, grid))
    found = as_json(star)
    check_shape(found, SHAPE)
    json.dumps(found, allow_nan=False)
    assert sum(one["cells"] for one in found["fabrics"]) == grid * grid
    for one in found["fabrics"]:
        cut = read_length(one["yards"] + " yd")
        assert F(one["strips"]) * strip <= cut < F(one["strips"]) * strip + F(9, 2)
        assert one["inches"] == float(one["strips"] * strip)
        assert one["inches"] + 1 <= float(read_length(one["buy_yards"] + " yd")) + 1e-9
    assert read_length(found["setting"]["corner"]["cut"]) <= found["setting"]["corner"]["exact_in"]
    assert read_length(found["setting"]["triangle_square"]["cut"]) >= found["setting"]["triangle_square"]["exact_in"]


def test_a_star_on_paper_needs_no_heavy_library() -> None:
    """In a process of its own, as others of these tests import what a star must not."""
    program = (
        "import sys; from fractions import Fraction as F; from stash.model import Star;"
        "from stash.star.summary import as_json; from stash.typed import read_pieces; from stash.colour import lab;"
        "as_json(Star(4, F(5, 2), 'ABCDCBA')); read_pieces('fq'); lab.hex_from_lab(lab.lab_from_hex('#7a4b2c'));"
        "heavy = {'numpy', 'PIL', 'sqlalchemy', 'textual', 'colormath', 'rich'} & set(sys.modules);"
        "sys.exit(f'imported {heavy}' if heavy else 0)"
    )
    root = Path(__file__).parents[2]
    environment = {**os.environ, "PYTHONPATH": str(root)}
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=root, env=environment, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
