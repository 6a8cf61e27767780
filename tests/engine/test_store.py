"""Fabrics and their colours, what is refused and what it says; several programs on one stash."""

from __future__ import annotations

import threading
import time
import unicodedata
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from stash.errors import Fault, NotFound, UsageFault
from stash.inventory import fabric_changes
from stash.inventory.ledger import Book
from stash.inventory.store import Store
from stash.model import Colour, Colouring, Kind, NewFabric, NewPiece
from tests.engine.stashes import STAR, fern, inch, piece, tables, two_row_star, visible


def reopened(store: Store) -> Store:
    return Store.open(store.path)


def test_a_fabric_comes_back_as_it_was_given(store: Store) -> None:
    new = NewFabric(
        "Fern",
        (piece(18), piece(18, 21, Kind.FAT_QUARTER, cut_before=True), piece(9, 14, Kind.SCRAP, estimated=True)),
        Colour(46.125, -30.5, 28.0625, "measured"),
        directional=True, washed=True, place="box", note="two\nlines", price="11.80", photo="fern.jpg",
    )  # fmt: skip
    given = store.add(new)
    with reopened(store) as again:
        assert again.fabrics() == [given]
    assert [(p.kind, p.length, p.width, p.cut_before, p.estimated, p.rev) for p in given.pieces] == [
        (one.kind, one.length, one.width, one.cut_before, one.estimated, 1) for one in new.pieces
    ]
    for name in ("name", "directional", "washed", "place", "note", "price", "photo"):
        assert getattr(given, name) == getattr(new, name)
    assert given.colour == given.measured == new.colour


def test_not_measured_yet_and_used_up_are_told_apart(store: Store) -> None:
    moss = store.add(NewFabric("Moss"))
    assert (moss.recorded, moss.pieces) == (False, ())
    store.bought(moss.id, [piece()])
    store.used(moss.id, None)
    moss = store.fabric("Moss")
    assert (moss.recorded, moss.pieces) == (True, ())


@pytest.mark.parametrize(
    ("stored", "asked"),
    [
        ("Fern", "  fern "),
        ("Été", unicodedata.normalize("NFD", "été")),
        (unicodedata.normalize("NFD", "Été"), "Été"),
        ("Straße", "STRASSE"),
        ("'; DROP TABLE fabric; --", "'; drop table fabric; --"),
        ("[red]", "[RED]"),
        ("🌿 Farn", "🌿 farn"),
        ("ירוק", "ירוק"),
    ],
)
def test_a_fabric_is_known_by_its_name_in_any_spelling_of_it(store: Store, stored: str, asked: str) -> None:
    given = store.add(NewFabric(stored))
    assert store.fabric(asked) == given
    assert given.name == unicodedata.normalize("NFC", stored)
    with pytest.raises(Fault, match="already"):
        store.add(NewFabric(asked))
    assert len(store.fabrics()) == 1


@pytest.mark.parametrize(
    "name",
    ["", "   ", "x" * 201, "x" * 10_000, "\0", "a\nb", "a\tb", "\x1b[2J", "\ud800", "\u202e", "\u2066", "\x7f",
     "\x85", "\u2028"],
)
def test_a_name_that_cannot_be_shown_is_refused(store: Store, name: str) -> None:
    before = tables(store.path)
    moss = store.add(NewFabric("Moss"))
    for act in (
        lambda: store.add(NewFabric(name)),
        lambda: store.edit(moss.id, name=name),
        lambda: store.save_star(name, STAR),
    ):
        with pytest.raises(UsageFault) as refused:
            act()
        assert refused.value.line().isprintable()
    store.undo()
    assert tables(store.path)["star"] == before["star"]


def test_two_hundred_characters_are_a_name(store: Store) -> None:
    assert len(store.add(NewFabric("x" * 200)).name) == 200


