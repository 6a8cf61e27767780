"""Faults of CSV files and of exports, one test a number: read right, or refused by the name of the problem."""

from __future__ import annotations

import csv
import errno
import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from stash.inventory.backup_files import backups_of
from stash.inventory.store import Store
from tests.engine.stashes import plain, tables
from tests.faults.telling import done, file, is_plain, refused, untouched

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine

ROW = "fabric,length,L,a,b\nFérn,13 1/2 in,45.5,-30,28\n"
READ = {
    "UTF-8": ROW.encode(),
    "UTF-8 with a mark": ROW.encode("utf-8-sig"),
    "UTF-16": ROW.encode("utf-16"),
    "CR only": ROW.replace("\n", "\r").encode(),
    "CR LF": ROW.replace("\n", "\r\n").encode(),
    "semicolons and decimal commas": "fabric;length;L;a;b\nFérn;13,5 in;45,5;-30;28\n".encode(),
    "tabs": "fabric\tlength\tL\ta\tb\nFérn\t13,5\t45,5\t-30\t28\n".encode(),
}
NAMED = {
    "Windows-1252": (ROW.encode("cp1252"), "perhaps Windows-1252"),
    "UTF-16 without a mark": (ROW.encode("utf-16-le"), "UTF-16 without the mark"),
    "UTF-16 cut short": (ROW.encode("utf-16")[:-1], "broken UTF-16"),
    "UTF-32": (ROW.encode("utf-32"), "UTF-32"),
    "decimal commas between commas": (b"fabric,length,L,a,b\nFern,13 in,45,5,-30,28\n", "has 6 cells"),
    "thousands": (b'fabric,length\nFern,"1,000"\n', "can be read in two ways"),
    "a spreadsheet": (b"PK\x03\x04" + bytes(99), "spreadsheet, not CSV"),
}


@pytest.mark.parametrize("form", READ)
def test_49_files_as_spreadsheets_write_them_are_read_right(cli: CommandLine, form: str) -> None:
    cli.json("import", file(cli, READ[form]))
    one = cli.fabric("Férn")
    assert (one["L"], one["a"], one["b"]) == (45.5, -30, 28)
    assert cli.sizes("Férn") == [("yardage", 13.5, 40.0)]


@pytest.mark.parametrize("form", NAMED)
def test_49_others_are_refused_by_the_name_of_the_problem(cli: CommandLine, form: str) -> None:
    content, said = NAMED[form]
    refused(cli, "import", file(cli, content), say=(said,))


FORM = [
    (b'fabric,length\nMoss,fq\nFern,"1 yd\nNight,fq\n', "line 3, column 2: a quotation mark is opened"),
    (b'fabric,length\n"Fern" x,1 yd\n', "line 2, column 1: there is text behind"),
    (b"fabric,length\nFern,1 yd\nMoss\n", "line 3, column 2: this row has 1 cells"),
    (b"fabric,length\nFern,1 yd,box\n", "line 2, column 3: this row has 3 cells"),
    (b"fabric,note\nFern,a\0b\n", "line 2, column 2 (note): there is a NUL"),
    (b"fabric,note\nMoss,\nFern," + b"x" * 10**6 + b"\n", "line 3, column 2: a cell is far too long"),
    (b"fabric,note\nFern," + b"x" * 10_001 + b"\n", "line 2, column 2 (note): the note has 10001 characters"),
    (b"Fern,1 yd\n", "line 1: the first line has no column called fabric"),
    (b"fabric,length,Length\nFern,1 yd,1 yd\n", "line 1, column 3 (length): this column is there twice"),
    (b"fabric,length\nFern,1 yd\nfabric,length\n", "line 3, column 1: the first line stands here once more"),
    (b"fabric,lenght\nFern,1 yd\n", 'line 1, column 2: no column is called "lenght"; did you mean "length"?'),
    (b"", "this file is empty"),
    (b"\n \r\n", "this file is empty"),
]


@pytest.mark.parametrize(("content", "said"), FORM, ids=[said[:40] for _, said in FORM])
def test_50_a_file_that_is_broken_is_refused_with_line_and_column(cli: CommandLine, content: bytes, said: str) -> None:
    refused(cli, "import", file(cli, content), say=tuple(said.split(": ", 1)))


def test_50_only_a_header_is_a_stash_of_nothing(cli: CommandLine) -> None:
    with untouched(cli.path):
        said = cli("import", file(cli, "fabric,length\n"), "--dry-run")
        file(cli, "fabric,length\n").unlink()
    assert said.code == 0
    assert "a header and no fabric under it" in said.out


def test_51_one_bad_row_among_ten_thousand(cli: CommandLine) -> None:
    rows = [f"Row {n},{5 + n % 40} in" for n in range(10_000)]
    rows[6_543] = "Row 6543,a lot"
    refused(cli, "import", file(cli, "fabric,length\n" + "\n".join(rows)), say=("line 6545, column 2 (length)",))


def test_51_at_most_a_hundred_faults_are_shown(cli: CommandLine) -> None:
    path = file(cli, "fabric,length\n" + "\n".join(f"Row {n},lots" for n in range(1_000)))
    with untouched(cli.path):
        said = cli("import", path, "--json")
    lines = said.err.splitlines()
    assert (said.code, len(lines), lines[100]) == (1, 102, "and 900 more")
    assert said.json["error"]["faults"] == lines[:-1]


