"""Picture files made in memory for tests: one scene in every format and mode."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pillow_heif
from PIL import Image

ORIENTATION, GPS = 0x0112, 0x8825
SIZE = (48, 32)
TOP_LEFT, REST = (200, 40, 60), (235, 230, 220)


def scene(size: tuple[int, int] = SIZE) -> Image.Image:
    """Light with a red quarter at its upper left, so that each way of turning it looks different."""
    image = Image.new("RGB", size, REST)
    image.paste(TOP_LEFT, (0, 0, size[0] // 2, size[1] // 2))
    return image


def noise(size: tuple[int, int] = SIZE, seed: int = 0) -> Image.Image:
    codes = np.random.default_rng(seed).integers(0, 256, (size[1], size[0], 3))
    return Image.fromarray(codes.astype(np.uint8))


def encoded(image: Image.Image, form: str, **how: Any) -> bytes:
    pillow_heif.register_heif_opener()
    file = BytesIO()
    image.save(file, form, **how)
    return file.getvalue()


def written(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    return path


def with_exif(orientation: int = 1) -> Image.Exif:
    """What a telephone writes: how it was held, its maker, and where it was."""
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    exif[0x010F] = "maker of the camera"
    exif.get_ifd(GPS).update({1: "N", 2: (51.0, 30.0, 0.0), 3: "E", 4: (7.0, 27.0, 0.0)})
    return exif


def deep_grey() -> Image.Image:
    """16-bit grey of 256 steps from black to white."""
    return Image.fromarray((np.arange(256, dtype=np.uint16) * 257).reshape(16, 16))


def samples() -> dict[str, bytes]:
    """A small file of each format and of what can be in it."""
    image, other = noise(), noise(seed=1)
    exif = with_exif(6)
    return {
        "jpeg": encoded(image, "JPEG", exif=exif),
        "progressive jpeg": encoded(image, "JPEG", progressive=True),
        "cmyk jpeg": encoded(image.convert("CMYK"), "JPEG"),
        "mpo": encoded(image, "MPO", save_all=True, append_images=[other]),
        "png": encoded(image, "PNG", exif=exif),
        "16-bit png": encoded(Image.fromarray(np.asarray(image)[..., 0].astype(np.uint16) * 256), "PNG"),
        "palette png": encoded(image.quantize(16), "PNG", transparency=3),
        "webp": encoded(image, "WEBP", exif=exif),
        "lossless webp": encoded(image.convert("RGBA"), "WEBP", lossless=True),
        "bmp": encoded(image, "BMP"),
        "gif": encoded(image.quantize(16), "GIF"),
        "tiff": encoded(image, "TIFF", exif=exif),
        "lzw tiff": encoded(image, "TIFF", compression="tiff_lzw"),
        "deflate tiff": encoded(image, "TIFF", compression="tiff_adobe_deflate"),
        "16-bit tiff": encoded(deep_grey(), "TIFF"),
        "heic": encoded(image, "HEIF", exif=exif),
    }
