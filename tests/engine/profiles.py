"""Colour profiles written byte by byte for tests (ICC.1:2022: header 7.2, tag table 7.3, tag types 10)."""

from __future__ import annotations

import struct
from collections.abc import Iterable, Sequence

import colour
import numpy as np
from numpy.typing import NDArray

D50 = np.array([0.9642, 1.0, 0.8249])
SRGB_CURVE = (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)  # `para` of kind 3, IEC 61966-2-1


def profile(tags: dict[str, bytes], model: bytes = b"RGB ", pcs: bytes = b"XYZ ", kind: bytes = b"mntr") -> bytes:
    """A profile of version 2.4 with these tags."""
    table, body, offset = struct.pack(">I", len(tags)), b"", 132 + 12 * len(tags)
    for name, tag in tags.items():
        tag += bytes(-len(tag) % 4)
        table += struct.pack(">4sII", name.encode(), offset + len(body), len(tag))
        body += tag
    header = struct.pack(">I4sI4s4s4s12x4s28x", offset + len(body), b"none", 0x02400000, kind, model, pcs, b"acsp")
    header += fixed(D50)
    return header + bytes(128 - len(header)) + table + body


def fixed(numbers: Iterable[float]) -> bytes:
    return b"".join(struct.pack(">i", round(float(number) * 65536)) for number in numbers)


def curv(*entries: int) -> bytes:
    return struct.pack(f">4s4xI{len(entries)}H", b"curv", len(entries), *entries)


def gamma(exponent: float) -> bytes:
    return curv(round(exponent * 256))


def para(kind: int, *numbers: float) -> bytes:
    return struct.pack(">4s4xH2x", b"para", kind) + fixed(numbers)


def described(text: str) -> bytes:
    return struct.pack(f">4s4xI{len(text) + 1}s", b"desc", len(text) + 1, text.encode()) + bytes(78)


def columns(space: str) -> NDArray[np.float64]:
    """RGB to XYZ of a colour space that colour-science knows, brought to D50 by Bradford; columns red, green, blue."""
    known = colour.RGB_COLOURSPACES[space]
    white = colour.xy_to_XYZ(known.whitepoint)
    adapt = colour.adaptation.matrix_chromatic_adaptation_VonKries(white, D50, transform="Bradford")
    return np.asarray(adapt @ known.matrix_RGB_to_XYZ)


def matrix_tags(space: str, curve: bytes, others: Sequence[str] = ()) -> dict[str, bytes]:
    """The tags of a matrix profile; `others` are names of tags with nothing useful in them."""
    matrix = columns(space)
    tags = {"desc": described(space)}
    for channel, column in zip("rgb", matrix.T, strict=True):
        tags[f"{channel}XYZ"] = b"XYZ \0\0\0\0" + fixed(column)
        tags[f"{channel}TRC"] = curve
    return tags | dict.fromkeys(others, b"mft2" + bytes(60))


def matrix_profile(space: str, curve: bytes = b"") -> bytes:
    return profile(matrix_tags(space, curve or para(3, *SRGB_CURVE)))


def table_profile(model: bytes, channels: int) -> bytes:
    """A profile that turns codes into greys by a table: L* = 100 less the mean of the codes in percent (`mft2`, 10.10).

    L* of 100 is 0xFF00 and a* = b* = 0 is 0x8000 in the 16-bit encoding of these tables (version 2).
    """
    corners = [[corner >> (channels - 1 - c) & 1 for c in range(channels)] for corner in range(2**channels)]
    grid = [number for corner in corners for number in (round(0xFF00 * (1 - sum(corner) / channels)), 0x8000, 0x8000)]
    straight = [0, 0xFFFF]
    tag = b"mft2" + bytes(4) + bytes([channels, 3, 2, 0]) + fixed(np.eye(3).ravel()) + struct.pack(">HH", 2, 2)
    numbers = straight * channels + grid + straight * 3
    tag += struct.pack(f">{len(numbers)}H", *numbers)
    return profile({"A2B0": tag}, model=model, pcs=b"Lab ", kind=b"prtr" if model == b"CMYK" else b"mntr")
