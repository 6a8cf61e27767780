"""Files of photographs that are none, too large or damaged: each ends in one plain line, and nothing else gets out."""

from __future__ import annotations

import os
import random
import struct
import subprocess
import sys
import warnings
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from stash.colour.photo import PhotoFault, open_photo
from stash.errors import Fault
from tests.engine.pictures import SIZE, encoded, noise, samples, scene, written


def refused(path: Path) -> str:
    """The fault's line, made sure that it is one and says where and what to do."""
    with pytest.raises(PhotoFault) as caught:
        open_photo(path)
    fault = caught.value
    assert isinstance(fault, Fault)
    assert fault.what
    assert fault.where
    assert fault.do
    assert "\n" not in fault.line()
    return fault.line()


@pytest.mark.parametrize("kind", samples())
def test_a_cut_file_is_refused(tmp_path: Path, kind: str) -> None:
    data = samples()[kind]
    refused(written(tmp_path / "cut", data[: len(data) // 50]))
    # of two pictures in a file the first is whole in its first half, and it is the one taken
    for part in (0.1, 0.3) if kind == "mpo" else (0.1, 0.3, 0.5, 0.9):
        assert "cut off" in refused(written(tmp_path / "cut", data[: int(len(data) * part)]))


def test_a_telephone_s_heic_cut_in_half_is_refused(tmp_path: Path) -> None:
    """Such files are tiled, and open without a fault when tiles are missing."""
    tiled = encoded(noise((300, 200)), "HEIF", grid_tile_size=128)
    assert open_photo(written(tmp_path / "whole.heic", tiled)).width == 300
    for part in (0.5, 0.75, 0.99):
        assert "cut off" in refused(written(tmp_path / "half.heic", tiled[: int(len(tiled) * part)]))
    assert "cut off" in refused(written(tmp_path / "half.heic", tiled[:-1]))


@pytest.mark.parametrize("size", [(15_000, 8_001), (15_000, 12_000), (30_000, 30_000)])
def test_a_picture_of_too_many_pixels_is_refused_before_it_is_decoded(tmp_path: Path, size: tuple[int, int]) -> None:
    data = bytearray(encoded(Image.new("1", SIZE), "PNG"))
    data[16:24] = struct.pack(">II", *size)  # the header says the size (PNG, 11.2.2), and there is nothing behind it
    data[29:33] = struct.pack(">I", zlib.crc32(data[12:29]))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert "too many" in refused(written(tmp_path / "huge.png", bytes(data)))


def test_pixels_up_to_the_limit_are_let_through(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = written(tmp_path / "a.webp", encoded(scene(), "WEBP"))
    monkeypatch.setattr("stash.colour.photo.MOST_PIXELS", SIZE[0] * SIZE[1])
    assert open_photo(path).width == SIZE[0]
    monkeypatch.setattr("stash.colour.photo.MOST_PIXELS", SIZE[0] * SIZE[1] - 1)
    assert "too many" in refused(path)


def test_a_file_of_too_many_bytes_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = written(tmp_path / "a.png", encoded(scene(), "PNG"))
    monkeypatch.setattr("stash.colour.photo.MOST_BYTES", path.stat().st_size)
    assert open_photo(path).width == SIZE[0]
    monkeypatch.setattr("stash.colour.photo.MOST_BYTES", path.stat().st_size - 1)
    assert "over" in refused(path)


def test_files_that_are_no_photographs(tmp_path: Path) -> None:
    assert "there is no such file" in refused(tmp_path / "none.jpg")
    assert "empty" in refused(written(tmp_path / "empty.jpg", b""))
    assert "no photograph" in refused(written(tmp_path / "text.jpg", b"just a few words\n" * 40))
    assert "no photograph" in refused(written(tmp_path / "drawing.jpg", b"%!PS-Adobe-3.0 EPSF-3.0\nshowpage\n"))
    assert "folder" in refused(tmp_path)
    assert "no path" in refused(tmp_path / "a\0b.jpg")
    assert "cannot be read" in refused(tmp_path / ("a" * 300))


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="the system has no pipes with names")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.jpg")
    assert "ordinary file" in refused(tmp_path / "pipe.jpg")


@pytest.mark.parametrize("form", ["PNG", "WEBP"])
def test_wholly_transparent_pictures_are_refused(tmp_path: Path, form: str) -> None:
    data = encoded(Image.new("RGBA", (9, 9), (200, 10, 10, 0)), form)
    assert "transparent" in refused(written(tmp_path / "clear", data))


@pytest.mark.parametrize("error", [MemoryError(), KeyError("x"), SyntaxError("x"), EOFError(), ZeroDivisionError()])
def test_whatever_a_decoder_throws_is_a_fault(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    def load(self: Image.Image) -> None:
        raise error

    monkeypatch.setattr("PIL.PngImagePlugin.PngImageFile.load", load)
    refused(written(tmp_path / "a.png", encoded(scene(), "PNG")))


def test_damaged_files_are_read_or_refused_and_nothing_else(tmp_path: Path) -> None:
    rng, files = random.Random(11), list(samples().values())
    ends = set()
    for case in range(300):
        data = bytearray(files[case % len(files)])
        for _ in range(rng.choice((1, 3, 12))):
            data[rng.randrange(min(len(data), rng.choice((80, 400, 10_000))))] = rng.randrange(256)
        path = written(tmp_path / "damaged", bytes(data[: rng.choice((len(data), rng.randrange(1, len(data))))]))
        try:
            photo = open_photo(path)
        except PhotoFault as fault:
            ends.add(fault.what)
        else:
            ends.add(photo.image.mode)
    assert "RGB" in ends
    assert len(ends) > 2


def test_damaged_tiffs_write_nothing_to_the_terminal(tmp_path: Path) -> None:
    """libtiff would, past Python; so a process of its own is looked at."""
    data = bytearray(encoded(noise(), "TIFF", compression="tiff_adobe_deflate"))
    data[40:60] = bytes(20)
    path = written(tmp_path / "damaged.tif", bytes(data))
    program = (
        "import sys; from stash.colour.photo import PhotoFault, open_photo\n"
        "try: open_photo(sys.argv[1])\nexcept PhotoFault: print('refused')\n"
    )
    said = subprocess.run([sys.executable, "-c", program, str(path)], capture_output=True, text=True, check=True)
    assert (said.stdout, said.stderr) == ("refused\n", "")


def test_limits_of_other_users_of_pillow_do_not_matter(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", 100)
    open_photo(written(tmp_path / "a.png", encoded(scene(), "PNG")))


def test_floats_without_a_number_are_refused(tmp_path: Path) -> None:
    image = Image.fromarray(np.full((3, 3), np.nan, dtype=np.float32))
    assert "transparent" in refused(written(tmp_path / "a.tif", encoded(image, "TIFF")))
