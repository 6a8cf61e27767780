"""The demo's photographs: every fabric has one, they are photographs as makers take them, and the script draws them."""

from __future__ import annotations

import io
import shutil
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import colour
import numpy as np
import pillow_heif
import pytest
from PIL import Image

from stash.colour.lab import delta_e_2000
from stash.inventory.store import Store
from stash.model import Reference
from tests.engine.scripts import FIXTURES, script_named

PICTURES = FIXTURES / "demo" / "pictures"


@pytest.fixture(scope="module")
def script() -> ModuleType:
    return script_named("make_swatches")


@pytest.fixture(scope="module")
def demo_stash(demo_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with Store.open(Path(shutil.copy(demo_file, tmp_path_factory.mktemp("pictures")))) as store:
        yield store


def lab(codes: np.ndarray) -> np.ndarray:
    """L*a*b* of the mean light of sRGB codes (..., 3), by colour-science."""
    light = colour.models.eotf_sRGB(codes.reshape(-1, 3) / 255).mean(0)
    space = colour.RGB_COLOURSPACES["sRGB"]
    return colour.XYZ_to_Lab(space.matrix_RGB_to_XYZ @ light, space.whitepoint)


def test_every_fabric_has_its_photograph_and_there_are_no_others(script: ModuleType) -> None:
    rows = script.make_demo.STASH
    assert len({row.photo for row in rows}) == len(rows) == 60
    assert {path.relative_to(PICTURES).as_posix() for path in PICTURES.rglob("*.*")} == set(script.files())
    assert sorted(row.photo for row in rows if "#" in row.photo) == sorted(f"shelf-5.jpg#{n}" for n in range(1, 13))
    assert sum(path.stat().st_size for path in PICTURES.rglob("*.*")) < 1_200_000


def test_the_paper_is_neither_clipped_nor_as_bright_as_it_is(script: ModuleType) -> None:
    """A camera's exposure puts white paper (L* 95 by its Y of 0.88) and a grey sheet (L* 71) well under that; paper
    that is clipped tells nothing."""
    for name in script.files():
        row = script.make_demo.BY_PHOTO[name][0]
        if name.endswith(".heic") or row.place == "parcel":
            continue
        with Image.open(PICTURES / name) as image:
            codes = np.asarray(image, dtype=float)
        edge = np.concatenate([codes[:20].reshape(-1, 3), codes[-20:].reshape(-1, 3)])
        least, most = (50, 66) if row.grey_sheet else (72, 86)
        assert least < lab(edge)[0] < most, name
        assert (codes.max(-1) >= 250).mean() < 0.002, name


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


def intended(script: ModuleType) -> dict[str, np.ndarray]:
    return {row.name: np.array(row.lab, dtype=float) for row in script.make_demo.STASH}


def test_measured_colours_are_those_the_photographs_were_drawn_in(script: ModuleType, demo_stash: Store) -> None:
    """The whole way round: the colour as light, printed cloth, uneven warm light, camera, JPEG, and back."""
    measured = {one.name: one.measured for one in demo_stash.fabrics()}
    apart = {
        name: colour.delta_E(lab, np.array([measured[name].L, measured[name].a, measured[name].b]), method="CIE 2000")
        for name, lab in intended(script).items()
    }
    worst = max(apart, key=lambda name: apart[name])
    assert apart[worst] < 2, worst
    assert np.mean(list(apart.values())) < 0.6


def test_what_was_measured_is_what_measuring_says_now(script: ModuleType, demo_stash: Store) -> None:
    """When this fails, measuring has changed: run fixtures/make_demo.py --measure."""
    from swatches.measuring import seen

    for name in ("rhubarb.jpg", "on-grey/whey.jpg", "kingfisher.jpg", "shelf-5.jpg", "IMG_0417.heic"):
        rows = script.make_demo.BY_PHOTO[name]
        for row, swatch in zip(rows, seen(PICTURES / name, rows), strict=True):
            now, then = swatch.measured, demo_stash.fabric(row.name).swatch
            assert then is not None
            assert now.reference is then.reference, row.name
            assert max(abs(a - b) for a, b in zip(now.box, then.box, strict=True)) <= 10, row.name
            assert delta_e_2000(now.colour, [then.colour])[0] < 0.5, row.name
            assert abs(now.variety - then.variety) < 1.5, row.name


def test_fabrics_from_the_post_are_relative_and_all_others_measured(demo_stash: Store) -> None:
    for one in demo_stash.fabrics():
        assert one.swatch is not None
        assert one.swatch.reference is (Reference.NONE if one.place == "parcel" else Reference.PAPER), one.name
        assert one.measured is not None
        assert one.measured.source == ("relative" if one.place == "parcel" else "measured"), one.name


def test_solids_prints_and_a_busy_check_are_told_apart(demo_stash: Store) -> None:
    """Under 3 solid, to 8 reads as solid, to 15 print, above busy: what the cloth is drawn as decides."""
    busy = {one.name: one.swatch.variety for one in demo_stash.fabrics() if one.swatch is not None}
    assert max(busy[name] for name in ("Soot", "Flax", "Oat Milk", "Dusk", "Cloudbank", "Peat Smoke")) < 3
    assert 3 < busy["Hazelnut"] < 8
    assert all(8 < busy[name] < 15 for name in ("Rosehip", "Clover", "Honeycomb", "Moss", "Windfall"))
    assert busy["Cornflower"] > 15


def test_the_pictures_in_the_stash_tell_nothing_but_what_they_show(demo_stash: Store) -> None:
    for one in demo_stash.fabrics():
        for data, most in ((demo_stash.picture(one.id), 1000), (demo_stash.thumbnail(one.id), 128)):
            assert data is not None
            with Image.open(io.BytesIO(data)) as image:
                assert (image.format, image.mode) == ("JPEG", "RGB"), one.name
                assert max(image.size) <= most, one.name
                assert not image.getexif(), one.name
                assert not {"exif", "icc_profile", "xmp", "comment"} & set(image.info), one.name


def test_all_fabrics_with_their_photographs_are_one_entry_of_the_history(demo_stash: Store) -> None:
    kinds = [entry.kind for entry in demo_stash.history()]
    assert kinds.count("import") == 1
    assert not {"photo", "swatch", "edit"} & set(kinds)
