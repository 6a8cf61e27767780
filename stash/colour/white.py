"""The light that fell on a photograph, and what colours are under daylight.

The light is known from something in the picture: paper, a white patch or a grey card. It is kept as what a perfect
white would send back at each place, as cone responses by the matrix of Bradford; dividing by it and taking the
responses of D65 instead adapts the colour (ICC.1:2022, annex E), evens out uneven light and sets the exposure, all
at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stash.colour.lab import EPSILON, KAPPA, WHITE
from stash.colour.space import Floats, RgbSpace

# XYZ to cone responses: linear Bradford, ICC.1:2022 annex E
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
BACK = np.linalg.inv(BRADFORD)
XYZ_WHITE = np.array(WHITE)
D65 = BRADFORD @ XYZ_WHITE
DARK = 1e-5  # the least response: never nothing, to divide by


@dataclass(frozen=True, slots=True, eq=False)
class Illumination:
    """`terms` shape (6, 3): a perfect white's cone responses as quadratics in x and y, which run from -1 to 1 over a
    picture of `width` x `height` pixels."""

    terms: Floats
    width: int = 1
    height: int = 1

    @property
    def even(self) -> bool:
        """Whether the light is the same everywhere."""
        return not self.terms[1:].any()

    def at(self, x: Floats, y: Floats) -> Floats:
        """Cone responses of a perfect white at places in pixels, shape of x with 3 more."""
        return field(powers(x / self.width * 2 - 1, y / self.height * 2 - 1), self.terms)


def field(places: Floats, terms: Floats) -> Floats:
    """Cone responses at places given by their powers; never down to nothing."""
    return np.maximum(places @ terms, DARK)


def powers(x: Floats, y: Floats) -> Floats:
    """1, x, y, xx, xy, yy: the terms of a quadratic."""
    return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)


def even_light(responses: Floats) -> Illumination:
    """The same light everywhere, from the cone responses of a perfect white under it."""
    terms = np.zeros((6, 3))
    terms[0] = responses
    return Illumination(terms)


DAYLIGHT = even_light(D65)


def cones(space: RgbSpace, light: Floats) -> Floats:
    """Cone responses of light, shape (..., 3)."""
    return np.asarray(light @ (BRADFORD @ space.to_xyz).T)


def xyz_in_daylight(space: RgbSpace, light: Floats, shines: Illumination, x: Floats, y: Floats) -> Floats:
    """XYZ for D65, shape (n, 3), of light seen at places x, y (shape (n,), in pixels) under an illumination."""
    if shines.even:
        return np.asarray(light @ (BACK @ np.diag(D65 / shines.terms[0]) @ BRADFORD @ space.to_xyz).T)
    return np.asarray((cones(space, light) / shines.at(x, y) * D65) @ BACK.T)


def lab_from_xyz(xyz: Floats) -> Floats:
    """CIE 1976 L*a*b* (D65, 2 degrees) of XYZ, shape (..., 3); light under nothing counts as nothing."""
    t = np.maximum(xyz, 0.0) / XYZ_WHITE
    f = np.where(t > EPSILON, np.cbrt(t), (KAPPA * t + 16) / 116)
    return np.stack(
        [116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])], axis=-1
    )
