"""A stash written out as CSV comes back the same, and takes the place of nothing unasked."""

from __future__ import annotations

import csv
import os
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stash.errors import Fault
from stash.inventory.csv_rows import COLUMNS
from stash.inventory.csv_text import guard, unguard
from stash.inventory.exchange import ImportReport, export_csv, import_csv
from stash.inventory.store import Store
from stash.lengths import LONGEST_TICKS
from stash.model import Colour, Kind, NewFabric, NewPiece
from stash.names import name_key
from tests.engine.stashes import piece, plain, take

# --- what goes out


def test_an_export_has_the_fixed_header_and_a_line_for_each_piece(store: Store, tmp_path: Path) -> None:
    store.add(NewFabric("Fern", (piece("13.5"), piece(18, 21, Kind.FAT_QUARTER)), Colour(46, -30.5, 28)))
    store.add(NewFabric("Moss"))
    assert export_csv(store, tmp_path / "out.csv") == 2
    content = (tmp_path / "out.csv").read_bytes()
    assert content.startswith(b"\xef\xbb\xbffabric,length,width,pieces,kind,directional,washed,L,a,b,photo,piece,")
    with (tmp_path / "out.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert tuple(rows[0]) == COLUMNS
    assert [(r["fabric"], r["length"], r["width"], r["kind"], r["piece"]) for r in rows] == [
        ("Fern", "13 1/2 in", "40 in", "yardage", "1"),
        ("Fern", "18 in", "21 in", "fat quarter", "2"),
        ("Moss", "", "", "", ""),
    ]
    assert float(rows[0]["a"]) == -30.5, "a number stays a number"


def test_a_formula_goes_out_inert_and_comes_back_the_same(store: Store, tmp_path: Path) -> None:
    names = ["=cmd|'/c calc'!A1", "+1", "-1", "@x", "'=1", "''+", "'tis", "=", "a=b"]
    for name in names:
        store.add(NewFabric(name, note=f"-{name}"))
    export_csv(store, tmp_path / "out.csv")
    with (tmp_path / "out.csv").open(encoding="utf-8-sig", newline="") as file:
        for row in csv.reader(file):
            assert all(cell[:1] not in tuple("=+-@\t\r") for cell in row)
    with Store.create(tmp_path / "other.db") as other:
        import_csv(other, tmp_path / "out.csv")
        assert [one.name for one in other.fabrics()] == names
        assert plain(other) == plain(store)


@given(st.text(st.sampled_from("'=+-@\t\rab"), max_size=6))
def test_a_guard_always_comes_off_again(text: str) -> None:
    assert unguard(guard(text)) == text
    assert guard(text)[:1] not in tuple("=+-@\t\r")


TICKS = st.integers(1, LONGEST_TICKS) | st.integers(1, 500).map(lambda n: n * 1016)  # any tick, or eighths of inches
NEW_PIECES = st.builds(NewPiece, st.sampled_from(Kind), TICKS, TICKS, st.booleans(), st.booleans())
REFUSED = "\u2028\u2029\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
ORDINARY = st.characters(exclude_categories=("Cc", "Cs"), exclude_characters=REFUSED)
FRIENDLY = st.text(st.sampled_from("ab =+-@',;\"é1#"), max_size=8)
TEXT = FRIENDLY | st.text(ORDINARY, max_size=12)
NOTES = TEXT | st.text(st.sampled_from('a \n\t",;='), max_size=8)
REAL = st.floats(-128, 128) | st.integers(-128, 128).map(float)
COLOURS = st.builds(Colour, st.floats(0, 100), REAL, REAL, st.sampled_from(["measured", "relative", "typed"]))
FABRICS = st.builds(
    NewFabric, TEXT.filter(str.strip), st.lists(NEW_PIECES, max_size=3).map(tuple), st.none() | COLOURS,
    st.booleans(), st.booleans(), TEXT, NOTES, TEXT, TEXT,
)  # fmt: skip
STASHES = st.lists(
    st.tuples(FABRICS, st.booleans(), st.none() | st.floats(0, 100), st.booleans()),
    max_size=5, unique_by=lambda one: name_key(one[0].name),
)  # fmt: skip


@settings(max_examples=30, deadline=None)
@given(STASHES)
def test_a_stash_that_goes_out_comes_back_the_same(stash: list[tuple[NewFabric, bool, float | None, bool]]) -> None:
    with TemporaryDirectory() as folder:
        file = Path(folder, "out.csv")
        with Store.create(Path(folder, "one.db")) as one, Store.create(Path(folder, "two.db")) as two:
            for new, archived, by_eye, used_up in stash:
                fabric = one.add(new)
                one.archive(fabric.id, archived)
                one.set_value_by_eye(fabric.id, by_eye)
                if used_up and fabric.pieces:
                    one.used(fabric.id, None)
            export_csv(one, file)
            assert import_csv(two, file).new == len(stash)
            assert plain(two) == plain(one)
            assert import_csv(one, file) == ImportReport(0, 0, len(stash), ())
            first = file.read_bytes()
            export_csv(one, file, overwrite=True)
            assert file.read_bytes() == first


@settings(max_examples=80, deadline=None)
@given(st.binary(max_size=60) | st.text(st.sampled_from('fabriclength,;\t\n\r"\0=1 yd'), max_size=60).map(str.encode))
def test_no_file_does_anything_but_come_in_or_be_refused(content: bytes) -> None:
    """With a good header before it, so that the rows are reached."""
    with TemporaryDirectory() as folder, Store.create(Path(folder, "stash.db")) as store:
        for whole in (content, b"fabric,length\n" + content):
            before = plain(store)
            said, new = outcome(store, whole)
            assert said.isprintable()
            assert len(store.fabrics()) == len(before) + new
            assert not said or plain(store) == before


def outcome(store: Store, content: bytes) -> tuple[str, int]:
    """The line of the fault, or how many fabrics are new."""
    try:
        return "", take(store, content).new
    except Fault as refused:
        return refused.line(), 0


def test_an_export_never_takes_the_place_of_anything_unasked(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store.add(NewFabric("Fern"))
    path = tmp_path / "out.csv"
    path.write_text("mine")
    before = sorted(one.name for one in tmp_path.iterdir())
    with pytest.raises(Fault, match="already"):
        export_csv(store, path)
    with pytest.raises(Fault, match="folder"):
        export_csv(store, tmp_path, overwrite=True)
    for nowhere in (tmp_path / "no" / "out.csv", path / "out.csv", tmp_path / "a\0b", tmp_path / ("x" * 300)):
        with pytest.raises(Fault):
            export_csv(store, nowhere, overwrite=True)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    for target in (path, tmp_path / "new.csv"):
        with pytest.raises(Fault, match="No space left on device"):
            export_csv(store, target, overwrite=True)
    monkeypatch.undo()
    assert path.read_text() == "mine"
    assert sorted(one.name for one in tmp_path.iterdir()) == before
    export_csv(store, path, overwrite=True)
    assert "Fern" in path.read_text(encoding="utf-8")


def test_the_demo_stash_comes_in_and_goes_out_the_same(store: Store, tmp_path: Path) -> None:
    import_csv(store, Path("fixtures/demo/stash.csv"))
    export_csv(store, tmp_path / "out.csv")
    with Store.create(tmp_path / "other.db") as other:
        import_csv(other, tmp_path / "out.csv")
        assert plain(other) == plain(store)
        assert len(plain(other)) == 60
