"""Small photographs drawn for tests: one flat colour, cloth on paper, a sheet of swatches."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from PIL import Image, ImageColor, ImageDraw


def flat(path: Path, colour: str, size: tuple[int, int] = (120, 90)) -> Path:
    """One colour from edge to edge; PNG keeps it exactly."""
    Image.new("RGB", size, colour).save(path)
    return path


def on_paper(path: Path, colour: str, paper: str = "#d8d4c8", seed: int = 0) -> Path:
    """A square of cloth in the middle of a paper, with a little noise."""
    image = Image.new("RGB", (400, 400), paper)
    ImageDraw.Draw(image).rectangle((100, 100, 299, 299), fill=colour)
    return _saved(path, image, seed)


def sheet(path: Path, colours: Sequence[str], across: int = 4) -> Path:
    """Swatches of 140 px on a sheet of paper, from left to right and from top to bottom."""
    rows = -(-len(colours) // across)
    image = Image.new("RGB", (200 * across + 60, 200 * rows + 60), "#dcd8d0")
    for k, colour in enumerate(colours):
        x, y = 60 + 200 * (k % across), 60 + 200 * (k // across)
        ImageDraw.Draw(image).rectangle((x, y, x + 139, y + 139), fill=colour)
    return _saved(path, image, len(colours))


def _saved(path: Path, image: Image.Image, seed: int) -> Path:
    noise = np.random.default_rng(seed).normal(0, 2, (image.height, image.width, 3))
    pixels = np.clip(np.asarray(image, dtype=np.float64) + noise, 0, 255)
    Image.fromarray(np.round(pixels).astype(np.uint8)).save(path, quality=90)
    return path


def grey(code: int) -> str:
    """The grey whose three sRGB codes are `code`."""
    assert ImageColor.getrgb(f"#{code:02x}{code:02x}{code:02x}") == (code, code, code)
    return f"#{code:02x}{code:02x}{code:02x}"


def bad(folder: Path, name: str = "bad.jpg") -> Path:
    """A file that is no picture under a picture's name."""
    (folder / name).write_text("this is no picture")
    return folder / name
