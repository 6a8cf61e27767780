"""The colour, value, palette and variety of the cloth in a photograph.

The colour of a fabric is the L*a*b* of the mean light of the cloth: instruments average light, and so does the eye
from across the room.
"""

from __future__ import annotations

import numpy as np

from stash.colour.light import FINE, Blocks, Points, blocks, histogram, mean_light, points, whole
from stash.colour.palette import palette_of, variety_of
from stash.colour.photo import PhotoFault
from stash.colour.reference import find_paper, light_from_box
from stash.colour.sheet import the_swatch, the_swatches
from stash.colour.space import Floats, Photo
from stash.colour.white import DAYLIGHT, Illumination, lab_from_xyz, xyz_in_daylight
from stash.model import Box, Colour, Measured, Reference

LIGHTER_THAN_WHITE = (
    "the cloth comes out lighter than white: is the paper grey, or in shadow? Say how much light it gives back"
)
MOST_CLIPPED = 0.02
ENOUGH = 12_000  # blocks for the variety
LEVEL = 0.02  # a plane that departs from level by less changes nothing
LIGHTEST, DARKEST = 1.6, 0.6  # a fitted plane of light is taken for light only between these


def measure(
    photo: Photo,
    box: Box | None = None,
    *,
    white: Box | None = None,
    grey: Box | None = None,
    on_paper: bool = False,
    reflectance: float | None = None,
) -> Measured:
    """Measure the cloth in `box` (None: the whole picture; on paper: the swatch that lies on it).

    white, grey -- a box with a white patch or a grey card. on_paper -- the cloth lies on paper. At most one of
    these; with none the value is relative.
    reflectance -- Y of paper or patch, over 0 to 1; None: 0.88, and 0.18 for a grey card.

    Raises PhotoFault for a box outside the picture and a reference that is clipped, too small or not there.
    """
    if sum((white is not None, grey is not None, on_paper)) > 1:
        raise PhotoFault("there are two references", photo.name, "give one of white patch, grey card and paper")
    for one in (box, white, grey):
        if one is not None:
            _check_box(photo, one)
    if on_paper:
        paper = find_paper(photo, reflectance)
        return measured(photo, box or the_swatch(photo, paper), paper.light, Reference.PAPER)
    light, reference = DAYLIGHT, Reference.NONE
    if white is not None:
        light, reference = light_from_box(photo, white, Reference.WHITE, reflectance), Reference.WHITE
    elif grey is not None:
        light, reference = light_from_box(photo, grey, Reference.GREY, reflectance), Reference.GREY
    return measured(photo, box or whole(photo), light, reference)


def measure_sheet(photo: Photo, *, reflectance: float | None = None) -> list[Measured]:
    """Measure all swatches on a sheet of paper, left to right and top to bottom. Raises PhotoFault where there is
    none."""
    paper = find_paper(photo, reflectance)
    return [measured(photo, box, paper.light, Reference.PAPER) for box in the_swatches(photo, paper)]


def measured(photo: Photo, box: Box, light: Illumination, reference: Reference) -> Measured:
    """Measure the cloth in `box` under a light that is known."""
    source = reference.source
    fine, single = blocks(photo, box, FINE), points(photo, box)
    cloth = _in_daylight(photo, fine, light)
    if not len(cloth[0]):
        raise PhotoFault("the box holds nothing but transparent picture", photo.name, "draw it on the cloth")
    mean = _mean(photo, box, light, cloth[0])
    low, high = _range(photo, single, light) if len(single.x) else _of_blocks(cloth[0])
    palette = palette_of(cloth[0], source)
    flat = _without_plane(*cloth)
    colour, too_bright = _colour(mean, source)
    return Measured(
        colour=colour,
        value_low=low,
        value_high=high,
        variety=variety_of(palette if flat is None else palette_of(flat, source)),
        palette=palette,
        box=box,
        reference=reference,
        notes=(*photo.notes, *too_bright, *_clipping(single)),
    )


def _check_box(photo: Photo, box: Box) -> None:
    x, y, width, height = box
    if width < 1 or height < 1 or x < 0 or y < 0 or x + width > photo.width or y + height > photo.height:
        raise PhotoFault(
            f"the box {x},{y},{width},{height} is not inside the picture ({photo.width} x {photo.height} pixels)",
            photo.name,
            "give it as X,Y,W,H in pixels from the upper left corner",
        )


def _in_daylight(photo: Photo, fine: Blocks, light: Illumination) -> tuple[Floats, Floats, Floats]:
    """XYZ for D65 of the blocks, shape (n, 3), and where they are."""
    x, y = np.meshgrid(fine.x, fine.y)
    there = fine.there
    x, y = x[there], y[there]
    return xyz_in_daylight(photo.space, fine.light[there], light, x, y), x, y


def _mean(photo: Photo, box: Box, light: Illumination, cloth: Floats) -> Floats:
    """XYZ of the mean light: to the last pixel where the light is even, by blocks where it is not."""
    if not light.even:
        return np.asarray(cloth.mean(axis=0))
    mean, nowhere = mean_light(photo, histogram(photo, box)), np.zeros(1)
    return np.asarray(xyz_in_daylight(photo.space, mean[None, :], light, nowhere, nowhere)[0])


def _colour(xyz: Floats, source: str) -> tuple[Colour, tuple[str, ...]]:
    L, a, b = (float(v) for v in lab_from_xyz(xyz))
    if L <= 100:
        return Colour(max(0.0, L), a, b, source), ()
    return Colour(100.0, a, b, source), (LIGHTER_THAN_WHITE,)


def _range(photo: Photo, single: Points, light: Illumination) -> tuple[float, float]:
    """The 10 and 90 % points of L* of single pixels."""
    each = np.stack([photo.space.curves[c][single.codes[:, c]] for c in range(3)], axis=1)
    values = lab_from_xyz(xyz_in_daylight(photo.space, each, light, single.x, single.y))[:, 0]
    low, high = np.percentile(values, (10, 90))
    return float(np.clip(low, 0, 100)), float(np.clip(high, 0, 100))


def _of_blocks(cloth: Floats) -> tuple[float, float]:
    """The same of blocks: where hardly anything is opaque, no single pixel was met."""
    low, high = np.percentile(lab_from_xyz(cloth)[:, 0], (10, 90))
    return float(np.clip(low, 0, 100)), float(np.clip(high, 0, 100))


def _without_plane(xyz: Floats, x: Floats, y: Floats) -> Floats | None:
    """The cloth with a plane of light divided out, so that a lamp at one side is not taken for a print; None where
    the light is level."""
    flat = np.stack([np.ones_like(x), x - x.mean(), y - y.mean()], axis=1)
    slopes = np.linalg.solve(flat.T @ flat + 1e-9 * np.eye(3), flat.T @ xyz[:, 1])
    ratio = flat @ slopes / max(1e-9, float(slopes[0]))
    if np.abs(ratio - 1).max() < LEVEL:
        return None
    level = xyz / np.clip(ratio, DARKEST, LIGHTEST)[:, None]
    return level if len(level) <= ENOUGH else level[np.random.default_rng(0).integers(0, len(level), ENOUGH)]


def _clipping(single: Points) -> tuple[str, ...]:
    share = float((single.codes == 255).mean(axis=0).max()) if len(single.codes) else 0.0
    return (f"{share:.0%} of the cloth is too bright for the camera",) if share > MOST_CLIPPED else ()
