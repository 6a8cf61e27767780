"""Reads the colour profiles that cameras and telephones put into pictures: one curve a channel and one matrix.

The form is ICC.1:2022 (profile version 4.4; version 2 is read by the same rules): header 7.2, tag table 7.3, `curv`
10.6, `para` 10.18, `XYZ ` 10.31, s15Fixed16Number 4.6, the three-component matrix-based model F.3 and the monochrome
model F.2. Profiles that hold tables instead of a matrix are not read here: LittleCMS turns those.
"""

from __future__ import annotations

import struct
from collections.abc import Callable

import numpy as np

from stash.colour.lab import WHITE
from stash.colour.space import SRGB, Floats, RgbSpace
from stash.colour.white import BACK, BRADFORD, D65

CLASSES = (b"scnr", b"mntr", b"prtr", b"spac")  # classes that stand for a device or a colour space; 7.2.5
TABLES = ("A2B0", "A2B1", "A2B2")
MOST_TAGS = 200
LONGEST_NAME = 60

# What a tag's reader may raise over bytes that are none
BROKEN = (struct.error, ValueError, OverflowError, IndexError, KeyError)


def colour_model(icc: bytes) -> str:
    """The data colour space of a profile as its header says: "RGB", "GRAY", "CMYK", "Lab" ... ("" for no profile)."""
    if len(icc) < 132 or icc[36:40] != b"acsp" or icc[12:16] not in CLASSES:
        return ""
    return icc[16:20].decode("latin-1").strip()


def has_tables(icc: bytes) -> bool:
    """Whether the profile holds a table from device to connection space, which goes before matrix and curves (8.3)."""
    return any(name in _tags(icc) for name in TABLES)


def read_matrix_profile(icc: bytes) -> RgbSpace | None:
    """The space of an RGB profile made of a matrix and three curves; None for any other profile and for a broken one.

    Full light in all channels becomes the white of `stash.colour.lab`, whatever rounding the profile's own columns
    hold: they are adapted from their sum, which is D50, by linear Bradford (ICC.1:2022 annex E, F.3).
    """
    if colour_model(icc) != "RGB" or icc[20:24] != b"XYZ ":
        return None
    tags = _tags(icc)
    if any(name in tags for name in TABLES):
        return None
    try:
        columns = [_xyz(tags[f"{channel}XYZ"]) for channel in "rgb"]
        curves = [_curve(tags[f"{channel}TRC"]) for channel in "rgb"]
    except BROKEN:
        return None
    matrix = np.array(columns, dtype=np.float64).T
    if not _is_white(matrix.sum(axis=1)):
        return None
    return RgbSpace(_name(tags) or "RGB by its profile", np.array(curves), adapted(matrix))


def read_grey_profile(icc: bytes) -> RgbSpace | None:
    """The space of a grey profile, for a picture whose three channels are that grey; None when it is none.

    The curve gives Y, or L* / 100 where the connection space is Lab (ICC.1:2022 F.2).
    """
    if colour_model(icc) != "GRAY":
        return None
    tags = _tags(icc)
    try:
        curve = _curve(tags["kTRC"])
    except BROKEN:
        return None
    if icc[20:24] == b"Lab ":
        f = (100 * curve + 16) / 116
        curve = np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29))
    return RgbSpace(_name(tags) or "grey by its profile", np.array([curve] * 3), SRGB.to_xyz)


def space_of_primaries(
    name: str, xy: tuple[tuple[float, float], ...], curve: Callable[[Floats], Floats] | None = None
) -> RgbSpace:
    """The space of three primaries (chromaticities x, y of red, green and blue) whose white is D65.

    curve -- light 0..1 of a code 0..1; None: that of sRGB.
    The matrix is SMPTE RP 177: the primaries scaled so that they add up to the white.
    """
    primaries = np.array([(x / y, 1.0, (1 - x - y) / y) for x, y in xy], dtype=np.float64).T
    matrix = primaries * np.linalg.solve(primaries, np.array(WHITE))
    curves = SRGB.curves if curve is None else np.array([curve(np.arange(256) / 255)] * 3)
    return RgbSpace(name, curves, matrix)


def adapted(matrix: Floats) -> Floats:
    """A matrix RGB to XYZ (3 x 3) with its white, the sum of its columns, brought to that of `stash.colour.lab`."""
    cones = D65 / (BRADFORD @ matrix.sum(axis=1))
    return np.asarray(BACK @ (cones[:, None] * (BRADFORD @ matrix)))


