"""A stash as CSV: what comes in, what is refused with its line and column, and that what goes out comes back."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import pytest

from stash.errors import Fault
from stash.inventory.csv_text import MOST_SHOWN
from stash.inventory.exchange import ImportFault, import_csv
from stash.inventory.store import Store
from stash.model import Colour
from tests.engine.stashes import agrees, inch, sizes, tables, take

# --- what comes in


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("1 1/2 yd,,,", [("yardage", "54", "40")]),
        ("13 1/2 in,42,,", [("yardage", "13.5", "42")]),
        ("50 cm,110 cm,,", [("yardage", "50 cm", "110 cm")]),
        ("4,,,", [("yardage", "4", "40")]),
        ("fq,,,", [("fat quarter", "18", "21")]),
        ("fe,,,", [("fat eighth", "9", "21")]),
        ("fq,,3,", [("fat quarter", "18", "21")] * 3),
        ("2 x fq,,,", [("fat quarter", "18", "21")] * 2),
        ("18 in,22 in,,fat quarter", [("fat quarter", "18", "22")]),
        (",,2,fat quarter", [("fat quarter", "18", "21")] * 2),
        (",,,square", [("square", "10", "10")]),
        ("5 in,,40,square", [("square", "5", "5")] * 40),
        (",,,strips", [("strips", "2.5", "40")]),
        ("9 in,14 in,,scrap", [("scrap", "9", "14")]),
        (",,,", []),
        (",42,,yardage", []),
    ],
)
def test_a_row_is_read_as_the_maker_means_it(store: Store, row: str, expected: list[tuple[str, str, str]]) -> None:
    """Sizes by kind: TRADE's fat cuts 18 x 21 and 9 x 21, squares of 10 in, strips 2 1/2 x 40 (common practice)."""

    def ticks(text: str) -> int:  # 1 cm is 3,200 ticks of 1/320 mm
        return int(text.split()[0]) * 3200 if text.endswith("cm") else inch(text)

    report = take(store, f"fabric,length,width,pieces,kind\nFern,{row}\n")
    assert (report.new, report.changed, report.same, report.left) == (1, 0, 0, 0)
    assert sizes(store, "Fern") == [(kind, ticks(length), ticks(width)) for kind, length, width in expected]
    assert store.fabric("Fern").recorded == bool(expected)
    agrees(store.path)


def test_every_column_is_taken(store: Store) -> None:
    take(
        store,
        "note,price,place,photo,cut,directional,washed,colour,fabric,length,about,by eye,archived\n"
        '"two\nlines",11.80,box,fern.jpg,yes,YES,no,#808080, Fern ,1 yd,yes,40.5,y\n',
    )
    one = store.fabric("fern")
    assert (one.name, one.note, one.price, one.place, one.photo) == ("Fern", "two\nlines", "11.80", "box", "fern.jpg")
    assert (one.directional, one.washed, one.archived, one.value_by_eye) == (True, False, True, 40.5)
    assert (one.pieces[0].cut_before, one.pieces[0].estimated) == (True, True)
    assert one.measured is not None
    assert pytest.approx(53.585, abs=0.001) == one.measured.L  # sRGB 128 grey: L* 53.585 (from memory)
    assert (one.measured.a, one.measured.b) == pytest.approx((0, 0), abs=1e-9)


def test_several_lines_of_a_fabric_are_its_pieces(store: Store) -> None:
    report = take(store, "fabric,length,place\nFern,1 yd,box\nMoss,fq,\nfern ,18 in,\nFERN,,box\n")
    assert report.new == 2
    assert [one.name for one in store.fabrics()] == ["Fern", "Moss"]
    assert sizes(store, "Fern") == [("yardage", inch(36), inch(40)), ("yardage", inch(18), inch(40))]
    assert store.fabric("Fern").place == "box"


FERN = [("yardage", inch("13.5"), inch(40))]


