"""A stored picture as the few pixels that a terminal has room for. Pure functions; call them on a thread.

Scaled down in linear light, as the eye does it from across the room: averages of sRGB codes come out up to 10 L* too
dark on a fine check. In grey each pixel is the grey of its own light, so its value is right.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

from stash.colour.lab import RGB_TO_XYZ, light_from_lab
from stash.model import Colour

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL import Image

    Codes = NDArray[np.uint8]
    Floats = NDArray[np.float64]

MOST_PIXELS = 16_000_000  # a stash keeps pictures of a million at most; a file from elsewhere may hold anything
DARKEST = 1e-4  # mean light under which a channel tells nothing
MOST_GAIN = 8.0


def light_of(picture: bytes) -> Floats | None:
    """The linear light, 0 to 1, of a JPEG or PNG: shape (height, width, 3). None where it cannot be read."""
    import numpy as np
    from PIL import Image

    from stash.colour.space import SRGB

    try:
        with Image.open(io.BytesIO(picture), formats=["JPEG", "PNG"]) as image:
            if image.width * image.height > MOST_PIXELS:
                return None
            codes = np.asarray(image.convert("RGB"))
    except (OSError, ValueError, SyntaxError, EOFError, Image.DecompressionBombError):
        return None
    light: Floats = SRGB.curves[0][codes]
    return light


def fitted(width: int, height: int, most_wide: int, most_high: int) -> tuple[int, int]:
    """A picture's size in pixels where it fills `most_wide` x `most_high` as far as its shape allows.

    At least 1 x 2, and even in height: a cell of half blocks takes two.
    """
    scale = min(most_wide / width, most_high / height)
    return max(1, min(most_wide, round(width * scale))), max(2, min(most_high // 2 * 2, round(height * scale / 2) * 2))


def balanced(light: Floats, colour: Colour) -> Floats:
    """The light with each channel scaled so that the mean is `colour`.

    A photograph on paper is stored as the camera saw it; what was measured has lamp and exposure taken out.
    """
    import numpy as np

    wanted = np.clip(light_from_lab(colour), 0.0, 1.0)
    result: Floats = light * np.clip(wanted / np.maximum(light.mean(axis=(0, 1)), DARKEST), 1 / MOST_GAIN, MOST_GAIN)
    return result


def codes_of(light: Floats, in_grey: bool) -> Codes:
    """sRGB codes, shape (height, width, 3): the colours, or the grey of the light of each pixel."""
    import numpy as np

    from stash.colour.space import coded

    if in_grey:
        light = np.repeat((light @ np.array(RGB_TO_XYZ[1]))[..., None], 3, axis=2)
    result: Codes = np.rint(coded(light) * 255).astype(np.uint8)
    return result


def picture_codes(
    picture: bytes, most_wide: int, most_high: int, in_grey: bool, colour: Colour | None = None
) -> Codes | None:
    """A JPEG or PNG in the most pixels that `most_wide` x `most_high` allow; None where it cannot be read.

    With `colour` its mean light is made that colour.
    """
    from stash.colour.areas import scaled

    light = light_of(picture)
    if light is None or most_wide < 1 or most_high < 2:
        return None
    width, height = fitted(light.shape[1], light.shape[0], most_wide, most_high)
    small = scaled(light, width, height)
    return codes_of(balanced(small, colour) if colour else small, in_grey)


def picture_image(
    picture: bytes, most_wide: int, most_high: int, in_grey: bool, colour: Colour | None = None
) -> Image.Image | None:
    """The same as an image, for terminals that show real pixels."""
    from PIL import Image

    codes = picture_codes(picture, most_wide, most_high, in_grey, colour)
    return None if codes is None else Image.fromarray(codes)
