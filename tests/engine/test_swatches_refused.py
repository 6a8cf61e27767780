"""What of a photograph the stash refuses, and what it makes of one that another program's hand has damaged."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from stash.errors import Fault, UsageFault
from stash.inventory.store import Store
from stash.model import Colour, NewFabric, NewSwatch, PaletteColour
from tests.engine.stashes import fern, photograph, pictures, piece, raw

NAN, INF = float("nan"), float("inf")
GREY = Colour(50, 0, 0)


def said(**other: Any) -> NewSwatch:
    return replace(photograph(), measured=replace(photograph().measured, **other))


def shares(*given: float) -> tuple[PaletteColour, ...]:
    return tuple(PaletteColour(GREY, share) for share in given)


@pytest.mark.parametrize(
    ("bad", "what"),
    [
        (replace(photograph(), file_hash=""), "hash"),
        (replace(photograph(), file_hash="A" * 64), "hash"),
        (replace(photograph(), file_hash="0" * 63), "hash"),
        (replace(photograph(), picture=b""), "picture .* no JPEG"),
        (replace(photograph(), picture=b"\x89PNG\r\n"), "picture .* no JPEG"),
        (replace(photograph(), thumbnail=b"\xff\xd8"), "thumbnail .* no JPEG"),
        (replace(photograph(), picture=b"\xff\xd8\xff" + bytes(4_000_000)), "4,000,003 bytes"),
        (replace(photograph(), thumbnail=b"\xff\xd8\xff" + bytes(200_000)), "200,003 bytes"),
        (said(palette=()), "palette of 0"),
        (said(palette=shares(*[1 / 9] * 9)), "palette of 9"),
        (said(palette=shares(0.5, 0.499998)), "add up to"),
        (said(palette=shares(1.5, -0.5)), "outside 0 to 1"),
        (said(palette=shares(NAN)), "outside 0 to 1"),
        (said(palette=(PaletteColour(Colour(NAN, 0, 0), 1.0),)), "value of nan"),
        (said(colour=Colour(50, 201, 0)), "no colour"),
        (said(colour=Colour(-1, 0, 0)), "value of -1"),
        (said(value_low=60.0, value_high=50.0), "no range"),
        (said(value_low=-0.1), "value of -0.1"),
        (said(value_high=100.1), "value of 100.1"),
        (said(value_high=NAN), "value of nan"),
        (said(variety=-0.5), "variety"),
        (said(variety=INF), "variety"),
        (said(box=(0, 0, 0, 5)), "box"),
        (said(box=(-1, 0, 5, 5)), "box"),
        (said(box=(0, 0, 10**7, 5)), "box"),
        (said(notes=("x" * 401,)), "401 characters"),
        (said(notes=("x",) * 21), "21 notes"),
        (said(notes=("a\x1b[2J",)), "control character"),
    ],
)
def test_what_no_photograph_says_is_refused_by_the_name_of_its_file(store: Store, bad: NewSwatch, what: str) -> None:
    one = fern(store)
    acts: list[Callable[[], object]] = [
        lambda: store.set_swatch(one.id, bad), lambda: store.add(NewFabric("Moss", swatch=bad))
    ]  # fmt: skip
    for act in acts:
        with pytest.raises(UsageFault, match=what) as refused:
            act()
        assert refused.value.where == "fern.jpg"
    assert store.fabrics() == [one]
    assert pictures(store.path) == 0


def test_a_rounding_error_over_the_end_is_no_fault(store: Store) -> None:
    white = said(
        colour=Colour(100.004, 0, 0), value_low=-0.004, value_high=100.003, palette=shares(0.5, 0.4999995),
    )  # fmt: skip
    swatch = store.add(NewFabric("Milk", swatch=white)).swatch
    assert swatch is not None
    assert (swatch.colour.L, swatch.value_low, swatch.value_high) == (100, 0, 100)
    tight = store.set_swatch(1, said(value_low=50.005, value_high=50.0)).swatch
    assert tight is not None
    assert tight.value_low == tight.value_high == 50


@pytest.mark.parametrize(
    ("name", "kept"), [("a\nb\udce9.jpg", "a?b?.jpg"), ("\u202egpj.jpg", "?gpj.jpg"), ("é.jpg", "é.jpg")]
)
def test_a_file_of_any_name_can_be_kept(store: Store, name: str, kept: str) -> None:
    assert store.add(NewFabric("Fern", swatch=replace(photograph(), photo=name))).photo == kept


@pytest.mark.parametrize(
    "act",
    [
        "UPDATE picture SET data = x'ffd8ff'", "UPDATE picture SET id = 9", "UPDATE thumbnail SET data = x'ffd8ff'",
        "REPLACE INTO picture SELECT * FROM picture", "REPLACE INTO thumbnail SELECT * FROM thumbnail",
        "INSERT OR REPLACE INTO picture SELECT 9, hash, data FROM picture",
    ],
)  # fmt: skip
def test_a_picture_is_never_changed(store: Store, act: str) -> None:
    store.add(NewFabric("Fern", swatch=photograph()))
    with raw(store.path) as conn, pytest.raises(sqlite3.IntegrityError, match="never changed"):
        conn.execute(act)
    with pytest.raises(Fault, match="never changed"), store.transactions.writing() as conn:
        conn.exec_driver_sql(act)


@pytest.mark.parametrize(
    "act",
    [
        "DELETE FROM picture",
        "INSERT INTO picture VALUES (2, '00', x'ffd8ff')",
        "INSERT INTO picture VALUES (2, printf('%064d', 1), 'text')",
        "INSERT INTO picture VALUES (2, printf('%064d', 1), x'')",
        "INSERT INTO thumbnail VALUES (7, x'ffd8ff')",
        "UPDATE swatch SET picture = 7",
        "UPDATE swatch SET id = 7",
        "UPDATE swatch SET file_hash = ''",
        "UPDATE swatch SET reference = 'card'",
        "UPDATE swatch SET value_low = 80",
        "UPDATE swatch SET value_high = 101",
        "UPDATE swatch SET lightness = 101",
        "UPDATE swatch SET a = 201",
        "UPDATE swatch SET variety = -1",
        "UPDATE swatch SET palette = NULL",
        "UPDATE colour SET source = 'by eye'",
    ],
)
def test_the_tables_refuse_what_is_none(store: Store, act: str) -> None:
    one = store.add(NewFabric("Fern", swatch=photograph()))
    with pytest.raises(Fault), store.transactions.writing() as conn:
        conn.exec_driver_sql(act)
    assert store.fabrics() == [one]
    assert store.picture(one.id) == photograph().picture


# --- what another program's hand left


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("palette", text)
        for text in (
            "", "{}", "[[1,2,3]]", "[[1,2,3,4,5]]", '[["a",1,2,1]]', "[[NaN,0,0,1]]", "[[1e999,0,0,1]]",
            "[]", "[[null,0,0,1]]", "[1,2]", '"abcd"', "7", "[" * 100_000, "[[1" + "0" * 400 + ",0,0,1]]",
        )
    ]
    + [("box", ""), ("box", "1 2 3"), ("box", "a b c d"), ("notes", "["), ("notes", "7")],
)  # fmt: skip
def test_a_damaged_swatch_is_none_and_the_list_is_whole(store: Store, field: str, text: str) -> None:
    moss = store.add(NewFabric("Moss", swatch=photograph("moss.jpg")))
    one = store.add(NewFabric("Fern", (piece(18),), swatch=photograph()))
    with raw(store.path) as conn:
        conn.execute(f"UPDATE swatch SET {field} = ? WHERE id = ?", (text, one.id))
    assert store.fabrics() == [moss, replace(one, swatch=None)]
    assert store.fabric("Fern").colour == one.colour
    assert store.thumbnail(one.id) == photograph().thumbnail
    assert store.set_swatch(one.id, photograph()).swatch == photograph().measured, "photographed again, it is whole"
