"""What a fabric is called after its photograph: what people named is kept, what cameras named is not."""

from __future__ import annotations

import uuid
from pathlib import Path

import pytest

from stash.intake import name_for
from stash.intake.naming import named_by_camera, tidied
from stash.model import Colour


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
