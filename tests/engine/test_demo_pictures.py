"""The demo's photographs: every fabric has one, they are photographs as makers take them, and the script draws them."""

from __future__ import annotations

import importlib.util
import io
import sys
from pathlib import Path
from types import ModuleType

import colour
import numpy as np
import pillow_heif
import pytest
from PIL import Image

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
PICTURES = FIXTURES / "demo" / "pictures"


@pytest.fixture(scope="module")
def script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_swatches", FIXTURES / "make_swatches.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    before = list(sys.path)
    spec.loader.exec_module(module)
    sys.path[:] = before
    return module


def lab(codes: np.ndarray) -> np.ndarray:
    """L*a*b* of the mean light of sRGB codes (..., 3), by colour-science."""
    light = colour.models.eotf_sRGB(codes.reshape(-1, 3) / 255).mean(0)
    space = colour.RGB_COLOURSPACES["sRGB"]
    return colour.XYZ_to_Lab(space.matrix_RGB_to_XYZ @ light, space.whitepoint)


def test_every_fabric_has_its_photograph_and_there_are_no_others(script: ModuleType) -> None:
    rows = script.make_demo.STASH
    assert len({row.photo for row in rows}) == len(rows) == 60
    assert {path.name for path in PICTURES.iterdir()} == set(script.files())
    assert sorted(row.photo for row in rows if "#" in row.photo) == sorted(f"shelf-5.jpg#{n}" for n in range(1, 13))
    assert sum(path.stat().st_size for path in PICTURES.iterdir()) < 1_200_000


def test_the_paper_is_neither_clipped_nor_as_bright_as_it_is(script: ModuleType) -> None:
    """A camera's exposure puts white paper well under its own L* of 95 (Y 0.88); a clipped paper tells nothing."""
    for name in script.files():
        if name.endswith(".heic") or script.make_demo.BY_PHOTO[name][0].place == "parcel":
            continue
        with Image.open(PICTURES / name) as image:
            codes = np.asarray(image, dtype=float)
        edge = np.concatenate([codes[:20].reshape(-1, 3), codes[-20:].reshape(-1, 3)])
        assert 72 < lab(edge)[0] < 86, name
        assert (codes.max(-1) >= 250).mean() < 0.0005, name


def test_parcel_pictures_are_cloth_to_the_edge_in_the_fabrics_own_light(script: ModuleType) -> None:
    rows = [row for row in script.make_demo.STASH if row.place == "parcel"]
    assert len(rows) == 4
    for row in rows:
        with Image.open(PICTURES / row.photo) as image:
            codes = np.asarray(image, dtype=float)
        assert colour.delta_E(lab(codes), np.array(row.lab, dtype=float), method="CIE 2000") < 1.2, row.name


def test_the_telephones_picture_is_turned_is_in_p3_and_tells_where_it_was_taken() -> None:
    pillow_heif.register_heif_opener()
    with Image.open(PICTURES / "IMG_0417.heic") as image:
        assert image.size == (900, 1200)
        assert image.info["original_orientation"] == 6
        assert image.info["nclx_profile"]["color_primaries"] == 12  # SMPTE EG 432-1, in ITU-T H.273 table 2
        assert image.getexif().get_ifd(0x8825)[2]  # GPSLatitude: what must not come into a stash


def test_the_script_draws_the_same_again_and_tells_what_is_stale(
    script: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert script.main(["--check", "rosehip.jpg", "windfall.jpg"]) == 0
    monkeypatch.setattr(script, "PICTURES", tmp_path)
    assert script.main(["soot.jpg"]) == 0
    (tmp_path / "toast.jpg").write_bytes((tmp_path / "soot.jpg").read_bytes())
    assert script.main(["--check", "soot.jpg", "toast.jpg", "fir.jpg"]) == 1
    said = capsys.readouterr().out.splitlines()
    assert said == [f"{name} is not what make_swatches.py draws" for name in ("toast.jpg", "fir.jpg")]


def test_two_writers_of_one_picture_are_told_from_two_pictures(script: ModuleType) -> None:
    first = (PICTURES / "fern.jpg").read_bytes()
    again, dimmer = io.BytesIO(), io.BytesIO()
    with Image.open(io.BytesIO(first)) as image:
        image.save(again, "JPEG", quality=90)
        image.point(lambda code: max(0, code - 4)).save(dimmer, "JPEG", quality=90)
    assert script.same(first, again.getvalue())
    assert not script.same(first, dimmer.getvalue())
