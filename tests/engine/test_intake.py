"""Photographs on their way into a stash: which files, one and many on all cores, repeats, faults, stopping, names."""

from __future__ import annotations

import os
import pickle
import shutil
import uuid
from multiprocessing import active_children
from pathlib import Path

import colour as colour_science
import numpy as np
import pytest
from PIL import Image

from stash.errors import Fault, UsageFault
from stash.intake import How, Looked, look, look_at_all, name_for, photo_files
from stash.intake.files import file_hash
from stash.intake.naming import named_by_camera, tidied
from stash.model import Colour, Reference
from tests.engine.breaking import BREAKS, breaking_look
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


# --- many


def batch(folder: Path, count: int) -> list[Path]:
    return [flat(folder / f"cloth{i}.png", grey(40 + 10 * i)) for i in range(count)]


class Watched:
    """A progress that remembers, and asks to stop after `most` photographs."""

    def __init__(self, most: int = 1000) -> None:
        self.most = most
        self.seen: list[tuple[int, int, Looked]] = []

    def __call__(self, done: int, of: int, looked: Looked) -> None:
        self.seen.append((done, of, looked))

    def stopped(self) -> bool:
        return len(self.seen) >= self.most


@pytest.mark.parametrize("processes", [1, 2])
def test_answers_come_in_order_and_each_is_told(tmp_path: Path, processes: int) -> None:
    paths = batch(tmp_path, 7)
    watched = Watched()
    answers = look_at_all(paths, How(), {}, progress=watched, processes=processes)
    assert [one.path for one in answers] == paths
    assert [(done, of) for done, of, _ in watched.seen] == [(i, 7) for i in range(1, 8)]
    values = [one.swatches[0].measured.colour.L for one in answers]
    assert values == sorted(values)
    assert answers == [look(path, How()) for path in paths]


def test_few_photographs_start_no_process(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("stash.intake.batch.ProcessPoolExecutor", None)
    assert len(look_at_all(batch(tmp_path, 3), How(), {}, processes=2)) == 3


def test_two_processes_work_at_once(tmp_path: Path) -> None:
    alive = []
    found = look_at_all(
        batch(tmp_path, 6), How(), {}, processes=2, progress=lambda *_: alive.append(len(active_children()))
    )
    assert len(found) == 6
    assert max(alive) == 2


def test_as_many_processes_as_cores_and_four_at_most(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []

    class Counted(Exception):
        pass

    def pool(workers: int, *_: object) -> None:
        asked.append(workers)
        raise Counted

    monkeypatch.setattr("stash.intake.batch.ProcessPoolExecutor", pool)
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: set(range(2)), raising=False)
    with pytest.raises(Counted):
        look_at_all(batch(tmp_path, 4), How(), {})
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: set(range(64)), raising=False)
    with pytest.raises(Counted):
        look_at_all(batch(tmp_path, 8), How(), {})
    assert asked == [2, 4]


def test_where_no_process_can_be_started_it_is_done_here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: object) -> None:
        raise OSError(38, "Function not implemented")

    monkeypatch.setattr("stash.intake.batch.ProcessPoolExecutor", refused)
    assert len(look_at_all(batch(tmp_path, 5), How(), {}, processes=2)) == 5


@pytest.mark.parametrize("processes", [1, 2])
def test_repeats_are_passed_over_unread(tmp_path: Path, processes: int) -> None:
    paths = batch(tmp_path, 4)
    for name, of in (("again.png", paths[1]), ("and-again.png", paths[1])):
        paths.append(Path(shutil.copy(of, tmp_path / name)))
    (tmp_path / "known.jpg").write_bytes(b"measured before, and no picture now")
    paths.insert(0, tmp_path / "known.jpg")
    answers = look_at_all(paths, How(), {file_hash(paths[0]): "Moss"}, processes=processes)
    assert [one.repeat_of for one in answers] == ["Moss", "", "", "", "", "", ""]
    assert [one.same_as for one in answers] == [None, None, None, None, None, paths[2], paths[2]]
    assert [len(one.swatches) for one in answers] == [0, 1, 1, 1, 1, 0, 0]
    assert all(one.fault is None for one in answers)


@pytest.mark.parametrize("processes", [1, 2])
def test_bad_ones_do_not_keep_good_ones_back(tmp_path: Path, processes: int) -> None:
    paths = batch(tmp_path, 4)
    for name in ("bad.jpg", "same-bad.jpg"):
        (tmp_path / name).write_bytes(b"no picture")
        paths.insert(1, tmp_path / name)
    paths.append(tmp_path / "nothere.jpg")
    answers = look_at_all(paths, How(), {}, processes=processes)
    assert [one.path for one in answers] == paths
    faults = {one.path.name: one.fault.line() for one in answers if one.fault is not None}
    assert list(faults) == ["same-bad.jpg", "bad.jpg", "nothere.jpg"]
    assert all(name in line for name, line in faults.items())


