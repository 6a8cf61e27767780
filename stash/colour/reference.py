"""What in a photograph tells the light: a white patch, a grey card, or the paper all round the swatch.

On paper the light may be uneven: quadratics in x and y are fitted to the paper's cone responses, block by block, and
what does not follow them (the cloth, a shadow, a pencil) is left out, round after round.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from stash.colour.light import Blocks, Bools, Points, histogram, mean_light, points, sampled_blocks, share_from, whole
from stash.colour.photo import PhotoFault
from stash.colour.space import Floats, Photo
from stash.colour.white import BACK, DARK, Illumination, cones, even_light, field, lab_from_xyz, powers
from stash.model import Box, Reference

PAPER_GIVES_BACK = 0.88  # Y of plain white paper, 0 to 1 (common practice, no source)
GREY_GIVES_BACK = 0.18  # Y of a grey card (common practice, no source)

CLIPPED_CODE, MOST_CLIPPED = 250, 0.02
LEAST_SIDE = 50  # pixels a side of a reference box
TOO_DARK = 0.004  # light under which a reference tells nothing
BLOCKS = 160  # on the short side, for finding paper
FITTED = 50  # of them, to which the light is fitted
ROUNDS = 8
STRAY: Final = 0.015  # natural logarithm: paper may stray so far from the fitted light, more where it is grainy


@dataclass(frozen=True, slots=True, eq=False)
class Paper:
    """Paper found in a photograph: the light on it, which blocks it covers, and how far all blocks are from it.

    `away` has the shape of the blocks: how far each is from the paper, in what the paper itself strays.
    """

    light: Illumination
    blocks: Blocks
    is_paper: Bools
    away: Floats


def light_from_box(photo: Photo, box: Box, kind: Reference, reflectance: float | None) -> Illumination:
    """The light, taken to be even, from a box with a white patch or a grey card. Raises PhotoFault where it is too
    small, clipped or dark."""
    name = "grey card" if kind is Reference.GREY else "white patch"
    if min(box[2:]) < LEAST_SIDE:
        raise PhotoFault(
            f"the box of the {name} is {box[2]} x {box[3]} pixels", photo.name, f"make it {LEAST_SIDE} a side or more"
        )
    counts = histogram(photo, box)
    if (clipped := share_from(counts, CLIPPED_CODE)) > MOST_CLIPPED:
        raise _clipped(photo, f"the {name}", clipped)
    light = mean_light(photo, counts)
    if light.min() < TOO_DARK:
        raise PhotoFault(f"the {name} is too dark to tell the light", photo.name, "look at its box, or use more light")
    usual = GREY_GIVES_BACK if kind is Reference.GREY else PAPER_GIVES_BACK
    return even_light(cones(photo.space, light) / (usual if reflectance is None else reflectance))


def _clipped(photo: Photo, what: str, share: float) -> PhotoFault:
    return PhotoFault(
        f"{what} is too bright for the camera ({share:.0%} of it is at its limit), so it tells nothing of the light",
        photo.name,
        "take the photograph again, darker",
    )


def find_paper(photo: Photo, reflectance: float | None) -> Paper:
    """The paper of a photograph and the light on it. Raises PhotoFault where there is none, or it is clipped."""
    if min(photo.width, photo.height) < LEAST_SIDE:
        raise PhotoFault("the picture is too small to find paper in", photo.name, "take a larger photograph")
    seen = sampled_blocks(photo, whole(photo), BLOCKS)
    shades = np.maximum(cones(photo.space, seen.light), DARK)
    x = np.broadcast_to(seen.x / photo.width * 2 - 1, seen.there.shape)
    y = np.broadcast_to((seen.y / photo.height * 2 - 1)[:, None], seen.there.shape)
    places = powers(x, y)
    every = max(1, min(seen.there.shape) // FITTED)
    few, there = (slice(None, None, every),) * 2, seen.there[::every, ::every]
    seeds = (_at_the_edge(shades[few]), _bright(shades[few]))
    tries = [_settled(shades[few], places[few], each & there) for each in seeds]
    found = [one for one in tries if one is not None and _may_be_paper(one[0])]
    if not found:
        raise PhotoFault(
            "no paper was found all round the cloth", photo.name,
            "let white paper fill the picture, or give a box with --white, --grey or none",
        )  # fmt: skip
    terms, _, stray = _the_sheet(found)
    away = _off(shades, places, terms) / stray
    is_paper = (away < 1) & seen.there
    if (clipped := _clipped_share(points(photo, whole(photo)), seen, is_paper)) > MOST_CLIPPED:
        raise _clipped(photo, "the paper", clipped)
    gives_back = PAPER_GIVES_BACK if reflectance is None else reflectance
    return Paper(Illumination(terms / gives_back, photo.width, photo.height), seen, is_paper, away)


_Fit = tuple[Floats, Bools, float]  # terms, which blocks follow them, how far those stray


def _off(shades: Floats, places: Floats, terms: Floats) -> Floats:
    """How far blocks are from a field: the largest difference of the natural logarithms of the three responses."""
    return np.asarray(np.abs(np.log(shades / field(places, terms))).max(axis=2))


def _may_be_paper(terms: Floats) -> bool:
    """Whether white paper can look so: nearly grey, yellowish or greenish as by lamps, or bluish as in shade.

    Red cloth with small dots is a smooth field with things lying on it, too.
    """
    xyz = BACK @ terms[0]
    _, a, b = (float(v) for v in lab_from_xyz(xyz / xyz[1]))
    chroma, hue = math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360
    return chroma < 20 or (50 <= hue <= 135 and chroma < 95) or (200 <= hue <= 310 and chroma < 40)


def _at_the_edge(shades: Floats) -> Bools:
    """Blocks at the edge of the picture that are about as bright as its brighter half."""
    rows, columns = shades.shape[:2]
    rim = max(1, min(rows, columns) // 25)
    edge = np.ones((rows, columns), dtype=np.bool_)
    edge[rim : rows - rim, rim : columns - rim] = False
    bright = np.log(shades[:, :, 1])
    return np.asarray(edge & (np.abs(bright - np.percentile(bright[edge], 60)) < 0.4))


def _bright(shades: Floats) -> Bools:
    """Blocks among the brightest of the picture."""
    bright = np.log(shades[:, :, 1])
    return np.asarray(bright > np.percentile(bright, 95) - 0.35)


def _settled(shades: Floats, places: Floats, seeds: Bools) -> _Fit | None:
    """Fit the seeds, then all blocks that follow, with less and less room; None where little is left.

    The first rounds look at the seeds alone, so that cloth nearly as bright as the paper never gets a say.
    """
    follows = seeds
    stray = STRAY
    terms: Floats = np.zeros((6, 3))
    for i in range(ROUNDS):
        if follows.sum() < max(60, 0.02 * follows.size):
            return None
        terms = _fitted(shades[follows], places[follows])
        off = _off(shades, places, terms)
        stray = max(STRAY, 3 * float(np.median(off[follows])))
        room = max(stray, 0.20 * 0.6**i)
        follows = off < room
        if i < ROUNDS // 2:
            follows &= seeds
    return (terms, follows, stray) if stray < 0.10 and follows.sum() >= 0.04 * follows.size else None


def _fitted(shades: Floats, places: Floats) -> Floats:
    """Least squares of the relative error for each response, by its normal equations: shape (6, 3)."""
    fits = []
    for one in shades.T:
        relative = places / one[:, None]
        fits.append(np.linalg.solve(relative.T @ relative, relative.sum(axis=0)))
    return np.stack(fits, axis=1)


def _the_sheet(found: list[_Fit]) -> _Fit:
    """Which of two candidates is the sheet: the bright one when there is cloth on it, else the one at the edge.

    White cloth on grey paper is bright too, but nothing lies on it.
    """
    if len(found) < 2:
        return found[0]
    edge, bright = found
    if (edge[1] & bright[1]).sum() > 0.5 * min(edge[1].sum(), bright[1].sum()):
        return edge
    return bright if _carries(bright[1]) else edge


def _carries(sheet: Bools) -> bool:
    """Whether something large lies within the sheet."""
    from scipy import ndimage

    filled = ndimage.binary_fill_holes(sheet)
    holes, number = ndimage.label(filled & ~sheet)
    largest = int(np.bincount(holes.ravel())[1:].max()) if number else 0
    return largest > 0.03 * int(filled.sum())


def _clipped_share(single: Points, seen: Blocks, is_paper: Bools) -> float:
    """The share of the paper's pixels that are at the camera's limit in the channel where most are."""
    rows, columns = is_paper.shape
    row = np.minimum(single.y.astype(np.int64) // seen.size, rows - 1)
    column = np.minimum(single.x.astype(np.int64) // seen.size, columns - 1)
    on_paper = single.codes[is_paper[row, column]]
    return float((on_paper >= CLIPPED_CODE).mean(axis=0).max())