def test_52_the_same_file_twice(cli: CommandLine) -> None:
    path = file(cli, "fabric,length,place\nXylo,1 yd,box\nYarrow,2 x fq,\n")
    first = cli.json("import", path)
    assert (first["new"], first["same"]) == (2, 0)
    with untouched(cli.path):
        for mode in ((), ("--add",), ("--replace",)):
            again = cli.json("import", path, *mode)
            assert (again["new"], again["changed"], again["same"], again["left"]) == (0, 0, 2, 0)
    changed = cli.json("import", file(cli, "fabric,length,place\nXylo,2 yd,shelf\n"))
    assert (changed["changed"], changed["left"]) == (0, 1)
    assert cli.sizes("Xylo") == [("yardage", 36.0, 40.0)]
    assert "Xylo differs and was left as it is" in changed["lines"][0]


def test_53_a_formula_in_a_name(cli: CommandLine) -> None:
    names = ["=cmd|'/c calc'!A1", "+1", "-1", "@x", "'=1", "''+", "'tis", "=", "a=b", '=HYPERLINK("x","y")']
    for name in names:
        done(cli, "add", f"--note={name}", f"--place={name}", "--", name)
    out = cli.path.with_name("out.csv")
    cli.json("export", out)
    with out.open(encoding="utf-8-sig", newline="") as sheet:
        rows = list(csv.reader(sheet))
    texts = [rows[0].index(field) for field in ("fabric", "note", "place", "price", "photo")]
    assert all(row[at][:1] not in tuple("=+-@\t\r") or row[at] == "" for row in rows for at in texts)
    with Store.create(cli.path.with_name("new.db")) as new, Store.open(cli.path) as old:
        cli.bare("--db", new.path, "import", out)
        named = [(one.name, one.note, one.place) for one in new.fabrics() if one.name in names]
        assert named == [(name, name, name) for name in names]
        assert len(new.fabrics()) == len(old.fabrics())


@pytest.mark.parametrize("ending", ["csv", "json"])
def test_54_export_to_what_is_there_or_to_a_full_disk(
    cli: CommandLine, ending: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = file(cli, "precious", f"old.{ending}")
    (cli.path.with_name(f"room.{ending}")).mkdir()
    with untouched(cli.path, old):
        is_plain(cli("export", old), "there is a file of this name already; nothing was written")
        is_plain(cli("export", cli.path.with_name(f"room.{ending}"), "--overwrite"), "this is a folder")
        is_plain(cli("export", cli.path.with_name("no") / f"x.{ending}"), "cannot be written")
        is_plain(cli("export", cli.path.with_name("x" * 300 + f".{ending}")), "cannot be written")

        def full(*_: object) -> None:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        with monkeypatch.context() as patch:
            patch.setattr(os, "fsync", full)
            for target in (old, cli.path.with_name(f"new.{ending}")):
                is_plain(cli("export", target, "--overwrite"), "No space left on device", "nothing was written")
    assert cli("export", old, "--overwrite").code == 0
    assert old.stat().st_size > 1000


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="the system has no pipes with names")
def test_54_export_never_puts_a_file_in_the_place_of_a_device_or_a_stash(cli: CommandLine) -> None:
    pipe = cli.path.with_name("pipe.csv")
    os.mkfifo(pipe)
    for words in ((pipe,), (pipe, "--overwrite")):
        is_plain(cli("export", *words), "this is a device")
    assert pipe.is_fifo()
    refused(cli, "export", cli.path, "--overwrite", say=("this is a stash",))


def test_52_and_54_a_round_trip_changes_nothing(cli: CommandLine, tmp_path: Path) -> None:
    out = tmp_path / "out.csv"
    cli.json("export", out)
    with Store.open(cli.path) as store:
        before, rows = plain(store), tables(store.path)
        report: Any = cli.json("import", out, "--replace")
        assert (report["new"], report["changed"], report["same"]) == (0, 0, 60)
        assert (plain(store), tables(store.path)) == (before, rows)


def test_54_a_link_that_is_written_over_stays_one(cli: CommandLine, tmp_path: Path) -> None:
    target, link, circle = tmp_path / "target.csv", tmp_path / "link.csv", tmp_path / "circle.csv"
    target.write_text("old")
    link.symlink_to(target)
    circle.symlink_to(circle)
    refused(cli, "export", link, say=("already",))
    cli.json("export", link, "--overwrite")
    assert link.is_symlink()
    assert target.read_text(encoding="utf-8-sig").startswith("fabric,")
    refused(cli, "export", circle, "--overwrite")
    (tmp_path / "stash.csv").symlink_to(cli.path)
    refused(cli, "export", tmp_path / "stash.csv", "--overwrite", say=("a stash or another database",))


@pytest.mark.parametrize("end", ["-journal", "-wal", "-shm"])
def test_54_nothing_is_written_beside_a_stash_that_it_would_play_back(cli: CommandLine, end: str) -> None:
    refused(cli, "export", Path(f"{cli.path}{end}"), say=(f'what ends in "{end}" belongs beside a stash',))


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes as on POSIX")
@pytest.mark.parametrize("name", ["pipe.csv", "pipe.json"])
def test_50_a_pipe_is_not_waited_for(cli: CommandLine, tmp_path: Path, name: str) -> None:
    os.mkfifo(tmp_path / name)
    refused(cli, "import", tmp_path / name, say=("a device or a pipe, not a",))
    is_plain(cli.bare("--db", tmp_path / "new.db", "import", tmp_path / name))
    assert not (tmp_path / "new.db").exists()


@pytest.mark.parametrize("name", ["in.csv", "in.json"])
def test_51_a_file_that_is_refused_makes_no_backup(cli: CommandLine, name: str) -> None:
    """Else a few typing errors push older backups out."""
    bad = file(cli, "fabric,length\nMoss,nan\n" if name == "in.csv" else "{}", name)
    refused(cli, "import", bad)
    assert backups_of(cli.path) == []
    cli.json("import", file(cli, "fabric,length\nMoss rose,1 yd\n"))
    assert [one.why for one in backups_of(cli.path)] == ["before-import"]
