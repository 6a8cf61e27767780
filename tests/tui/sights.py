"""The screens that are kept as text and pictures: a small fixed stash, and the keys that lead to each of them."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime, timedelta, tzinfo
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple, Self

import pytest

from stash.inventory import ledger
from stash.inventory.store import Store
from stash.model import Colour, Colouring, NewFabric, Star
from tui.fields import all_pieces

# name, pieces, L, a, b, place, washed (invented). A 3 x 3 star of 2 1/2 in strips takes 1, 2, 3, 2, 1 strips of five
# fabrics (common practice, no source); 6 in of Rust less an inch of straightening give only two.
CLOTH = (
    ("Chalk", "1/2 yd", 94.0, 0, 3, "shelf 1", True),
    ("Wheat", "1/2 yd + 2 x fq", 80.0, 4, 40, "shelf 1", True),
    ("Mist", "", 70.0, -6, -6, "", False),
    ("Rust", "6 in", 58.0, 30, 38, "box", False),
    ("Brick", "1/2 yd", 57.0, 36, 30, "box", True),
    ("Slate", "3 x fq", 50.0, -4, -8, "shelf 2", True),
    ("Plum", "1/2 yd", 38.0, 28, -12, "shelf 2", True),
    ("Coal", "1/2 yd", 18.0, 2, -4, "shelf 2", False),
    ("Cloud", "3 yd", 86.0, 0, 1, "chest", True),
)
RUN = {"A": ("Chalk",), "B": ("Wheat",), "C": ("Rust",), "D": ("Plum",), "E": ("Coal",)}
COVERED = RUN | {"C": ("Brick",)}


class SlowClock(datetime):
    """A clock that goes on by a minute each time it is looked at."""

    minutes = itertools.count()

    @classmethod
    def now(cls, tz: tzinfo | None = None) -> Self:
        return cls(2026, 3, 14, 9, 0, tzinfo=UTC) + timedelta(minutes=next(cls.minutes))


def fixed_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Entries of the history and backups are at fixed times, and shown as they are."""
    SlowClock.minutes = itertools.count()
    monkeypatch.setattr(ledger, "datetime", SlowClock)
    monkeypatch.setattr("stash.inventory.backup.datetime", SlowClock)
    monkeypatch.setattr("stash.inventory.backup_files.Backup.when", lambda one: f"{one.at:%Y-%m-%d %H:%M}")
    monkeypatch.setattr("tui.widgets.history_list.local_time", _as_utc)
    monkeypatch.setattr("tui.widgets.fabric_details.local_time", _as_utc)


def _as_utc(at: str) -> str:
    return at[:16].replace("T", " ")


def make_fixed(path: Path) -> Path:
    """The fabrics above, a star that is short in one row, and one of the same that is covered."""
    with Store.create(path) as store:
        for name, pieces, L, a, b, place, washed in CLOTH:
            cloth = all_pieces(pieces)
            store.add(NewFabric(name, cloth, Colour(L, a, b), place=place, washed=washed))
        star = Star(3, Fraction(5, 2), "ABCDE")
        store.save_star("Weir", star, Colouring(RUN, "Cloud"))
        store.save_star("Lock", star, Colouring(COVERED, "Cloud"))
        store.set_value_by_eye(store.fabric("Slate").id, 52)
        coal = store.fabric("Coal").id
        store.archive(coal)
        store.undo()
    return path


class Sight(NamedTuple):
    """A screen by its name, and the keys that lead there. `empty`: in a stash with nothing in it; `photos`: while
    photographs are taken into one. `drawn`: its colours are kept too, at 80 columns."""

    name: str
    keys: tuple[str, ...]
    empty: bool = False
    photos: bool = False
    drawn: bool = False


LOCK = ("s", "o", "up", "enter")  # the covered star is put on the table

SIGHTS = (
    Sight("stash", ("f",), drawn=True),
    Sight("stash-grey", ("f", "v"), drawn=True),
    Sight("stash-filtered", ("f", "slash", *"shelf")),
    Sight("stash-nothing-found", ("f", "slash", *"xyz")),
    Sight("details", ("f", "down", "enter")),
    Sight("details-by-eye", ("f", *["down"] * 6, "enter")),
    Sight("add", ("f", "a")),
    Sight("add-refused", ("f", "a", *"Plum", "tab", *"7", "enter")),
    Sight("edit", ("f", "e")),
    Sight("bought", ("f", "b", *"2 x fq")),
    Sight("used", ("f", "x", *"9 in")),
    Sight("count", ("f", "c")),
    Sight("star", ("s",), drawn=True),
    Sight("star-row-short", ("s", "C"), drawn=True),
    Sight("star-row-tried", ("s", "B", "down")),
    Sight("star-way-on", ("s", "C", "1")),
    Sight("star-covered", LOCK),
    Sight("star-grey", (*LOCK, "v"), drawn=True),
    Sight("star-chart", ("s", "c")),
    Sight("star-settings", ("s", "e")),
    Sight("star-open", ("s", "o")),
    Sight("star-ground", ("s", "d")),
    Sight("star-save-as", ("s", "w")),
    Sight("star-have-it", ("s", "B", "down", "enter", "y")),
    Sight("suggestions", ("s", "g"), drawn=True),
    Sight("wishes", ("s", "g", "e")),
    Sight("sizes", ("z",), drawn=True),
    Sight("cutting", (*LOCK, "x"), drawn=True),
    Sight("cutting-ticked", (*LOCK, "x", "enter", "down", "enter")),
    Sight("cutting-not-covered", ("s", "j")),
    Sight("history", ("h",), drawn=True),
    Sight("print", (*LOCK, "p")),
    Sight("backups-none", ("f", "f12")),
    Sight("backups", ("f", "f12", "b")),
    Sight("palette", ("f", "ctrl+p")),
    Sight("palette-found", ("f", "ctrl+p", *"pl")),
    Sight("help-stash", ("f", "question_mark")),
    Sight("help-star", ("s", "question_mark")),
    Sight("help-cutting", (*LOCK, "x", "question_mark")),
    Sight("intake-start", ("f", "i")),
    Sight("intake", (), photos=True),
    Sight("intake-typed", tuple("2 x fq"), photos=True),
    Sight("intake-boxes", ("f7",), photos=True),
    Sight("intake-saved", (*"1/2 yd", "enter"), photos=True),
    Sight("intake-end", ("enter", "f9", "enter"), photos=True),
    Sight("empty-stash", ("f",), empty=True),
    Sight("empty-star", ("s",), empty=True),
    Sight("empty-suggestions", ("g",), empty=True),
    Sight("empty-sizes", ("z",), empty=True),
    Sight("empty-cutting", ("j",), empty=True),
    Sight("empty-history", ("h",), empty=True),
)