def test_a_name_that_is_not_there_is_asked_back(store: Store) -> None:
    fern(store)
    with pytest.raises(NotFound, match='did you mean "Fern"'):
        store.fabric("Fren")
    two = store.save_star("Evening", STAR)
    with pytest.raises(NotFound):
        store.fabric("Fern\udc80")  # bytes that are no UTF-8, as a shell hands them over
    with pytest.raises(NotFound, match='did you mean "Evening"'):
        store.star("Evning")
    with pytest.raises(NotFound, match='did you mean "Fern"'):
        store.save_star("Evening", STAR, Colouring({"A": ("Fren",)}))
    assert store.stars() == [two]


def test_a_name_that_is_taken_is_refused_with_what_to_do(store: Store) -> None:
    fern(store)
    moss = store.add(NewFabric("Moss"))
    with pytest.raises(Fault, match="bought"):
        store.add(NewFabric("FERN"))
    with pytest.raises(Fault, match="already"):
        store.edit(moss.id, name="fern")
    assert store.edit(moss.id, name="MOSS").name == "MOSS"  # its own name in other letters


def test_fields_are_set_and_an_unknown_one_is_refused(store: Store) -> None:
    moss = store.add(NewFabric("Moss"))
    changed = store.edit(
        moss.id, name="Fern", directional=True, washed=True, place="box", note=" a\r\nb ", price="9", photo="p.jpg"
    )
    assert changed == replace(
        moss, name="Fern", directional=True, washed=True, place="box", note="a\nb", price="9", photo="p.jpg"
    )
    entries = len(store.history())
    assert store.edit(moss.id, place="box") == changed
    assert len(store.history()) == entries, "what changes nothing is no entry"
    with pytest.raises(UsageFault, match="weight"):
        store.edit(moss.id, weight=3)
    for field, text in (("place", "a\nb"), ("note", "a\0b"), ("price", "9" * 41), ("place", "\x1b[31m")):
        with pytest.raises(UsageFault):
            store.edit(moss.id, **{field: text})
    with pytest.raises(NotFound):
        store.edit(99, place="box")
    assert store.fabric("Fern") == changed


def test_a_value_by_eye_is_kept_apart_from_the_measured_one(store: Store) -> None:
    one = fern(store)
    seen = store.set_value_by_eye(one.id, 52.5)
    assert seen.measured == Colour(46, -30, 28)
    assert seen.value_by_eye == 52.5
    assert seen.colour == Colour(52.5, -30, 28, "by eye")
    again = store.edit(one.id, colour=Colour(44, -28, 25, "measured"))
    assert again.colour == Colour(52.5, -28, 25, "by eye")
    assert store.set_value_by_eye(one.id, None).colour == Colour(44, -28, 25, "measured")
    assert store.edit(one.id, colour=None).colour is None
    grey = store.set_value_by_eye(one.id, 30)
    assert (grey.colour, grey.measured) == (Colour(30, 0, 0, "by eye"), None)


@pytest.mark.parametrize("value", [-1, 101, float("nan"), float("inf")])
def test_a_value_outside_black_and_white_is_refused(store: Store, value: float) -> None:
    one = fern(store)
    with pytest.raises(UsageFault):
        store.set_value_by_eye(one.id, value)
    for colour in (Colour(value, 0, 0), Colour(50, value * 1000, 0), Colour(50, 0, value * 1000)):
        with pytest.raises(UsageFault):
            store.edit(one.id, colour=colour)
    with pytest.raises(UsageFault, match="by eye"):
        store.edit(one.id, colour=Colour(50, 0, 0, "by eye"))
    assert store.fabric("Fern") == one


def test_an_archived_fabric_is_out_of_the_list_and_comes_back(store: Store) -> None:
    one = fern(store)
    away = store.archive(one.id)
    assert away.archived
    assert store.fabrics() == []
    assert store.fabrics(archived=True) == [away]
    assert store.fabric("Fern") == away
    with pytest.raises(Fault, match="archived"):
        store.add(NewFabric("Fern"))
    assert store.archive(one.id, False) == one


