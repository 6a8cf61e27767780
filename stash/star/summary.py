"""A star on paper as one plain document, for `--json` and for every place that shows it."""

from __future__ import annotations

from typing import Any

from stash.lengths import cm_up, mixed, show_yards, yards_up
from stash.model import Star
from stash.star import chart, geometry, yields
from stash.star.beds import bed_fit, wanted_size
from stash.star.geometry import SettingPiece
from stash.star.ground import ground_layout
from stash.star.quilt import quilt, warnings


def as_json(star: Star) -> dict[str, Any]:
    """All there is to say of a star with no stash looked at.

    Names that end in `_in` hold inches, `_cm` centimetres up to the next 10; yards and cut sizes are exact text.
    Raises UsageFault for a star that cannot be, or whose eight segments cannot be cut in any way.
    """
    chart.check_star(star)
    return {
        "grid": star.grid,
        "strip_in": float(star.strip),
        "order": star.order,
        "seam_in": float(star.seam),
        "width_in": float(star.width),
        "stagger_in": float(star.finished_strip if star.stagger is None else star.stagger),
        "finished": _finished(star),
        "segments": _segments(star),
        "rows": [
            {"row": row.row, "letter": row.letter, "small_diamonds": row.small_diamonds}
            for row in chart.rows(star)
        ],
        "fabrics": _fabrics(star),
        "strip_sets": [
            {"set": one.number, "letters": one.letters, "same_as": one.same_as} for one in chart.strip_sets(star)
        ],
        "setting": {
            "corner": _setting(geometry.corner(star)),
            "triangle_square": _setting(geometry.triangle_square(star)),
        },
        "ground": _ground(star),
        "check": _check(star),
        "quilt": _quilt(star),
        "warnings": list(warnings(star)),
    }


def _finished(star: Star) -> dict[str, float]:
    sizes = geometry.finished(star)
    return {
        "small_side_in": float(sizes.small_side),
        "large_side_in": float(sizes.large_side),
        "square_in": float(sizes.square),
        "tip_to_tip_in": sizes.tip_to_tip,
    }


def _segments(star: Star) -> dict[str, Any]:
    return {
        "per_strip": yields.segments_per_strip(star),
        "length_for_8_in": yields.length_for(star, yields.SEGMENTS),
        "spare_in": yields.spare_on_strip(star),
        "sewn": str(yields.sewn_on_paper(star)),
    }


def _fabrics(star: Star) -> list[dict[str, Any]]:
    return [
        {
            "letter": one.letter,
            "rows": list(one.rows),
            "cells": one.cells,
            "strips": one.strips,
            "inches": float(one.inches),
            "yards": show_yards(one.yards),
            "buy_yards": show_yards(one.buy),
            "buy_cm": cm_up(one.inches + yields.STRAIGHTEN),
        }
        for one in yields.letter_yields(star)
    ]


def _setting(piece: SettingPiece) -> dict[str, Any]:
    return {
        "exact_in": float(piece.exact),
        "cut": mixed(piece.cut),
        "cut_in": float(piece.cut),
        "reserve": mixed(piece.reserve),
        "reserve_in": float(piece.reserve),
    }


def _ground(star: Star) -> dict[str, Any]:
    layout = ground_layout(star, star.width)
    return {
        "length_in": float(layout.length),
        "yards": show_yards(yards_up(layout.length)),
        "buy_yards": show_yards(yards_up(layout.length + yields.STRAIGHTEN)),
        "buy_cm": cm_up(layout.length + yields.STRAIGHTEN),
        "fits": layout.fits,
        "note": layout.note,
        "borders": layout.borders,
        "shelves": [{"height_in": float(shelf.height), "what": shelf.what} for shelf in layout.shelves],
    }


def _check(star: Star) -> dict[str, float]:
    checks = geometry.checks(star)
    return {
        "pair_in": float(checks.pair),
        "set_in": float(checks.sewn_set),
        "step_in": float(checks.step),
        "point_across_in": float(checks.point_across),
        "point_edge_in": float(checks.point_edge),
    }


def _quilt(star: Star) -> dict[str, Any]:
    """`borders` are the finished widths at the sides, from the star outwards; `border_ends` those at the top and
    the foot, which differ where a bed sets them."""
    whole = quilt(star)
    size = whole.size
    return {
        "width_in": float(size.width),
        "length_in": float(size.length),
        "borders": [float(border.sides) for border in size.borders],
        "border_ends": [float(border.ends) for border in size.borders],
        "binding_strips": whole.binding_strips,
        "binding_yards": show_yards(whole.binding_yards),
        "backing_panels": whole.panels,
        "backing_yards": show_yards(whole.backing_yards),
        "batting": whole.batting,
        "bed": _bed(star),
    }


def _bed(star: Star) -> dict[str, Any] | None:
    fit, wanted = bed_fit(star), wanted_size(star)
    if fit is None:
        return None
    return {
        "name": fit.name,
        "mattress_in": list(fit.mattress),
        "past_sides_in": float(fit.sides),
        "past_foot_in": float(fit.foot),
        "wanted_in": None if wanted is None else [float(side) for side in wanted],
        "text": fit.text,
    }