def _is_white(xyz: Floats) -> bool:
    """Whether columns add up to something like a white: D50 as they should, or D65 as some old profiles have it."""
    x, y, z = (float(number) for number in xyz)
    return 0.5 < y < 2 and 0.8 < x / y < 1.2 and 0.6 < z / y < 1.3


def _tags(icc: bytes) -> dict[str, bytes]:
    """Tag signatures and their bytes, without those that lie outside the profile."""
    found: dict[str, bytes] = {}
    try:
        (count,) = struct.unpack_from(">I", icc, 128)
        for k in range(min(count, MOST_TAGS)):
            name, offset, size = struct.unpack_from(">4sII", icc, 132 + 12 * k)
            if offset + size <= len(icc):
                found.setdefault(name.decode("latin-1"), icc[offset : offset + size])
    except struct.error:
        pass  # the table is cut off: what stands before the cut still holds
    return found


def _fixed(data: bytes, offset: int, count: int) -> tuple[float, ...]:
    """`count` s15Fixed16Numbers."""
    return tuple(number / 65536 for number in struct.unpack_from(f">{count}i", data, offset))


def _xyz(tag: bytes) -> tuple[float, ...]:
    if tag[:4] != b"XYZ ":
        raise ValueError("no XYZ tag")
    return _fixed(tag, 8, 3)


def _curve(tag: bytes) -> Floats:
    """Light 0..1 of the codes 0..255, shape (256,). Raises one of `BROKEN` for what is no rising curve."""
    codes: Floats = np.arange(256, dtype=np.float64) / 255
    with np.errstate(all="ignore"):
        if tag[:4] == b"curv":
            light = _sampled(tag, codes)
        elif tag[:4] == b"para":
            light = _parametric(tag, codes)
        else:
            raise ValueError("no curve")
    if not np.isfinite(light).all() or light[255] <= light[0]:
        raise ValueError("no rising curve")
    return np.clip(light, 0.0, 1.0)


def _sampled(tag: bytes, codes: Floats) -> Floats:
    """`curv`: nothing is the identity, one entry a gamma as u8Fixed8Number, more are samples joined by lines."""
    (count,) = struct.unpack_from(">I", tag, 8)
    if count == 0:
        return codes
    if count * 2 > len(tag) - 12:
        raise ValueError("a curve that is cut off")
    entries = np.frombuffer(tag, dtype=">u2", count=count, offset=12).astype(np.float64)
    if count == 1:
        return np.asarray(codes ** float(_positive(entries[0] / 256)))
    return np.interp(codes, np.linspace(0.0, 1.0, count), entries / 65535)


def _parametric(tag: bytes, codes: Floats) -> Floats:
    """`para`: (a x + b)^g + e from d on, c x + f below; the smaller kinds leave parameters out."""
    (kind,) = struct.unpack_from(">H", tag, 8)
    p = _fixed(tag, 12, (1, 3, 4, 5, 7)[kind])
    g, a, b, c, d, e, f = _positive(p[0]), 1.0, 0.0, 0.0, 0.0, 0.0, 0.0
    if kind in (1, 2):
        a, b = p[1], p[2]
        d = -b / _positive(a)
        e = f = p[3] if kind == 2 else 0.0
    elif kind in (3, 4):
        a, b, c, d = p[1:5]
        e, f = p[5:7] if kind == 4 else (0.0, 0.0)
    power = np.maximum(a * codes + b, 0.0) ** g + e
    return np.where(codes >= d, power, c * codes + f)


def _positive(number: float) -> float:
    if not number > 0:
        raise ValueError("not above 0")
    return number


def _name(tags: dict[str, bytes]) -> str:
    """The profile's description, in the first of its languages, as far as it can be shown."""
    tag = tags.get("desc", b"")
    try:
        if tag[:4] == b"desc":  # textDescriptionType of version 2
            (length,) = struct.unpack_from(">I", tag, 8)
            text = tag[12 : 12 + min(length, 4 * LONGEST_NAME)].decode("latin-1")
        else:  # multiLocalizedUnicodeType, 10.15
            length, offset = struct.unpack_from(">II", tag, 20)
            text = tag[offset : offset + min(length, 4 * LONGEST_NAME)].decode("utf-16-be", "ignore")
    except struct.error:
        return ""
    return "".join(c for c in text.split("\0")[0] if c.isprintable()).strip()[:LONGEST_NAME]