@pytest.mark.parametrize(
    ("length", "width"), [(0, 1), (1, -1), (2**63, 1), (1, 32_000_001), (1.5, 1), (True, 1)]
)
def test_a_size_that_is_none_is_refused(store: Store, length: Any, width: Any) -> None:
    one, bad = fern(store), NewPiece(Kind.YARDAGE, length, width)
    for act in (
        lambda: store.add(NewFabric("Moss", (piece(), bad))),
        lambda: store.bought(one.id, [piece(), bad]),
        lambda: store.count(one.id, [bad]),
    ):
        with pytest.raises(UsageFault):
            act()
    assert store.fabrics() == [one]


def test_the_largest_piece_has_an_area_that_still_counts(store: Store) -> None:
    """100 m by 100 m in square ticks is 1.024e15; SQLite's whole numbers end at 2**63 - 1."""
    one = store.add(NewFabric("Sail", (NewPiece(Kind.YARDAGE, 32_000_000, 32_000_000),)))
    store.used(one.id, None)
    assert [row[-1] for row in tables(store.path)["line"]] == [-32_000_000**2, 32_000_000**2]


# --- who else is there


def test_the_token_changes_with_every_save_of_anybody(store: Store) -> None:
    seen = [store.change_token()]
    assert store.change_token() == seen[0]
    store.fabrics()
    assert store.change_token() == seen[0]
    store.add(NewFabric("Fern"))
    seen.append(store.change_token())
    with reopened(store) as other:
        other.add(NewFabric("Moss"))
        seen.append(store.change_token())
        other.edit(1, place="box")
        assert other.change_token() == other.change_token()
    seen.append(store.change_token())
    assert len(set(seen)) == 4


def test_a_second_program_waits_then_says_so(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("stash.inventory.transactions.BUSY_SECONDS", 0.05)
    with reopened(store) as other, store.transactions.writing():
        with pytest.raises(Fault, match="another program is saving"):
            other.add(NewFabric("Moss"))
        assert other.fabrics() == [], "reading goes on"
        assert other.change_token() == other.change_token()


def test_five_seconds_are_given_to_another_program() -> None:
    from stash.inventory.transactions import BUSY_SECONDS

    assert BUSY_SECONDS == 5


def test_three_writers_at_once_lose_nothing(store: Store) -> None:
    """Each of 3 threads with a connection of its own takes 20 times an inch off the same pieces."""
    one = fern(store, 54, 54)
    failed: list[BaseException] = []

    def work() -> None:
        try:
            with reopened(store) as mine:
                for _ in range(20):
                    mine.used(one.id, inch(1))
        except BaseException as error:
            failed.append(error)

    threads = [threading.Thread(target=work) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    assert sum(p.length for p in store.fabric("Fern").pieces) == inch(108 - 60)


def test_two_thousand_fabrics_are_read_fast(store: Store, tmp_path: Path) -> None:
    from stash.inventory.exchange import import_csv

    file = tmp_path / "many.csv"
    rows = [f"Fabric {n},{5 + n % 30} in,{n % 100},1,2,box {n % 9}" for n in range(2000)]
    file.write_text("fabric,length,L,a,b,place\n" + "\n".join(rows), encoding="utf-8")
    import_csv(store, file)
    store.fabrics()
    times = []
    for _ in range(5):
        start = time.process_time()
        assert len(store.fabrics()) == 2000
        times.append(time.process_time() - start)
    assert min(times) < 0.1  # seconds of work; about 0.03 on a slow core


def test_nothing_is_seen_of_a_write_that_failed(store: Store) -> None:
    two_row_star(store)
    before, rows = visible(store), tables(store.path)

    def act() -> None:
        with store.transactions.writing() as conn:
            book = Book(conn, "add")
            fabric_changes.add(book, NewFabric("Half", (piece(),)))
            book.finish("half of it")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        act()
    assert visible(store) == before
    assert tables(store.path) == rows
