"""The README's printed pages and stars are what is drawn today. When this fails: python fixtures/make_gallery.py"""

from __future__ import annotations

import re
from io import BytesIO
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from PIL import Image, PngImagePlugin

from stash.inventory.store import Store
from tests.engine.scripts import script_named

ROOT = Path(__file__).resolve().parents[2]
PICTURES = ROOT / "fixtures" / "pictures"


@pytest.fixture(scope="module")
def script() -> ModuleType:
    return script_named("make_gallery")


def test_the_pictures_are_those_drawn_now_and_there_are_no_others(script: ModuleType, demo_file: Path) -> None:
    with Store.open(demo_file) as store:
        drawn = dict(script.drawn(store))
    assert {path.name for path in PICTURES.glob("*.png")} == set(drawn)
    stale = [name for name, data in drawn.items() if not script.same((PICTURES / name).read_bytes(), data)]
    assert stale == [], "run fixtures/make_gallery.py"


def test_they_are_small_and_the_readme_shows_each() -> None:
    shown = re.findall(r"!\[.+?\]\(fixtures/pictures/(.+?\.png)\)", (ROOT / "README.md").read_text(encoding="utf-8"))
    assert sorted(shown) == sorted(path.name for path in PICTURES.glob("*.png"))
    assert max(path.stat().st_size for path in PICTURES.glob("*.png")) < 120_000


def written(picture: Image.Image, words: str) -> bytes:
    info, file = PngImagePlugin.PngInfo(), BytesIO()
    info.add_text("words", words)
    picture.save(file, "PNG", pnginfo=info)
    return file.getvalue()


def test_another_hand_in_drawing_passes_but_other_words_or_colours_do_not(script: ModuleType) -> None:
    """Another version of a library moves the edges of letters by a part of a pixel; a stale page says something else,
    or shows another fabric."""
    data = (PICTURES / "page-map.png").read_bytes()
    with Image.open(BytesIO(data)) as image:
        words, picture = str(image.info["words"]), image.convert("RGB")
    codes = np.asarray(picture).astype(int)
    softer = codes.copy()
    softer[:, 1:] = (codes[:, 1:] * 3 + codes[:, :-1]) // 4  # all edges a quarter of a pixel further to the right
    assert script.same(data, written(Image.fromarray(softer.astype(np.uint8)), words))
    assert script.same(data, written(picture, words))
    assert not script.same(data, written(picture, "other words"))
    other = codes.copy()
    other[codes.shape[0] // 8 : codes.shape[0] // 8 + 24, 100:124] = (0, 90, 200)  # a small diamond in another fabric
    assert not script.same(data, written(Image.fromarray(other.astype(np.uint8)), words))
    assert not script.same(data, written(picture.resize((80, 100)), words))