@pytest.mark.parametrize(
    "content",
    [
        b"fabric,length,L,a,b\nF\xc3\xa9rn,13 1/2 in,45.5,-30,28\n",
        b"\xef\xbb\xbffabric,length,L,a,b\r\nF\xc3\xa9rn,13 1/2 in,45.5,-30,28\r\n",
        b"fabric,length,L,a,b\rF\xc3\xa9rn,13 1/2 in,45.5,-30,28\r",
        b"fabric;length;L;a;b\nF\xc3\xa9rn;13,5 in;45,5;-30;28\n",
        b"fabric\tlength\tL\ta\tb\nF\xc3\xa9rn\t13,5\t45,5\t-30\t28\n",
        "fabric\tlength\tL\ta\tb\r\nFérn\t13.5\t45.5\t-30\t28\r\n".encode("utf-16"),
        b"\n\n Fabric , LENGTH ,l,A,B,,\n\n,,,,,,\nF\xc3\xa9rn,13.5,45.5,-30,28\n\n",
        b'"fabric","length","L","a","b"\n"F\xc3\xa9rn","13.5","45.5","\'-30","28"',
    ],
)
def test_what_spreadsheets_write_is_read(store: Store, content: bytes) -> None:
    take(store, content)
    assert [one.name for one in store.fabrics()] == ["Férn"]
    assert sizes(store, "Férn") == FERN
    assert store.fabric("Férn").colour == Colour(45.5, -30, 28)


# --- what is refused


