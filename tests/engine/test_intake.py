"""A photograph on its way into a stash: which files, how it is measured, what is kept of it, faults."""

from __future__ import annotations

import pickle
from pathlib import Path

import colour as colour_science
import numpy as np
import pytest
from PIL import Image

from stash.errors import Fault, UsageFault
from stash.intake import How, look, photo_files
from stash.intake.files import file_hash
from stash.model import Reference
from tests.engine.drawn import flat, grey, on_paper, sheet

# --- which files


def test_files_of_a_folder_in_the_order_people_count(tmp_path: Path) -> None:
    for name in ("img10.jpg", "img2.JPG", "img1.heic", ".hidden.jpg", "notes.txt", "Img3.png"):
        (tmp_path / name).touch()
    (tmp_path / "more.jpg").mkdir()
    assert [one.name for one in photo_files([tmp_path])] == ["img1.heic", "img2.JPG", "Img3.png", "img10.jpg"]


def test_a_file_named_is_taken_as_it_is_and_once(tmp_path: Path) -> None:
    for name in ("b.jpg", "a.jpg", "cloth.dat"):
        (tmp_path / name).touch()
    named = [tmp_path / "cloth.dat", tmp_path / "b.jpg", tmp_path]
    assert [one.name for one in photo_files(named)] == ["cloth.dat", "b.jpg", "a.jpg"]


def test_paths_that_give_no_photographs_are_faults(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").touch()
    for path in (tmp_path / "nothere.jpg", tmp_path, Path("a\0b"), tmp_path / "notes.txt" / "a.jpg"):
        with pytest.raises(Fault):
            photo_files([path])


def test_the_hash_is_sha256(tmp_path: Path) -> None:
    """The example of FIPS 180-4 (its published test value for the message "abc")."""
    (tmp_path / "abc").write_bytes(b"abc")
    assert file_hash(tmp_path / "abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert file_hash(tmp_path / "nothere") == file_hash(tmp_path) == ""


# --- how they are measured


BOX = (10, 10, 60, 60)


@pytest.mark.parametrize(
    "asked",
    [
        {"white": BOX, "grey": BOX},
        {"white": BOX, "on_paper": True},
        {"grey": BOX, "sheet": True},
        {"on_paper": True, "sheet": True},
        {"box": BOX, "sheet": True},
        {"reflectance": 0.9},
    ],
)
def test_what_does_not_go_together_is_refused(asked: dict[str, object]) -> None:
    with pytest.raises(UsageFault):
        How(**asked)  # type: ignore[arg-type]


# --- one photograph


@pytest.mark.parametrize("code", ["#777777", "#b64b67", "#1d3a5f", "#f4e9c8"])
def test_a_flat_picture_is_its_colour(tmp_path: Path, code: str) -> None:
    """colour-science is the reference; its D65 is rounded otherwise, which moves a* and b* by 0.03 at most."""
    looked = look(flat(tmp_path / "a.png", code), How())
    (swatch,) = looked.swatches
    rgb = np.array([int(code[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    lab = colour_science.XYZ_to_Lab(colour_science.sRGB_to_XYZ(rgb))
    found = swatch.measured.colour
    assert (found.L, found.a, found.b) == pytest.approx(tuple(lab), abs=0.06)
    assert (swatch.measured.relative, found.source) == (True, "relative")
    assert (swatch.measured.box, looked.size) == ((0, 0, 120, 90), (120, 90))


def test_a_photograph_becomes_what_the_stash_keeps(tmp_path: Path) -> None:
    path = on_paper(tmp_path / "moss.jpg", "#677239")
    looked = look(path, How(on_paper=True), preview=True)
    (swatch,) = looked.swatches
    assert (swatch.photo, swatch.file_hash) == ("moss.jpg", file_hash(path))
    assert swatch.measured.reference is Reference.PAPER
    assert swatch.measured.colour.source == "measured"
    for data, most in ((swatch.picture, 1000), (swatch.thumbnail, 128), (looked.preview, 1000)):
        (tmp_path / "kept.jpg").write_bytes(data)
        with Image.open(tmp_path / "kept.jpg") as image:
            assert (image.format, max(image.size) <= most) == ("JPEG", True)
    x, y, wide, high = swatch.measured.box
    assert x >= 90
    assert y >= 90
    assert x + wide <= 310
    assert y + high <= 310


@pytest.mark.parametrize("content", [b"", b"this is no picture", b"\xff\xd8\xff\xe0half of one"])
def test_a_bad_photograph_is_a_fault_that_names_it(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "bad.jpg").write_bytes(content)
    looked = look(tmp_path / "bad.jpg", How())
    assert looked.fault is not None
    assert not looked.swatches
    assert "bad.jpg" in looked.fault.line()
    sent = pickle.loads(pickle.dumps(looked))
    assert (sent.fault.line(), type(sent.fault)) == (looked.fault.line(), type(looked.fault))


def test_a_stumble_of_our_own_is_a_fault_with_a_trace(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stumble(*_: object) -> None:
        raise KeyError("tile")

    monkeypatch.setattr("stash.colour.keep.kept", stumble)
    looked = look(flat(tmp_path / "a.png", "#777777"), How())
    assert looked.fault is not None
    assert "KeyError" in looked.fault.line()
    assert "stumble" in looked.trace


def test_a_sheet_gives_its_swatches_in_order(tmp_path: Path) -> None:
    greys = [grey(code) for code in (40, 130, 70, 160, 100, 55)]
    looked = look(sheet(tmp_path / "sheet.png", greys, across=3), How(sheet=True))
    assert len(looked.swatches) == 6
    values = [swatch.measured.colour.L for swatch in looked.swatches]
    assert sorted(range(6), key=values.__getitem__) == [0, 5, 2, 4, 1, 3]
    corners = [swatch.measured.box[:2] for swatch in looked.swatches]
    assert [(round((x - 60) / 200), round((y - 60) / 200)) for x, y in corners] == [
        (0, 0), (1, 0), (2, 0), (0, 1), (1, 1), (2, 1),
    ]  # fmt: skip
