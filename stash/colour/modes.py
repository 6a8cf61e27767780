"""Every way a picture's codes may be kept in a file, brought to 8 bits of red, green and blue, and their space."""

from __future__ import annotations

from dataclasses import dataclass, replace
from io import BytesIO
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from stash.colour.icc import (
    colour_model,
    has_tables,
    read_grey_profile,
    read_matrix_profile,
    space_of_primaries,
)
from stash.colour.space import SRGB, RgbSpace

OPAQUE = 128  # alpha from which a point counts as picture

# Chromaticities of red, green and blue: SMPTE EG 432-1 (Display P3), ITU-R BT.2020, Adobe RGB (1998) 4.3.1
P3 = space_of_primaries("Display P3", ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060)))
BT2020 = space_of_primaries("BT.2020", ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046)))
ADOBE = space_of_primaries(
    "Adobe RGB (1998)", ((0.64, 0.33), (0.21, 0.71), (0.15, 0.06)), lambda codes: codes ** (563 / 256)
)
PRIMARIES = {1: SRGB, 2: SRGB, 9: BT2020, 12: P3}  # ITU-T H.273 table 2; 2 is "unspecified"
HDR = (16, 18)  # transfer characteristics PQ and HLG, ITU-T H.273 table 3

PHOTOMETRIC, BITS, SAMPLE_FORMAT = 262, 258, 339  # tags of TIFF 6.0

NOT_FITTING = "Its colour profile does not fit the picture and was left out."
DAMAGED = "Its colour profile cannot be read and was left out."
INKS = "It is in printing inks without a profile that can be read, so its colours are a guess."


@dataclass(frozen=True, slots=True)
class Seen:
    """`image` of mode RGB (or L where the picture is grey), `mask` and `notes` as in `Photo`."""

    image: Image.Image
    mask: Image.Image | None = None
    space: RgbSpace = SRGB
    notes: tuple[str, ...] = ()


def as_rgb(image: Image.Image, exif: Image.Exif | None = None) -> Seen:
    """A loaded picture of any mode as 8-bit RGB, with the space of its codes. May raise what decoders raise."""
    profile = image.info.get("icc_profile") or b""
    if image.mode == "CMYK":
        return _from_inks(image, profile)
    if image.mode == "LAB":
        return Seen(_to_srgb(image, None))
    if image.mode.startswith("I") or image.mode == "F":
        seen = _deep_grey(image)
    elif image.mode in ("1", "L", "LA"):
        seen = Seen(image.convert("L"), _mask(image))
    else:
        seen = Seen(_colours(image), _mask(image))
    seen = _with_profile(seen, profile) if profile else _by_other_signs(seen, image, exif)
    return seen if seen.image.mode == "RGB" else replace(seen, image=seen.image.convert("RGB"))


def _colours(image: Image.Image) -> Image.Image:
    if image.has_transparency_data:  # a palette keeps its clear colours only this way
        image = image.convert("RGBA")
    return image if image.mode == "RGB" else image.convert("RGB")


def _mask(image: Image.Image) -> Image.Image | None:
    """255 where alpha is half or more, 0 elsewhere; None where that is nowhere."""
    if not image.has_transparency_data:
        return None
    alpha = image.convert("RGBA").getchannel("A")
    return _unless_whole(alpha.point([0] * OPAQUE + [255] * (256 - OPAQUE)))


def _unless_whole(mask: Image.Image) -> Image.Image | None:
    return None if mask.getextrema()[0] == 255 else mask


def _from_inks(image: Image.Image, profile: bytes) -> Seen:
    if colour_model(profile) == "CMYK":
        try:
            return Seen(_to_srgb(image, profile))
        except Exception:  # LittleCMS says neither what nor by which class
            pass
    return Seen(image.convert("RGB"), notes=(INKS,))


def _to_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    """Through LittleCMS, white to white (relative colorimetric). profile -- None for L*a*b* codes."""
    from PIL import ImageCms

    source = ImageCms.createProfile("LAB") if profile is None else ImageCms.ImageCmsProfile(BytesIO(profile))
    target = ImageCms.createProfile("sRGB")
    intent = ImageCms.Intent.RELATIVE_COLORIMETRIC
    turned = ImageCms.profileToProfile(image, source, target, renderingIntent=intent, outputMode="RGB")
    if turned is None:
        raise ValueError("no picture came back")
    return turned