BAD = [
    # the file: (content, what it says)
    (b"", "empty"),
    (b" \r\n\r\n", "empty"),
    (b"PK\x03\x04" + bytes(40), "spreadsheet, not CSV"),
    (b"\x1f\x8b" + bytes(40), "archive, not CSV"),
    (bytes(257) + b"ustar" + bytes(40), "archive, not CSV"),
    (b"\xff\xd8\xff\xe0" + bytes(40), "picture, not CSV"),
    (b"SQLite format 3\0" + bytes(40), "another database, not CSV"),
    (b'{"format": 1}', "JSON, not CSV"),
    ("fabric,length\nFern,fq\n".encode("utf-16-le"), "UTF-16 without the mark"),
    ("fabric,length\nFern,fq\n".encode("utf-32"), "UTF-32"),
    (b"\xff\xfef", "broken UTF-16"),
    # the first line: (content, where, what it says)
    (b"Fern,1 yd\n", (1, 0), "no column called fabric"),
    (b"name,length\nFern,1 yd\n", (1, 0), "no column called fabric"),
    (b"\n\nfabric,lenght\nFern,1 yd\n", (3, 2), 'did you mean "length"'),
    (b"fabric,colour of it\n", (1, 2), "no column is called"),
    (b"fabric,length,Length\n", (1, 3), "there twice"),
    (b"fabric,,length\nFern,,1 yd\n", (1, 2), "no column is called"),
    (b"fabric" + b",x" * 10**6 + b"\nFern\n", (1, 201), "1,000,001 cells"),
    (b"fabric,length\nFern,fq\nfabric,length\n", (3, 1), "stands here once more"),
    # a row
    (b"fabric,length\nFern,1 yd\nMoss\n", (3, 2), "has 1 cells, the first line has 2"),
    (b"fabric,length\nFern,1 yd,box\n", (2, 3), "has 3 cells"),
    (b'fabric,length\nMoss,fq\nFern,"1 yd\nNight,fq\n', (3, 2), "never closed"),
    (b'fabric,length\n"Fern" x,1 yd\n', (2, 1), "behind a closing quotation mark"),
    (b'fabric,note\nFern,"a"b"\n', (2, 2), "behind a closing quotation mark"),
    (b"fabric,note\nMoss,\nFern," + b"x" * 200_000 + b"\n", (3, 2), "far too long"),
    (b"fabric,note\nFern,a\0b\n", (2, 2), "NUL"),
    (b"fabric,length\nFern,fq\nF\xe9rn,1 yd\n", (3, 1), "not UTF-8"),
    # a cell
    (b"fabric,length\n,1 yd\n", (2, 1), "name of the fabric is empty"),
    (b"fabric,length\n" + b"x" * 201 + b",1 yd\n", (2, 1), "201 characters"),
    (b'fabric,length\n"a\nb",1 yd\n', (2, 1), "control character"),
    (b"fabric,length\na\x1b[2Jb,1 yd\n", (2, 1), "control character"),
    ("fabric,length\na\u202eb,1 yd\n".encode(), (2, 1), "turns the direction"),
    (b"fabric,place\nFern," + b"x" * 201 + b"\n", (2, 2), "201 characters"),
    (b"fabric,length\nFern,2\n", (2, 2), "inches or yards"),
    (b"fabric,length\nFern,1e9\n", (2, 2), "1e9"),
    (b"fabric,length\nFern,nan\n", (2, 2), "nan"),
    (b"fabric,length\nFern,-5 in\n", (2, 2), "-5 in"),
    (b"fabric,length\nFern,1/0 yd\n", (2, 2), "1/0"),
    (b"fabric,length\nFern,0\n", (2, 2), "0"),
    (b"fabric,length\nFern," + b"9" * 5000 + b"\n", (2, 2), "no size|not a length"),
    (b"fabric,length,width\nFern,1 yd,wide\n", (2, 3), "wide"),
    (b"fabric,length,width\nFern,18 x 21,40\n", (2, 3), "width"),
    (b"fabric,length,kind\nFern,9 in,scrap\n", (2, 2), "both sides"),
    (b"fabric,length,kind\nFern,fq,square\n", (2, 2), "kind says square"),
    (b"fabric,kind\nFern,rag\n", (2, 2), "no kind of piece"),
    (b"fabric,length,pieces\nFern,fq,0\n", (2, 3), "no whole number"),
    (b"fabric,length,pieces\nFern,fq,1000\n", (2, 3), "no whole number"),
    (b"fabric,length,pieces\nFern,fq,1_0\n", (2, 3), "no whole number"),
    ("fabric,length,pieces\nFern,fq,２\n".encode(), (2, 3), "no whole number"),
    (b"fabric,length,pieces\nFern,2 x fq,2\n", (2, 2), "Say it once"),
    (b"fabric,washed\nFern,maybe\n", (2, 2), "neither yes nor no"),
    (b"fabric,L,a,b\nFern,50,0,\n", (2, 4), "needs all of L, a and b"),
    (b"fabric,L,a,b\nFern,101,0,0\n", (2, 2), "a value of 101"),
    (b"fabric,L,a,b\nFern,50,201,0\n", (2, 3), "no colour"),
    (b"fabric,L,a,b\nFern,50,0,-201\n", (2, 4), "no colour"),
    (b"fabric,L,a,b\nFern,inf,0,0\n", (2, 2), "no number"),
    (b'fabric,L,a,b\nFern,"45,5",0,0\n', (2, 2), "no number"),
    (b"fabric,L,a,b\nFern,1e999,0,0\n", (2, 2), "cannot be"),
    (b"fabric,colour\nFern,#12345\n", (2, 2), "no colour"),
    (b"fabric,colour,L,a,b\nFern,#123456,1,2,3\n", (2, 2), "Give one of them"),
    (b"fabric,length,piece\nFern,fq,x\n", (2, 3), "no whole number"),
    (b"fabric,length,piece\nFern,fq,7\nMoss,fq,7\n", (3, 3), "piece 7 is there twice"),
    (b"fabric,length,piece,pieces\nFern,fq,7,2\n", (2, 4), "a line of its own"),
    (b"fabric,place\nFern,box\nMoss,\nfern,shelf\n", (4, 2), "another place in an earlier line"),
    (b"fabric,colour from\nFern,guess\nMoss,measured\n", (2, 2), "no source"),
]


@pytest.mark.parametrize("case", BAD, ids=lambda case: case[0][:30].decode("latin-1") + str(case[1]))
def test_a_bad_file_is_refused_with_its_line_and_column(store: Store, case: tuple[Any, ...]) -> None:
    take(store, "fabric,length\nNight,1 yd\n")
    before = tables(store.path)
    with pytest.raises(Fault, match=case[-1]) as refused:
        take(store, case[0])
    if len(case) == 3:
        assert isinstance(refused.value, ImportFault)
        first = refused.value.faults[0]
        assert (first.line, first.column) == case[1]
        assert f"line {first.line}" in refused.value.where
    assert refused.value.line().isprintable()
    assert tables(store.path) == before


