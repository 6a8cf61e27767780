"""Sizes that follow from a star's geometry: finished sizes, setting pieces, check measures.

A small diamond has an angle of 45 degrees and the height f = w - 2s, so its side is f * sqrt2; a large
diamond has n of them on a side. Every measure is exact in the form a + b * sqrt2 (derived from that geometry).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from stash.model import Star
from stash.star.surd import Surd

EIGHTH = Fraction(1, 8)
KEPT_OVER = Fraction(1, 4)  # kept over the size rounded up, until the star's points are measured


@dataclass(frozen=True, slots=True)
class Finished:
    """Finished sizes in inches. `square` is the star filled out to a square; `tip_to_tip` is the distance of
    opposite tips, which is larger than the square's side."""

    small_side: Surd
    large_side: Surd
    square: Surd
    tip_to_tip: float


@dataclass(frozen=True, slots=True)
class SettingPiece:
    """The side of a square of ground, inches: `exact`; `cut`, the size to cut from measured points; `reserve`,
    the cloth kept for it until then."""

    exact: Surd
    cut: Fraction
    reserve: Fraction


@dataclass(frozen=True, slots=True)
class Checks:
    """Measures to check sewing against, inches: two strips sewn, a set sewn across its strips, the step from
    segment to segment along the set's edge, a finished point across both ways, and its raw edge."""

    pair: Fraction
    sewn_set: Fraction
    step: Surd
    point_across: Fraction
    point_edge: Surd


def _band(star: Star) -> Fraction:
    """n * f: the finished width of a strip set and the height of a large diamond."""
    return star.grid * star.finished_strip


def finished(star: Star) -> Finished:
    """S = n f sqrt2; the square S (2 + sqrt2); tip to tip 4 S cos 22.5 degrees."""
    band = _band(star)
    large = Surd(root=band)
    return Finished(
        small_side=Surd(root=star.finished_strip),
        large_side=large,
        square=Surd(2 * band, 2 * band),
        tip_to_tip=4 * float(large) * math.cos(math.pi / 8),
    )


def corner(star: Star) -> SettingPiece:
    """One of the four setting squares: S + 2s, cut down to 1/8 in."""
    exact = Surd(2 * star.seam, _band(star))
    return SettingPiece(exact, exact.down_to(EIGHTH), exact.up_to(EIGHTH) + KEPT_OVER)


def triangle_square(star: Star) -> SettingPiece:
    """The square that is cut twice corner to corner for the four setting triangles, cut up to 1/8 in.

    Its side is the long side of a cut triangle, 2 n f + s (2 + 2 sqrt2): the finished long side 2 n f and
    what a seam all round adds to a long side between two corners of 45 degrees.
    """
    exact = Surd(2 * _band(star) + 2 * star.seam, 2 * star.seam)
    up = exact.up_to(EIGHTH)
    return SettingPiece(exact, up, up + KEPT_OVER)


def checks(star: Star) -> Checks:
    """2w - 2s; nf + 2s; w sqrt2; nf + 2s; (nf + 2s) sqrt2."""
    across = _band(star) + 2 * star.seam
    return Checks(
        pair=2 * star.strip - 2 * star.seam,
        sewn_set=across,
        step=Surd(root=star.strip),
        point_across=across,
        point_edge=Surd(root=across),
    )
