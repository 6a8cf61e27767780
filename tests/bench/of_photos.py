"""Photographs of 12 megapixels, measured and made into swatches, against decoding them and nothing else.

A single one is told in seconds of the processor: part of the work is done on two threads, whose waiting for each other
on a busy machine says nothing. Sixty are told in seconds of the wall's clock.
"""

from __future__ import annotations

import multiprocessing
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

import numpy as np
import pillow_heif
from PIL import Image

from stash.intake.batch import look_at_all
from stash.intake.looking import How, look
from tests.bench.measure import Figure, Goal, compared

WIDE, HIGH = 4000, 3000
MANY = 60
GOAL = Goal(ratio=2.5)


def figures() -> list[Figure]:
    pillow_heif.register_heif_opener()
    with tempfile.TemporaryDirectory(prefix="starcover-bench-") as folder:
        place = Path(folder)
        picture = cloth_on_paper()
        jpeg, heic = place / "cloth.jpg", place / "cloth.heic"
        picture.save(jpeg, quality=90)
        pillow_heif.from_pillow(picture).save(heic, quality=80)
        found = [
            compared(
                f"12 MP {path.suffix[1:].upper()}, {what}", partial(_look, path, how), "decoding",
                partial(decode, path), GOAL, rounds=7, clock=time.process_time,
            )
            for path in (jpeg, heic)
            for what, how in (("whole", How()), ("on paper", How(on_paper=True)))
        ]  # fmt: skip
        many = _copies(jpeg, place)
        found.append(compared(
            f"{MANY} JPEG on two cores", partial(_look_at_all, many), "decoding on two cores",
            partial(_decode_all, many),
            GOAL, rounds=2,
        ))  # fmt: skip
        return found


def cloth_on_paper() -> Image.Image:
    """An invented print on white paper, lit a little from one side, with a camera's noise."""
    chance = np.random.default_rng(12)
    y, x = np.mgrid[0:HIGH, 0:WIDE].astype(np.float32)
    paper = np.full((HIGH, WIDE, 3), 225, np.float32)
    print_ = np.stack([
        120 + 60 * np.sin(x / 37) * np.sin(y / 29), 90 + 25 * np.sin((x + y) / 53), 140 + 40 * np.cos(y / 61)
    ], axis=-1)  # fmt: skip
    inside = (x > 700) & (x < 3300) & (y > 500) & (y < 2500)
    paper[inside] = print_[inside]
    paper *= (0.92 + 0.08 * x / WIDE)[:, :, None]
    for size, strength in (((HIGH, WIDE, 3), 3), ((HIGH, WIDE, 1), 8)):  # the JPEG has 4 MB, as a telephone's
        paper += chance.normal(0, strength, size).astype(np.float32)
    return Image.fromarray(np.clip(paper, 0, 255).astype(np.uint8))


def _look(path: Path, how: How) -> None:
    looked = look(path, how)
    if looked.fault is not None:
        raise looked.fault


def decode(path: Path) -> None:
    """All pixels, and nothing done with them."""
    with Image.open(path) as image:
        image.load()


def _copies(jpeg: Path, place: Path) -> list[Path]:
    """The photograph as many files that differ by a comment, so that none is passed over as a repeat."""
    content = jpeg.read_bytes()
    paths = []
    for number in range(MANY):
        words = f"number {number}".encode()
        path = place / f"cloth-{number:02d}.jpg"
        path.write_bytes(content[:2] + b"\xff\xfe" + (len(words) + 2).to_bytes(2, "big") + words + content[2:])
        paths.append(path)
    return paths


def _look_at_all(paths: list[Path]) -> None:
    looked = look_at_all(paths, How(), {}, processes=2)
    assert all(one.fault is None for one in looked)


def _decode_all(paths: list[Path]) -> None:
    with ProcessPoolExecutor(2, multiprocessing.get_context("spawn")) as pool:
        for _ in pool.map(decode, paths):
            pass