def _with_profile(seen: Seen, profile: bytes) -> Seen:
    """The space by the profile; through LittleCMS where it holds tables; as sRGB with a note where it does not fit."""
    model = colour_model(profile)
    if not model:
        return replace(seen, notes=(*seen.notes, DAMAGED))
    grey = seen.image.mode == "L"
    if model != ("GRAY" if grey else "RGB"):
        return replace(seen, notes=(*seen.notes, NOT_FITTING))
    space = read_grey_profile(profile) if grey else read_matrix_profile(profile)
    if space is not None:
        return replace(seen, space=space)
    if has_tables(profile):
        try:
            return replace(seen, image=_to_srgb(seen.image, profile))
        except Exception:  # as above
            pass
    return replace(seen, notes=(*seen.notes, DAMAGED))


def _by_other_signs(seen: Seen, image: Image.Image, exif: Image.Exif | None) -> Seen:
    """The space where there is no profile: by the code points of HEIF, or the camera's mark for Adobe RGB."""
    nclx = image.info.get("nclx_profile")
    if isinstance(nclx, dict):
        notes, primaries = seen.notes, int(nclx.get("color_primaries", 2))
        if nclx.get("transfer_characteristics") in HDR:
            notes += ("It is a high dynamic range picture: its values are a guess.",)
        elif primaries not in PRIMARIES:
            notes += ("Its colour space is not known here and was taken as sRGB.",)
        return replace(seen, space=PRIMARIES.get(primaries, SRGB), notes=notes)
    return replace(seen, space=ADOBE) if seen.image.mode == "RGB" and _marked_adobe(exif) else seen


def _marked_adobe(exif: Image.Exif | None) -> bool:
    """Whether the camera says that the codes are Adobe RGB: interoperability index R03, DCF 2.0."""
    try:
        return exif is not None and exif.get_ifd(0xA005).get(1) == "R03"
    except Exception:  # damaged EXIF raises anything; the picture is whole without it
        return False


def _deep_grey(image: Image.Image) -> Seen:
    """Grey of more than 8 bits, whole numbers or floats; `convert` would cut it off at 255."""
    values = np.asarray(image)
    notes: tuple[str, ...] = ()
    if image.mode == "F":
        light, here, notes = _floats(values)
    else:
        light, notes = _whole_numbers(values, image)
        clear = image.info.get("transparency")
        here = values != clear if isinstance(clear, int) else np.ones(values.shape, dtype=bool)
    if _tag(image, PHOTOMETRIC) == 0:  # WhiteIsZero, which Pillow leaves as it is in these modes
        light = 255 - light
    mask = Image.fromarray(np.where(here, np.uint8(255), np.uint8(0)))
    return Seen(Image.fromarray(light), _unless_whole(mask), notes=notes)


def _whole_numbers(values: NDArray[Any], image: Image.Image) -> tuple[NDArray[np.uint8], tuple[str, ...]]:
    """To 8 bits by the bits the file says; 32 bits, which nobody fills, by the largest number."""
    bits, signed = int(_tag(image, BITS) or 16), _tag(image, SAMPLE_FORMAT) == 2
    if bits > 16:
        numbers = values if signed else values.view(np.uint32)
        top = max(1, int(numbers.max()))
        notes: tuple[str, ...] = ("Its numbers have no fixed white and were scaled by the largest.",)
    else:
        numbers, top, notes = values, (1 << (bits - signed)) - 1, ()
    scaled = np.clip(numbers, 0, top).astype(np.float32) * np.float32(255 / top)
    return np.rint(scaled).astype(np.uint8), notes


def _floats(values: NDArray[Any]) -> tuple[NDArray[np.uint8], NDArray[np.bool_], tuple[str, ...]]:
    """To 8 bits: 0..1 as it stands, else by the largest number; points without a number are no picture."""
    here: NDArray[np.bool_] = np.isfinite(values)
    notes: tuple[str, ...] = ()
    if not here.all():
        notes += ("Points without a number were left out.",)
    top = float(values.max(initial=0.0, where=here))
    if top > 1:
        notes += ("Its numbers go past 1 and were scaled by the largest.",)
    scaled = np.clip(np.where(here, values, 0) / max(1.0, top), 0, 1)
    return np.rint(scaled * 255).astype(np.uint8), here, notes


def _tag(image: Image.Image, number: int) -> Any:
    """A TIFF tag's first value; None for other files and missing tags."""
    tags = getattr(image, "tag_v2", None)
    value = tags.get(number) if tags is not None else None
    return value[0] if isinstance(value, tuple) and value else value
