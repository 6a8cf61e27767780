"""A photograph in memory, and the RGB space its codes are in.

A matrix space (sRGB, Display P3, Adobe RGB ...) turns a code into light by one curve a channel, and light into XYZ by
one 3 x 3 matrix. Keeping those apart from the codes is what makes measuring fast: means of light come from
histograms, and nothing is cut off at the edge of sRGB.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from stash.colour.lab import RGB_TO_XYZ, light_from_code

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class RgbSpace:
    """`curves` shape (3, 256): light 0..1 of each code of each channel. `to_xyz` shape (3, 3): XYZ of light, adapted
    to D65, so that full light in all channels is the white of `stash.colour.lab`."""

    name: str
    curves: Floats
    to_xyz: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Photo:
    """A photograph as it is seen, upright, 8 bits a channel.

    `image` is of mode RGB; `mask` (mode L, 255 where there is picture, 0 where it is transparent) is None when all of
    it is opaque. `notes` are sentences worth telling. `file_hash` is the SHA-256 of the file in hex. `known` holds
    means of light that were worked out beforehand (`stash.colour.light.foresee`).
    """

    name: str
    image: Image.Image
    space: RgbSpace
    file_hash: str = ""
    mask: Image.Image | None = None
    notes: tuple[str, ...] = ()
    known: dict[Any, Any] = field(default_factory=dict, repr=False)

    @property
    def width(self) -> int:
        """Pixels across."""
        return self.image.width

    @property
    def height(self) -> int:
        """Pixels down."""
        return self.image.height


SRGB = RgbSpace(
    "sRGB",
    np.array([[light_from_code(code / 255) for code in range(256)]] * 3, dtype=np.float64),
    np.array(RGB_TO_XYZ, dtype=np.float64),
)


def coded(light: Floats) -> Floats:
    """Linear light to sRGB codes 0..1 (IEC 61966-2-1); light outside 0..1 is cut off."""
    light = np.clip(light, 0.0, 1.0)
    return np.asarray(np.where(light <= 0.0031308, light * 12.92, 1.055 * light ** (1 / 2.4) - 0.055))


@cache
def _code_table() -> NDArray[np.uint8]:
    """The sRGB code of each light 0..65535."""
    codes: NDArray[np.uint8] = np.rint(coded(np.arange(65536) / 65535) * 255).astype(np.uint8)
    return codes


def codes_of(light: NDArray[Any]) -> NDArray[np.uint8]:
    """sRGB codes 0..255 of linear light 0..1, looked up in steps of 1/65535: finer than any code is wide."""
    codes: NDArray[np.uint8] = _code_table().take(np.rint(light * 65535).astype(np.uint16))
    return codes