def test_every_fault_is_told_and_at_most_a_hundred_shown(store: Store) -> None:
    rows = ["Fern,1 yd,yes"] + [f"Fabric {n},{n % 3},perhaps" for n in range(500)]
    with pytest.raises(ImportFault, match="and 999 more faults") as refused:
        take(store, "fabric,length,washed\n" + "\n".join(rows))
    faults = refused.value.faults
    assert [(one.line, one.column) for one in faults] == [(n, column) for n in range(3, 503) for column in (2, 3)]
    lines = refused.value.lines()
    assert lines[0].startswith("line 3, column 2 (length): ")
    assert lines[1] == 'line 3, column 3 (washed): "perhaps" is neither yes nor no; write yes or no'
    assert (len(lines), lines[-1]) == (MOST_SHOWN + 1, "and 900 more")
    assert store.fabrics() == []


def test_nine_thousand_nine_hundred_and_ninety_nine_good_rows_and_one_bad(store: Store) -> None:
    rows = [f"Fabric {n},{5 + n % 40} in" for n in range(10_000)]
    rows[6_543] = "Fabric 6543,a lot"
    before = tables(store.path)
    with pytest.raises(ImportFault) as refused:
        take(store, "fabric,length\n" + "\n".join(rows))
    assert [(one.line, one.column) for one in refused.value.faults] == [(6_545, 2)]
    assert tables(store.path) == before


def test_ten_thousand_rows_come_in_within_seconds(store: Store) -> None:
    rows = [f"Fabric {n},{5 + n % 40} in,{n % 100},{n % 60},-3,box {n % 9}" for n in range(10_000)]
    start = time.process_time()
    report = take(store, "fabric,length,L,a,b,place\n" + "\n".join(rows))
    assert time.process_time() - start < 10  # seconds of work; about 1.5 on a slow core
    assert report.new == 10_000
    store.undo()
    assert store.fabrics() == []


def test_a_file_too_large_is_refused_before_it_is_read(store: Store) -> None:
    path = store.path.with_name("large.csv")
    with path.open("wb") as file:
        file.truncate(40_000_000)
    with pytest.raises(Fault, match="too large"):
        import_csv(store, path)
    for ragged in ("", ",x"):  # so that not even the faults of ragged rows fill the memory
        with pytest.raises(Fault, match="100,000 rows"):
            take(store, "fabric\n" + "\n".join(f"F{n}{ragged}" for n in range(100_001)))


def test_a_row_in_another_encoding_is_one_fault_and_the_rows_round_it_are_read(store: Store) -> None:
    """Windows-1252, where e9 is an e with an acute accent."""
    with pytest.raises(ImportFault) as refused:
        take(store, b"fabric,length,place\nMoss,a lot,box\nF\xe9rn,1 yd,b\xeete\nNight,nan,box\n")
    assert [(one.line, one.column) for one in refused.value.faults] == [(2, 2), (3, 1), (3, 3), (4, 2)]
    assert "Windows-1252" in str(refused.value.faults[1])


def test_a_path_that_is_no_file_is_refused(store: Store, tmp_path: Path) -> None:
    for path, said in ((tmp_path, "folder"), (tmp_path / "none.csv", "no such file"), (Path("a\0b"), "no path")):
        with pytest.raises(Fault, match=said):
            import_csv(store, path)


def test_an_error_in_the_middle_takes_nothing_in(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    from stash.inventory.ledger import Book

    def stumble(*_: object) -> None:
        raise RuntimeError

    before = tables(store.path)
    monkeypatch.setattr(Book, "_save_pieces", stumble)  # the fabrics are written by then, the pieces are not
    with pytest.raises(RuntimeError):
        take(store, "fabric,length\nFern,1 yd\n")
    monkeypatch.undo()
    assert tables(store.path) == before