@pytest.mark.parametrize("processes", [1, 2])
def test_stopped_it_gives_what_is_done(tmp_path: Path, processes: int) -> None:
    paths = batch(tmp_path, 16)
    watched = Watched(most=3)
    answers = look_at_all(paths, How(), {}, progress=watched, stopped=watched.stopped, processes=processes)
    assert 3 <= len(answers) <= 3 + processes + 1  # besides what was in hand nothing is begun
    assert [one.path for one in answers] == [path for path in paths if path in {one.path for one in answers}]
    assert len(watched.seen) == len(answers)
    assert look_at_all(paths, How(), {}, stopped=lambda: True, processes=processes) == []


def test_a_process_that_breaks_down_takes_only_its_own_photograph(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("stash.intake.batch.look", breaking_look)
    paths = batch(tmp_path, 6)
    paths[2].write_bytes(BREAKS)
    answers = look_at_all(paths, How(), {}, processes=2)
    assert [one.path for one in answers] == paths
    assert [i for i, one in enumerate(answers) if one.fault is not None] == [2]
    assert [len(one.swatches) for one in answers] == [1, 1, 0, 1, 1, 1]


# --- names


@pytest.mark.parametrize(
    "stem",
    [
        # DCF (JEITA CP-3461): four free characters and a number from 0001 to 9999
        "IMG_1234", "DSC01234", "_DSC1234", "DSCN0042", "P1010001", "ABCD0001",
        # telephones, programs and letters from others, as files are called there (common practice, no source)
        "PXL_20260101_123456789.PORTRAIT", "20260101_123456", "IMG_20260101_123456_HDR", "IMG-20260101-WA0001",
        "photo (3)", "image0001", "Screenshot 2026-01-01 at 12.34.56", "scan 7", "IMG_E1234", "IMG_1234~2",
        "IMG_1234 (1)", "IMG_1234-edited", "100_0042", "42", "some Image 2026-01-01 at 12.34.56 (1)", "untitled",
        str(uuid.UUID(int=0x550E8400E29B41D4A716446655440000)), "9f86d081884c7d659a2feaa0c55ad015",
    ],
)  # fmt: skip
def test_names_that_cameras_give_say_nothing(stem: str) -> None:
    assert named_by_camera(stem)
    assert name_for(Path(f"{stem}.jpg"), Colour(62, 18, 2), []) == "dusty pink 1"


@pytest.mark.parametrize(
    ("stem", "name"),
    [
        ("hedge-rose_2", "Hedge rose 2"), ("Rosehip", "Rosehip"), ("rote-Äpfel", "Rote Äpfel"), ("藍 3", "藍 3"),
        ("night sky", "Night sky"), ("batik_2026-01-05", "Batik 2026 01 05"), ("cover", "Cover"), ("é", "É"),
        ("photo of moss", "Photo of moss"), ("a\x1b[2Jb moss", "A [2Jb moss"), ("B&W check", "B&W check"),
    ],
)  # fmt: skip
def test_names_that_people_give_are_kept(stem: str, name: str) -> None:
    assert name_for(Path(f"{stem}.jpg"), Colour(50, 0, 0), []) == name


def test_a_name_is_never_one_that_is_taken() -> None:
    green, path = Colour(30, -20, 15), Path("IMG_0001.jpg")
    taken: list[str] = []
    for _ in range(3):
        taken.append(name_for(path, green, taken))
    assert taken == ["dark green 1", "dark green 2", "dark green 3"]
    assert name_for(path, green, ["DARK GREEN 1 "]) == "dark green 2"
    assert name_for(Path("moss.jpg"), green, ["Moss", "MOSS 2"]) == "Moss 3"
    assert name_for(Path("moss-2.jpg"), green, ["Moss 2"]) == "Moss 3"


def test_swatches_of_a_sheet_are_numbered() -> None:
    red = Colour(45, 55, 30)
    assert [name_for(Path("reds.jpg"), red, [], i) for i in (1, 2)] == ["Reds 1", "Reds 2"]
    assert name_for(Path("reds.jpg"), red, ["reds 2"], 2) == "Reds 2 2"
    assert name_for(Path("IMG_0001.jpg"), red, ["bright red 1"], 7) == "bright red 2"


def test_a_tidy_name_is_short_and_can_be_stored() -> None:
    assert tidied("x" * 300) == "X" + "x" * 79
    assert tidied("  two \t words ") == "Two words"
    assert named_by_camera("___")
