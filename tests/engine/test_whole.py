"""A whole stash as JSON: out and in again, every row of every table the same; and what an edited file is told."""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from stash.errors import Fault
from stash.inventory import json_text
from stash.inventory.schema import SCHEMA_VERSION
from stash.inventory.store import Store
from stash.inventory.tables import metadata
from stash.inventory.whole import Contents, export_json, import_json
from tests.engine.checksums import Document, signed
from tests.engine.stashes import EVERYTHING, fern, full, raw, rows, tables, visible, wrong


def exported(store: Store, path: Path) -> Document:
    export_json(store, path, overwrite=True)
    document: Document = json.loads(path.read_text(encoding="ascii"))
    return document


def test_every_table_has_something_to_compare(store: Store) -> None:
    rows = tables(full(store).path, EVERYTHING)
    assert set(EVERYTHING) == set(metadata.tables)
    assert [name for name, found in rows.items() if not found] == []


def test_a_whole_stash_comes_back_with_every_row_the_same(store: Store, tmp_path: Path) -> None:
    held = export_json(full(store), tmp_path / "all.json")
    assert held == Contents(fabrics=4, stars=1, pictures=2, entries=14)
    with Store.create(tmp_path / "other.db") as other:
        assert import_json(other, tmp_path / "all.json") == held
        assert tables(other.path, EVERYTHING) == tables(store.path, EVERYTHING)
        assert visible(other) == visible(store)
        export_json(other, tmp_path / "again.json")
        assert (tmp_path / "again.json").read_bytes() == (tmp_path / "all.json").read_bytes()
        while other.history(limit=1)[0].undo_of is None or any(not one.undone and one.undo_of is None
                                                               for one in other.history()):  # fmt: skip
            other.undo()  # the history came along, so all of it can be taken back
        assert visible(other) == ([], [], [])


def test_the_checksum_is_the_one_that_is_told_of(store: Store, tmp_path: Path) -> None:
    document = exported(full(store), tmp_path / "all.json")
    assert signed(document) == document
    assert (document["format"], document["version"]) == ("starcover stash", SCHEMA_VERSION)


def test_other_line_ends_and_spaces_do_no_harm(store: Store, tmp_path: Path) -> None:
    document = exported(full(store), tmp_path / "all.json")
    for number, text in enumerate((json.dumps(document, indent=4).replace("\n", "\r\n"), json.dumps(document))):
        (tmp_path / "set.json").write_text("\ufeff" + text, encoding="utf-8", newline="")
        with Store.create(tmp_path / f"{number}.db") as other:
            import_json(other, tmp_path / "set.json")
            assert tables(other.path, EVERYTHING) == tables(store.path, EVERYTHING)


def test_a_dry_run_takes_nothing_and_says_the_same(store: Store, tmp_path: Path) -> None:
    held = export_json(full(store), tmp_path / "all.json")
    with Store.create(tmp_path / "other.db") as other:
        before = other.path.read_bytes()
        assert import_json(other, tmp_path / "all.json", dry_run=True) == held
        assert other.path.read_bytes() == before


def test_only_an_empty_stash_takes_a_whole_one(store: Store, tmp_path: Path) -> None:
    export_json(full(store), tmp_path / "all.json")
    with Store.create(tmp_path / "other.db") as other:
        fern(other)
        other.undo()  # nothing to see, but the history has numbers that would clash
        before = tables(other.path, EVERYTHING)
        with pytest.raises(Fault, match="not empty"):
            import_json(other, tmp_path / "all.json")
        assert tables(other.path, EVERYTHING) == before


@pytest.mark.parametrize("version", range(3, SCHEMA_VERSION + 1))
def test_what_each_released_form_wrote_comes_in(store: Store, version: int, tmp_path: Path) -> None:
    """A file kept as it was written by the program of that form: it must come in for ever."""
    kept = Path(__file__).with_name(f"whole_{version:04d}.json")
    import_json(store, kept)
    assert [one.name for one in store.fabrics(archived=True)] == [
        "Fern", "Moss", "Nachtblau 👩‍🌾", "=cmd|'/c calc'!A1"
    ]  # fmt: skip
    assert len(store.history()) == 14
    assert store.picture(store.fabric("Fern").id)
    assert store.stars()[0].colourings[0].colouring.ground == "Moss"
    assert wrong(store) == []


