"""Thousands of broken files of each sort (`--fuzz` says how many): each comes in whole or is refused in one plain
line with nothing changed, and nothing else gets out. Every run tries the same ones."""

from __future__ import annotations

import base64
import json
import random
import shutil
from collections import Counter
from pathlib import Path
from typing import Any

from stash.colour.photo import PhotoFault, open_photo
from stash.errors import Fault
from stash.inventory.exchange import export_csv, import_csv
from stash.inventory.store import Store
from stash.inventory.whole import export_json, import_json
from tests.engine.checksums import signed
from tests.engine.pictures import samples
from tests.engine.stashes import full, rows, wrong

# What files trip over: quotation marks, ends, guards, escapes, numbers that are none, halves of characters.
BITS = [
    b"", b'"', b'""', b",", b";", b"\t", b"\n", b"\r", b"\r\n", b"\0", b"'", b"=", b"\x1b[2J", b"\xff", b"\xc3",
    b"\xed\xa0\x80", "\u202e".encode(), "\ufeff".encode(), b"nan", b"1e999", b"-1", b"9" * 400, b"1/0", b"fabric",
    b"yes",
    b"a" * 300, b"#12345g", b"1 yd", b"fq", b"2 x fq", b"used up", b"[", b"]", b"{", b"}", b":", b"null", b"true",
    b"\\u0000", b"\\",
]  # fmt: skip
VALUES: list[Any] = [
    None, "", 0, 1, -1, 2, 2**31, 2**63, -(2**63), 10**30, 0.5, -0.0, 1e308, "x", "yardage", "here", "used up", "Fern",
    "\0", "\x1b[2J", "\ud800", "\u202e", "[", "{}", "null", '{"name": "x"}', "1/0", "1e99999", "2 1/2", "a" * 300,
    "2026-01-01T00:00:00Z", [], {}, True, base64.b64encode(b"\xff\xd8\xff").decode(),
]  # fmt: skip


def broken(rng: random.Random, data: bytes) -> bytes:
    """The data with one to four of: a bit put in or over it, a byte changed, a part lost, moved or doubled."""
    for _ in range(rng.choice((1, 1, 2, 4))):
        at = rng.randrange(len(data) + 1)
        end = min(len(data), at + rng.choice((0, 1, 4, 30, 400)))
        kind = rng.randrange(5)
        if kind == 0:
            data = data[:at] + rng.choice(BITS) + data[end:]
        elif kind == 1:
            data = data[:at] + bytes([rng.randrange(256)]) + data[at + 1 :]
        elif kind == 2:
            data = data[:at] + data[end:]
        elif kind == 3:
            data = data[:end] + data[at:end] + data[end:]
        else:
            data = data[:at] if rng.random() < 0.3 else data[:at] + data[end:] + data[at:end]
    return data


def is_told(fault: Fault) -> str:
    line = fault.line()
    assert line.replace("\u200d", "").isprintable(), ascii(line)  # which joins the parts of an emoji
    assert len(line) < 800
    assert fault.where
    return "refused"


def agrees(store: Store) -> None:
    assert wrong(store) == []


def test_46_to_53_broken_csv(tmp_path: Path, fuzz: int) -> None:
    rng, ends = random.Random(46), Counter[str]()
    path = tmp_path / "in.csv"
    with Store.create(tmp_path / "good.db") as store:
        export_csv(full(store), path)
    good = path.read_bytes()
    small = b'fabric,length,width,pieces,note,L,a,b\nFern,1 yd,40,2,"a ""b"", c",45,-30,28\nMoss,2 x fq,,,,,,\n'
    for case in range(fuzz):
        stash = tmp_path / "stash.db"
        if case % 100 == 0:  # so that no case has to carry the history of all before it
            shutil.copy(tmp_path / "good.db", stash)
            store = Store.open(stash)
        path.write_bytes(broken(rng, rng.choice((good, small, small))))
        before = stash.read_bytes()
        try:
            report = import_csv(store, path, mode=rng.choice((None, "add", "replace")))
        except Fault as fault:
            ends[is_told(fault)] += 1
            assert stash.read_bytes() == before
        else:
            ends["taken"] += 1
            assert (report.new + report.changed > 0) == (stash.read_bytes() != before)
        if case % 100 == 99:
            agrees(store)
            store.close()
    assert min(ends["taken"], ends["refused"]) > fuzz // 20


