"""Stashes in a temporary folder for the interface to open."""

from __future__ import annotations

import json
import shutil
from fractions import Fraction
from pathlib import Path

import pytest

from stash.demo import swatches
from stash.inventory.exchange import import_csv
from stash.inventory.store import Store
from stash.lengths import read_length
from stash.model import Colour, Colouring, NewFabric, Star
from stash.star.chart import make_order
from stash.typed import read_pieces
from tests.tui import cutting_screen, sizes_screen, star_screen
from tests.tui.driving import made

DEMO = Path(__file__).parents[2] / "fixtures" / "demo"

# name, pieces, L, a, b, place (invented)
FABRICS = (
    ("Milk", "1 yd", 92, 0, 4, "shelf 1"),
    ("Straw", "1/2 yd", 82, 2, 34, "shelf 1"),
    ("Pebble", "3/4 yd", 70, 0, 2, "shelf 2"),
    ("Poppy", "2 x fq", 55, 60, 40, "shelf 2"),
    ("Fern", "1/2 yd", 46, -30, 28, "box"),
    ("Harbour", "", 33, 2, -34, "box"),
    ("Night", "1 yd", 15, 4, -12, "box"),
)


def fill(store: Store) -> None:
    """The fabrics above and a star of them, 2 x 2 mirrored."""
    for name, pieces, L, a, b, place in FABRICS:
        new = NewFabric(name, read_pieces(pieces) if pieces else (), Colour(L, a, b), place=place)
        store.add(new)
    star = Star(2, Fraction(5, 2), "ABA")
    store.save_star("Lantern", star, Colouring({"A": ("Milk",), "B": ("Poppy",)}, "Pebble"))


@pytest.fixture(autouse=True)
def true_colours(monkeypatch: pytest.MonkeyPatch) -> None:
    """The tests' terminal has 24-bit colour unless a test says otherwise."""
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLORTERM", "truecolor")
    monkeypatch.delenv("NO_COLOR", raising=False)


@pytest.fixture
def stash_path(tmp_path: Path) -> Path:
    """A small stash with a saved star."""
    return made(tmp_path / "small.db", fill)


@pytest.fixture(scope="session")
def demo_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's sixty fabrics and its star that is short in one row, made once."""
    path = tmp_path_factory.mktemp("demo") / "demo.db"
    first = json.loads((DEMO / "stars.json").read_text(encoding="utf-8"))[0]
    colouring = first["colourings"][0]
    star = Star(first["grid"], read_length(first["strip"]), make_order(first["order"], first["grid"]))
    uses = {letter: tuple(names) for letter, names in colouring["uses"].items()}
    with Store.create(path) as store:
        import_csv(store, DEMO / "stash.csv", photos=swatches(DEMO).get)
        store.save_star(first["name"], star, Colouring(uses, colouring["ground"]))
    return path


@pytest.fixture
def demo_path(demo_made: Path, tmp_path: Path) -> Path:
    """A copy of the demo stash for one test."""
    return Path(shutil.copy(demo_made, tmp_path / "demo.db"))


@pytest.fixture
def star_path(tmp_path: Path) -> Path:
    """A stash with a 3 x 3 star whose middle row is short by one strip."""
    return made(tmp_path / "star.db", star_screen.fill)


@pytest.fixture
def sizes_path(tmp_path: Path) -> Path:
    """A stash that covers small stars and lacks cloth for large ones."""
    return made(tmp_path / "sizes.db", sizes_screen.fill)


@pytest.fixture
def cut_path(tmp_path: Path) -> Path:
    """A stash whose star is covered and can be cut."""
    return made(tmp_path / "cut.db", cutting_screen.fill)


@pytest.fixture
def empty_path(tmp_path: Path) -> Path:
    """A stash with nothing in it."""
    path = tmp_path / "empty.db"
    Store.create(path).close()
    return path