def test_a_stash_too_large_to_be_read_again_is_not_written(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "all.json"
    path.write_text("mine")
    size = len(export_json(full(store), tmp_path / "x.json") and (tmp_path / "x.json").read_bytes())
    monkeypatch.setattr(json_text, "MOST_BYTES", size - 1)
    with pytest.raises(Fault, match="could not be read"):
        export_json(store, path, overwrite=True)
    assert path.read_text() == "mine"
    with Store.create(tmp_path / "other.db") as other, pytest.raises(Fault, match="too large"):
        import_json(other, tmp_path / "x.json")
    monkeypatch.setattr(json_text, "MOST_BYTES", size)
    export_json(store, path, overwrite=True)
    assert sorted(one.name for one in tmp_path.iterdir()) == ["all.json", "other.db", "stash.db", "x.json"]


def test_too_many_pictures_are_refused_before_anything_is_read(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    full(store)
    kept = rows(store.path, "SELECT data FROM picture UNION ALL SELECT data FROM thumbnail")
    taken = sum(len(data) for (data,) in kept)
    monkeypatch.setattr(json_text, "MOST_BYTES", taken)

    def read(*_: object) -> None:
        raise AssertionError("the stash is read")

    monkeypatch.setattr("stash.inventory.whole.at_leisure.reading", read)
    with pytest.raises(Fault, match="could not be read again; nothing was written"):
        export_json(store, tmp_path / "all.json")
    assert [one.name for one in tmp_path.iterdir()] == ["stash.db"]


def test_another_program_saves_while_a_stash_is_exported(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is written is the stash as it was when the export began."""
    full(store)
    before = tables(store.path)
    head = json_text.table_head

    def meanwhile(name: str, columns: Sequence[str]) -> str:
        with closing(sqlite3.connect(store.path, timeout=0, isolation_level=None)) as other:
            other.execute("UPDATE fabric SET place = place || 'x'")
        return head(name, columns)

    monkeypatch.setattr(json_text, "table_head", meanwhile)
    export_json(store, tmp_path / "all.json")
    with Store.create(tmp_path / "other.db") as other:
        import_json(other, tmp_path / "all.json")
    assert tables(tmp_path / "other.db") == before
    assert tables(store.path) != before


def test_an_export_never_takes_the_place_of_anything_unasked(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "all.json"
    path.write_text("mine")
    with pytest.raises(Fault, match="already"):
        export_json(store, path)
    with pytest.raises(Fault, match="a stash or another database"):
        export_json(store, store.path, overwrite=True)

    def full_disk(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full_disk)
    with pytest.raises(Fault, match="No space left"):
        export_json(store, path, overwrite=True)
    assert path.read_text() == "mine"
    assert sorted(one.name for one in tmp_path.iterdir()) == ["all.json", "stash.db"]


# --- what does not agree


def put(table: str, row: int, column: str, value: Any) -> Callable[[Document], None]:
    def act(document: Document) -> None:
        given = document["tables"][table]
        given["rows"][row][given["columns"].index(column)] = value

    return act


WRONG = [
    # what another program's hand did, and what is said of it
    (put("piece", 0, "length", 1), 'piece 1 of "Fern": .* the stash says .* x 40 in, its history 50 1/2 in x 40 in'),
    (put("piece", 0, "cut_before", 0), 'piece 1 of "Fern": the stash and its history do not agree'),
    (put("piece", 0, "rev", 7), "the stash and its history do not agree"),
    (put("line", 0, "taken", -1), "does not add up at entry 5"),
    (put("line", 2, "rev", 9), "does not add up at entry 5"),
    (lambda document: document["tables"]["line"]["rows"].pop(), "its history is missing"),
    (put("picture", 0, "data", "/9j/"), "not as it was stored"),
    (put("thumbnail", 0, "data", "AAAA"), "no JPEG"),
    (lambda document: document["tables"]["thumbnail"]["rows"].pop(), "its small picture is missing"),
    (put("fabric", 0, "name", "\x1b[2J"), "control character"),
    (put("fabric", 0, "name", " Fern"), "not stored as names are"),
    (put("fabric", 0, "name", "Fern\u202e"), "turns the direction"),
    (put("fabric", 0, "name_key", "moss"), "not stored as names are|UNIQUE"),
    (put("fabric", 0, "place", "a\0b"), "control character"),
    (put("op", 0, "note", "a\x1b]0;x\x07"), "control character"),
    (put("star", 0, "strip", "1e999999999"), "no fraction"),
    (put("star", 0, "width", "1/0"), "no fraction"),
    (put("star", 0, "borders", "3 " + "9" * 5000), "no fraction"),
    (put("strip", 0, "runs", "[" * 100_000), "cannot be read"),
    (put("strip", 0, "runs", '[["a",1]]'), "cannot be read"),
    (put("change", 0, "after", "[" * 100_000), "cannot be read"),
    (put("change", 0, "after", "{}garbage"), "cannot be read"),
    (put("change", 0, "after", '{"no such field": 1}'), "cannot be read"),
    (put("change", 0, "after", '{"name": "\\u001b[2J"}'), "cannot be read"),
    (put("change", 0, "table_name", "sqlite_schema"), "cannot be read"),
    (put("swatch", 0, "notes", '["\\u001b[2J"]'), "cannot be read"),
    (put("fabric", 0, "place", "box"), "its history do not agree in place"),
    # what the tables themselves refuse
    (put("fabric", 0, "name", "Fern\ud800"), "value that cannot be"),
    (put("fabric", 0, "name", 5), "value in name that cannot be"),
    (put("fabric", 0, "name", None), "value in name"),
    (put("fabric", 0, "washed", 2), "refused"),
    (put("piece", 0, "length", 2**64), "value that cannot be"),
    (put("piece", 0, "length", 10**30), "31 digits"),
    (put("piece", 0, "length", 0.5), "value in length"),
    (put("colour", 0, "lightness", "["), "value in lightness"),
    (put("piece", 0, "fabric", 999), "refused"),
    (put("colour", 0, "lightness", -1), "refused"),
    (put("op", 1, "id", 1), "refused"),
    (put("picture", 0, "data", "no base64!"), "value in data that cannot be"),
    (put("picture", 0, "data", 7), "value in data that cannot be"),
    (put("picture", 0, "data", ""), "refused"),
]


@pytest.mark.parametrize(("act", "said"), WRONG, ids=lambda one: one[:40] if isinstance(one, str) else "")
def test_what_does_not_agree_is_refused_whole(
    store: Store, act: Callable[[Document], None], said: str, tmp_path: Path
) -> None:
    """With a checksum that is right, so that the rows are reached."""
    document = exported(full(store), tmp_path / "all.json")
    act(document)
    (tmp_path / "edited.json").write_text(json.dumps(signed(document)), encoding="ascii")
    with Store.create(tmp_path / "other.db") as other:
        before = other.path.read_bytes()
        with pytest.raises(Fault, match=said) as refused:
            import_json(other, tmp_path / "edited.json")
        assert refused.value.line().replace("\u200d", "").isprintable()  # which joins the parts of an emoji
        assert len(refused.value.line()) < 500
        assert other.path.read_bytes() == before


def test_what_was_wrong_before_a_counted_entry_is_settled(store: Store, tmp_path: Path) -> None:
    """Such an entry says anew what a piece is, so the stash agrees again from there on."""
    document = exported(full(store), tmp_path / "all.json")
    first, second = (row for row in document["tables"]["line"]["rows"] if row[2] == 1)  # both of piece 1
    first[-1] -= 1
    (tmp_path / "edited.json").write_text(json.dumps(signed(document)), encoding="ascii")
    with Store.create(tmp_path / "other.db") as other:
        with pytest.raises(Fault, match="does not add up"):
            import_json(other, tmp_path / "edited.json")
        next(row for row in document["tables"]["op"]["rows"] if row[0] == second[1])[2] = "counted"
        (tmp_path / "edited.json").write_text(json.dumps(signed(document)), encoding="ascii")
        import_json(other, tmp_path / "edited.json")
        assert wrong(other) == []


def test_a_stash_that_was_worked_in_agrees_and_a_missing_guard_is_named(store: Store) -> None:
    full(store)
    assert wrong(store) == []
    with raw(store.path) as conn:
        conn.execute("DROP TRIGGER line_no_update")
        conn.execute("UPDATE line SET length = length + 1, taken = taken - width WHERE id = 1")
    said = wrong(store)
    assert 'the guard "line_no_update"' in said[0]
    assert 'piece 1 of "Fern"' in said[1]
