"""Photographs drawn for tests, with what is in them known: cloth on paper under a lamp, as a camera writes it.

Everything is drawn in linear light (sRGB primaries), then lit, made grainy, encoded and, where asked, squeezed
through JPEG.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from stash.colour.lab import light_from_lab
from stash.colour.space import SRGB, Photo
from stash.model import Box, Colour

Floats = NDArray[np.float64]
PAPER = 0.88


@dataclass(frozen=True)
class Lamp:
    """Light over a picture: the red, green and blue of it, and how it falls off across the picture."""

    colour: tuple[float, float, float] = (1.0, 1.0, 1.0)
    across: float = 0.0
    down: float = 0.0
    bulge: float = 0.0

    def on(self, width: int, height: int) -> Floats:
        x, y = np.meshgrid(np.linspace(-1, 1, width), np.linspace(-1, 1, height))
        level = 1 + self.across * x + self.down * y - self.bulge * (x * x + y * y)
        return np.asarray(level[:, :, None] * np.array(self.colour))


WARM = Lamp((0.80, 0.66, 0.44), across=0.16, down=-0.10, bulge=0.08)
EVEN = Lamp((0.85, 0.85, 0.85))


def light(colour: tuple[float, float, float]) -> Floats:
    return np.array(light_from_lab(Colour(*colour)))


def scaled_to(mean: Floats, cloth: Floats) -> Floats:
    """The cloth with its mean light made `mean`, channel by channel."""
    return np.asarray(cloth * (mean / cloth.mean(axis=(0, 1))))


def plain(mean: Floats, width: int, height: int) -> Floats:
    return np.asarray(np.broadcast_to(mean, (height, width, 3)).copy())


def woven(mean: Floats, width: int, height: int) -> Floats:
    x, y = np.meshgrid(np.arange(width), np.arange(height))
    threads = 1 + 0.18 * np.sin(x * 1.9) * np.sin(y * 1.7)
    return scaled_to(mean, threads[:, :, None] * mean)


def checked(mean: Floats, width: int, height: int) -> Floats:
    x, y = np.meshgrid(np.arange(width) // 9, np.arange(height) // 9)
    tone = np.choose((x % 2) + (y % 2), (0.45, 0.9, 1.45))
    return scaled_to(mean, tone[:, :, None] * mean)


def dotted(mean: Floats, width: int, height: int) -> Floats:
    x, y = np.meshgrid(np.arange(width) % 24 - 12, np.arange(height) % 24 - 12)
    dot = (x * x + y * y < 49)[:, :, None]
    return scaled_to(mean, np.where(dot, mean * 0.35, mean))


def striped(mean: Floats, width: int, height: int) -> Floats:
    x, _ = np.meshgrid(np.arange(width) // 7, np.arange(height))
    return scaled_to(mean, np.where((x % 3 == 0)[:, :, None], mean * 1.5, mean * 0.75))


CLOTHS: tuple[Callable[[Floats, int, int], Floats], ...] = (plain, woven, checked, dotted, striped)


def taken(
    lit: Floats, *, noise: float = 0.0, jpeg: int | None = None, seed: int = 1, name: str = "scene.jpg"
) -> Photo:
    """What a camera makes of light (sRGB primaries): codes of 8 bits, with noise in them, through JPEG or not."""
    codes = encoded(lit) * 255
    if noise:
        codes = codes + np.random.default_rng(seed).normal(0, noise, codes.shape)
    image = Image.fromarray(np.clip(np.round(codes), 0, 255).astype(np.uint8))
    if jpeg is not None:
        file = io.BytesIO()
        image.save(file, "JPEG", quality=jpeg)
        image = Image.open(io.BytesIO(file.getvalue())).convert("RGB")
    return Photo(name, image, SRGB)


def encoded(lit: Floats) -> Floats:
    """Linear light to sRGB codes 0..1 (IEC 61966-2-1)."""
    lit = np.clip(lit, 0, 1)
    return np.asarray(np.where(lit <= 0.0031308, lit * 12.92, 1.055 * lit ** (1 / 2.4) - 0.055))


def on_paper(cloths: list[tuple[Box, Floats]], width: int, height: int, lamp: Lamp, paper: float = PAPER) -> Floats:
    """Light from a sheet with pieces of cloth lying on it."""
    sheet = np.full((height, width, 3), paper)
    for (x, y, w, h), cloth in cloths:
        sheet[y : y + h, x : x + w] = cloth
    return sheet * lamp.on(width, height)
