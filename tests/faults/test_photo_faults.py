"""Faults of photographs, one test a number: refused plainly or made ordinary; and what is left of damaged ones."""

from __future__ import annotations

import io
import struct
import sys
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from PIL import Image

from stash.colour import photo
from stash.inventory.store import Store
from tests.engine.pictures import GPS, encoded, noise, scene, with_exif
from tests.engine.stashes import full, raw, wrong
from tests.faults.telling import done, file, is_plain, refused

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine


def bomb() -> bytes:
    """A PNG of a few bytes whose header says 30,000 x 30,000 (PNG specification, 11.2.2)."""
    data = bytearray(encoded(Image.new("1", (8, 8)), "PNG"))
    data[16:24] = struct.pack(">II", 30_000, 30_000)
    data[29:33] = struct.pack(">I", zlib.crc32(data[12:29]))
    return bytes(data)


def cut(form: str) -> bytes:
    data = encoded(noise((200, 150)), form)
    return data[: len(data) // 2]


BAD: list[tuple[str, Callable[[], bytes], str]] = [
    ("text.jpg", lambda: b"just a few words\n" * 99, "this is no photograph"),
    ("nothing.jpg", lambda: b"", "this file is empty"),
    ("half.jpg", lambda: cut("JPEG"), "cut off or damaged"),
    ("half.png", lambda: cut("PNG"), "cut off or damaged"),
    ("half.webp", lambda: cut("WEBP"), "cut off or damaged"),
    ("half.tif", lambda: cut("TIFF"), "cut off or damaged"),
    ("half.heic", lambda: cut("HEIF"), "cut off or damaged"),
    ("bomb.png", bomb, "too many"),
    ("clear.png", lambda: encoded(Image.new("RGBA", (9, 9), (9, 9, 9, 0)), "PNG"), "transparent"),
    ("script.jpg", lambda: b"%!PS-Adobe-3.0 EPSF-3.0\nshowpage\n", "this is no photograph"),
    ("vector.jpg", lambda: b'<svg xmlns="http://www.w3.org/2000/svg"/>', "this is no photograph"),
]


@pytest.mark.parametrize(("name", "make", "said"), BAD, ids=[one[0] for one in BAD])
def test_58_photographs_that_are_none_or_broken(
    cli: CommandLine, name: str, make: Callable[[], bytes], said: str
) -> None:
    path = file(cli, make(), name)
    refused(cli, "add", "Xylo", "--photo", path, say=(said,))
    refused(cli, "edit", "Fern", "--photo", path, say=(said,))
    refused(cli, "add", "--photos", path, say=(said,))
    is_plain(cli("measure", path), said)
    sheet = file(cli, f"fabric,photo\nXylo,{name}\n")
    refused(cli, "import", sheet, say=("line 2, column 2 (photo)", said))


def as_jpeg(**how: object) -> Callable[[Image.Image], bytes]:
    return lambda image: encoded(image, "JPEG", quality=95, **how)


def animated(image: Image.Image) -> bytes:
    return encoded(image, "GIF", save_all=True, append_images=[Image.new("RGB", image.size)])


def deep(image: Image.Image) -> bytes:
    return encoded(Image.fromarray(np.asarray(image.convert("L")).astype(np.uint16) * 257), "PNG")


MADE_ORDINARY: list[tuple[str, tuple[int, int], Callable[[Image.Image], bytes]]] = [
    ("panorama.jpg", (20_000, 120), as_jpeg()),
    ("moving.gif", (60, 40), animated),
    ("inks.jpg", (60, 40), lambda image: encoded(image.convert("CMYK"), "JPEG")),
    ("deep.png", (60, 40), deep),
    ("turned.jpg", (60, 40), as_jpeg(exif=with_exif(6))),
    ("place.jpg", (60, 40), as_jpeg(exif=with_exif(1))),
    ("telephone.heic", (60, 40), lambda image: encoded(image, "HEIF", exif=with_exif(1))),
]


@pytest.mark.parametrize(("name", "size", "make"), MADE_ORDINARY, ids=[one[0] for one in MADE_ORDINARY])
def test_58_unusual_photographs_are_made_ordinary(
    cli: CommandLine, name: str, size: tuple[int, int], make: Callable[[Image.Image], bytes]
) -> None:
    """What is kept is upright JPEG of at most 1,000 px, with nothing of where and with what it was taken."""
    path = file(cli, make(scene(size)), name)
    done(cli, "add", "Xylo", "--photo", path)
    with Store.open(cli.path) as store:
        kept = store.picture(store.fabric("Xylo").id)
    assert kept is not None
    with Image.open(io.BytesIO(kept)) as picture:
        assert (picture.format, picture.mode) == ("JPEG", "RGB")
        assert max(picture.size) <= 1000
        assert not picture.getexif()
        assert not picture.getexif().get_ifd(GPS)
        upright = size[::-1] if name == "turned.jpg" else size
        assert picture.width / picture.height == pytest.approx(upright[0] / upright[1], rel=0.2)
    whole = cli.path.read_bytes()
    assert b"maker of the camera" not in whole
    assert b"Exif\0" not in whole


def test_58_heic_without_its_reader_is_told_and_others_go_on(cli: CommandLine, monkeypatch: pytest.MonkeyPatch) -> None:
    heic, jpeg = file(cli, encoded(scene(), "HEIF"), "a.heic"), file(cli, encoded(scene(), "JPEG"), "a.jpg")
    photo._reads_heif.cache_clear()
    monkeypatch.setitem(sys.modules, "pillow_heif", None)
    try:
        refused(cli, "add", "Xylo", "--photo", heic, say=("pillow-heif", "save the photograph as JPEG"))
        assert cli("measure", jpeg).code == 0
    finally:
        monkeypatch.undo()
        photo._reads_heif.cache_clear()
    assert cli("measure", heic).code == 0


def another_program(path: Path, *acts: str) -> None:
    """Change rows as no program of ours can: guards and foreign keys off."""
    with raw(path) as conn:
        conn.execute("PRAGMA foreign_keys = OFF")
        for name in ("picture_no_update", "thumbnail_no_update"):
            conn.execute(f"DROP TRIGGER {name}")
        for act in acts:
            conn.execute(act)


DAMAGE = [
    ("a row without data", ("DELETE FROM picture WHERE id = 1",), "that is not there"),
    ("no thumbnail", ("DELETE FROM thumbnail WHERE id = 1",), "its small picture is missing"),
    ("another data", ("UPDATE picture SET data = (SELECT data FROM picture WHERE id = 2) WHERE id = 1",), "not as it"),
    ("no picture", ("UPDATE picture SET data = x'00' WHERE id = 1",), "not as it was stored"),
    ("half a picture", ("UPDATE picture SET data = substr(data, 1, length(data) / 2) WHERE id = 1",), "not as it"),
    ("a wrong hash", (f"UPDATE picture SET hash = '{'0' * 64}' WHERE id = 1",), "not as it was stored"),
    ("half a thumbnail", ("UPDATE thumbnail SET data = substr(data, 2) WHERE id = 1",), "no JPEG"),
]


@pytest.mark.parametrize(("acts", "said"), [one[1:] for one in DAMAGE], ids=[one[0] for one in DAMAGE])
def test_59_a_photograph_without_data_or_with_another_s(cli: CommandLine, acts: tuple[str, ...], said: str) -> None:
    """It is listed, and nothing crashes: lists, checks, pictures and exports go on with what is there."""
    another_program(cli.path, *acts)
    with Store.open(cli.path) as store:
        told = wrong(store)
    assert any(said in one for one in told), told
    looked = cli("verify")
    assert looked.code == 1
    assert said in looked.out + looked.err
    out = cli.path.parent
    for number, words in enumerate((
        ("list",), ("sheet", "--star", "Mill Pond", "--out", out / "a.png", "--pixels", "300"),
        ("export", out / "a.csv"), ("export", out / "a.json"),
        ("edit", "Elderflower", "--place", "box"), ("used", "Elderflower", "1 in"), ("undo",), ("history",),
    )):  # fmt: skip
        said_of = cli(*words)
        assert said_of.code in (0, 1, 3), (number, said_of)
        assert "stumbled" not in said_of.err, (number, said_of)
    is_plain(cli.bare("--db", out / "new.db", "import", out / "a.json"))
    assert not (out / "new.db").exists()


def test_59_a_whole_stash_has_none_of_it(store: Store) -> None:
    full(store)
    assert wrong(store) == []