def test_55_broken_json(tmp_path: Path, fuzz: int) -> None:
    """Half of them with the checksum set right, so that what is behind it is reached."""
    rng, ends = random.Random(55), Counter[str]()
    path, stash, empty = tmp_path / "in.json", tmp_path / "stash.db", tmp_path / "empty.db"
    with Store.create(tmp_path / "good.db") as store:
        export_json(full(store), path)
    Store.create(empty).close()
    untouched, good = empty.read_bytes(), path.read_text(encoding="ascii")
    shutil.copy(empty, stash)
    store = Store.open(stash)
    for case in range(fuzz):
        path.write_bytes(edited(rng, good) if case % 2 else broken(rng, good.encode()))
        try:
            import_json(store, path)
        except Fault as fault:
            ends[is_told(fault)] += 1
            assert stash.read_bytes() == untouched
        else:
            ends["taken"] += 1
            if ends["taken"] % 10 == 1:
                agrees(store)
            assert [store.fabrics(archived=True), store.stars(), store.open_plans(), store.history()]
            store.close()
            stash.write_bytes(untouched)
            store = Store.open(stash)
    store.close()
    assert ends["refused"] > fuzz // 2
    assert ends["taken"] > 0, "a change that leaves all in agreement comes in"


def edited(rng: random.Random, good: str) -> bytes:
    """One to three values, rows or columns of a whole stash changed by hand, and the checksum made anew."""
    document = json.loads(good)
    for _ in range(rng.choice((1, 1, 1, 3))):
        name = rng.choice([name for name, table in document["tables"].items() if table["rows"]])
        table = document["tables"][name]
        row = rng.choice(table["rows"]) if table["rows"] else []
        kind = rng.randrange(8)
        if kind < 5 and row:
            row[rng.randrange(len(row))] = rng.choice(VALUES)
        elif kind == 5 and table["rows"]:
            table["rows"].remove(row)
        elif kind == 6:
            table["rows"].append(list(row))
        else:
            other = rng.choice(table["rows"])
            if row and other:
                at = rng.randrange(len(row))
                row[at] = other[at % len(other)]
    return json.dumps(signed(document)).encode()


def test_58_broken_photographs(tmp_path: Path, fuzz: int) -> None:
    rng, ends = random.Random(58), Counter[str]()
    files, path = list(samples().values()), tmp_path / "photo"
    for case in range(fuzz):
        data = bytearray(files[case % len(files)])
        for _ in range(rng.choice((1, 3, 12))):
            data[rng.randrange(min(len(data), rng.choice((80, 400, 10_000))))] = rng.randrange(256)
        whole = rng.random() < 0.7
        path.write_bytes(bytes(data) if whole else broken(rng, bytes(data)))
        try:
            photo = open_photo(path)
        except PhotoFault as fault:
            ends[is_told(fault)] += 1
        else:
            ends["read"] += 1
            assert photo.image.mode == "RGB"
            assert photo.width > 0
    assert min(ends["read"], ends["refused"]) > fuzz // 20


def test_the_files_that_are_broken_are_good_to_begin_with(tmp_path: Path) -> None:
    path = tmp_path / "all.json"
    with Store.create(tmp_path / "good.db") as store:
        export_json(full(store), path)
    path.write_text(json.dumps(signed(json.loads(path.read_text(encoding="ascii")))), encoding="ascii")
    with Store.create(tmp_path / "other.db") as other:
        import_json(other, path)
        assert rows(other.path, "SELECT count(*) FROM op") == [(14,)]
