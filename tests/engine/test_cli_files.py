"""The commands about files: import, export, new, where, demo; and which stash a command takes."""

from __future__ import annotations

import os
import sqlite3
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.engine.scenes import WARM, light, on_paper, plain, taken

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine


def write(cli: CommandLine, text: str, name: str = "in.csv") -> Path:
    path = cli.path.with_name(name)
    path.write_text(text, encoding="utf-8")
    return path


def test_export_and_import_come_back_the_same(cli: CommandLine) -> None:
    sheet = cli.path.with_name("out.csv")
    assert cli.json("export", sheet)["fabrics"] == 60
    new = cli.path.with_name("new.db")
    said = cli.bare("--db", new, "import", sheet, "--json")
    assert (said.code, said.json["new"], said.json["changed"]) == (0, 60, 0)
    assert "Made a new stash" in said.err
    there = cli.bare("--db", new, "list", "--json").json
    for one in (*there, *(here := cli.json("list"))):
        for told in ("value_low", "value_high", "variety", "palette"):  # of a photograph, which no CSV file holds
            del one[told]
        for piece in one["pieces"]:
            del piece["piece"]
    assert there == here
    again = cli.bare("--db", new, "import", sheet, "--json").json
    assert (again["new"], again["changed"], again["same"]) == (0, 0, 60)


def test_export_never_writes_over_a_file_unasked(cli: CommandLine) -> None:
    sheet = write(cli, "precious", "out.csv")
    assert cli("export", sheet).code == 1
    assert sheet.read_text() == "precious"
    assert cli("export", sheet, "--overwrite").code == 0
    assert sheet.read_text(encoding="utf-8-sig").startswith("fabric,")


def test_a_whole_stash_goes_out_as_json_and_comes_into_a_new_one(cli: CommandLine) -> None:
    whole, new = cli.path.with_name("all.JSON"), cli.path.with_name("new.db")
    held = {"fabrics": 60, "stars": 2, "pictures": 60, "entries": 4}
    assert cli.json("export", whole) == {"file": str(whole)} | held
    assert cli("export", whole).code == 1
    counts = {"new": 60, "changed": 0, "same": 0, "left": 0}
    trial = cli.bare("--db", new, "import", whole, "--dry-run", "--json")
    assert trial.json == {"dry_run": True} | counts | held
    assert not new.exists()
    said = cli.bare("--db", new, "import", whole)
    assert "60 fabrics, 2 stars, 60 pictures and a history of 4 entries" in said.out
    assert "Made a new stash" in said.err
    for verb in ("list", "stars", "history"):
        assert cli.bare("--db", new, verb, "--json").json == cli.json(verb)
    again = cli.bare("--db", new, "import", whole, "--json")
    assert (again.code, again.err.count("\n")) == (1, 1)
    assert "not empty" in again.json["error"]["what"]
    assert cli("import", whole, "--add").code == 2
    assert cli.bare("--db", cli.path.with_name("no.db"), "import", cli.path.with_name("no.json")).code == 1
    assert not cli.path.with_name("no.db").exists()


def test_photographs_beside_a_file_are_measured(cli: CommandLine) -> None:
    room = cli.path.parent
    lit = on_paper([((110, 90, 420, 300), plain(light((46, 48, 26)), 420, 300))], 640, 480, WARM)
    taken(lit, noise=2).image.save(room / "rose.png")
    (room / "empty.jpg").write_bytes(b"")
    sheet = write(cli, "fabric,length,photo\nHedge Rose,1 yd,rose.png\nSloe Gin,1 yd,../elsewhere.png\n")
    assert cli.json("import", sheet, "--on-paper")["new"] == 2
    rose = cli.fabric("Hedge Rose")
    assert (rose["L"], rose["photo"], rose["relative"]) == (pytest.approx(46, abs=2.5), "rose.png", False)
    assert cli.fabric("Sloe Gin")["L"] is None
    bad = write(cli, "fabric,length,photo\nWater Mint,1 yd,empty.jpg\n")
    said = cli("import", bad)
    assert said.code == 1
    assert "line 2" in said.err
    assert "empty.jpg" in said.err


def test_a_dry_run_changes_nothing_and_makes_nothing(cli: CommandLine) -> None:
    sheet = write(cli, "fabric,length\nHedge Rose,1 yd\n")
    before = cli.path.read_bytes()
    report = cli.json("import", sheet, "--dry-run")
    assert (report["new"], report["dry_run"]) == (1, True)
    assert cli.path.read_bytes() == before
    new = cli.path.with_name("folder") / "new.db"
    assert cli.bare("--db", new, "import", sheet, "--dry-run").code == 0
    assert not new.parent.exists()


def test_pieces_that_differ_are_left_until_add_or_replace(cli: CommandLine) -> None:
    sheet = write(cli, "fabric,length\nRosehip,2 yd\n")
    assert cli.json("import", sheet)["left"] == 1
    assert cli.sizes("Rosehip") == [("yardage", 9.0, 40.0)]
    cli.json("import", sheet, "--add")
    assert cli.sizes("Rosehip") == [("yardage", 9.0, 40.0), ("yardage", 72.0, 40.0)]
    cli.json("import", sheet, "--replace")
    assert cli.sizes("Rosehip") == [("yardage", 72.0, 40.0)]
    assert cli("import", sheet, "--add", "--replace").code == 2


def test_every_fault_of_a_file_is_named_once(cli: CommandLine) -> None:
    before = cli.path.read_bytes()
    one = cli("import", write(cli, "fabric,length\nHedge Rose,1 yd\nHedge,2\n"))
    assert (one.code, one.out, one.err.count("\n")) == (1, "", 1)
    assert "line 3, column 2 (length): 2: inches or yards? Write 2 in or 2 yd" in one.err
    two = cli("import", write(cli, "fabric,length,washed\nHedge Rose,nan,yes\nHedge,1 yd,perhaps\n"), "--json")
    assert [line.split(":")[0] for line in two.json["error"]["faults"]] == [
        "line 2, column 2 (length)", "line 3, column 3 (washed)"
    ]  # fmt: skip
    assert two.err.count("\n") == 3
    assert cli.path.read_bytes() == before


def test_a_file_that_cannot_be_read_makes_no_stash(cli: CommandLine) -> None:
    new = cli.path.with_name("new.db")
    for file in (cli.path.with_name("none.csv"), cli.path.parent, cli.path):
        said = cli.bare("--db", new, "import", file)
        assert (said.code, said.err.count("\n")) == (1, 1)
        assert not new.exists()


def test_another_programs_database_is_left_as_it_is(cli: CommandLine) -> None:
    other = cli.path.with_name("other.db")
    with closing(sqlite3.connect(other)) as theirs, theirs:
        theirs.execute("CREATE TABLE fabric (name TEXT)")
        theirs.execute("INSERT INTO fabric VALUES ('precious')")
    before, beside = other.read_bytes(), sorted(other.parent.iterdir())
    good = write(cli, "fabric,length\nHedge Rose,1 yd\n")
    for words in (("list",), ("add", "Fern"), ("undo",), ("history",), ("import", good), ("import", good, "--replace")):
        said = cli.bare("--db", other, *words)
        assert (said.code, said.out, said.err.count("\n")) == (1, "", 1)
    assert other.read_bytes() == before
    assert sorted(other.parent.iterdir()) == sorted([*beside, good])


def test_import_never_takes_a_broken_link_for_a_place_to_write(cli: CommandLine) -> None:
    link = cli.path.with_name("link.db")
    link.symlink_to(cli.path.with_name("gone.db"))
    assert cli.bare("--db", link, "import", write(cli, "fabric\nHedge Rose\n")).code == 1
    assert link.is_symlink()
    assert not cli.path.with_name("gone.db").exists()


def test_new_makes_an_empty_stash_and_never_over_another(cli: CommandLine) -> None:
    new = cli.path.with_name("new.db")
    assert cli.bare("new", new, "--json").json == {"stash": str(new)}
    assert cli.bare("--db", new, "list", "--json").json == []
    before = cli.path.read_bytes()
    assert cli.bare("new", cli.path).code == 1
    assert cli.bare("--db", cli.path, "new").code == 1
    assert cli.path.read_bytes() == before
    assert cli.bare("--db", new, "new", cli.path.with_name("other.db")).code == 2


def test_where_tells_it_for_a_stash_that_is_not_there_too(cli: CommandLine) -> None:
    assert cli.json("where")["exists"]
    missing = cli.path.with_name("missing.db")
    found = cli.bare("--db", missing, "where", "--json").json
    assert (found["stash"], found["exists"]) == (str(missing), False)
    assert not missing.exists()


def test_a_missing_stash_is_refused_and_not_made(cli: CommandLine, monkeypatch: pytest.MonkeyPatch) -> None:
    missing = cli.path.with_name("missing.db")
    for words in (("list",), ("add", "Fern"), ("undo",), ("export", cli.path.with_name("x.csv")), ()):
        said = cli.bare("--db", missing, *words)
        assert (said.code, said.out, said.err.count("\n")) == (1, "", 1)
    monkeypatch.setenv("STARCOVER_DB", str(missing))
    assert cli.bare("list").code == 1
    assert cli.bare().code == 1
    assert not missing.exists()


def test_an_empty_name_never_means_the_makers_own_stash(cli: CommandLine) -> None:
    assert cli.bare("--db", "", "list").code == 2
    assert cli.bare("--db=", "list").code == 2
    assert cli.bare("list", "--db", " ").code == 2
    assert cli.bare("list", "--db").code == 2
    assert cli.bare("--db").code == 2


def test_the_option_goes_before_the_environment(cli: CommandLine, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("STARCOVER_DB", str(cli.path.with_name("missing.db")))
    assert cli("list").code == 0
    assert cli.bare("list", f"--db={cli.path}").code == 0


def test_the_demo_is_written_where_it_is_asked_for(cli: CommandLine) -> None:
    there = cli.path.with_name("play.db")
    assert cli.bare("demo", "--at", there, "--json").json == {"stash": str(there)}
    assert len(cli.bare("--db", there, "list", "--json").json) == 60
    assert cli.bare("demo", "--at", there).code == 1
    assert cli("demo").code == 2


def test_the_demo_without_a_terminal_is_plain_text(cli: CommandLine) -> None:
    said = cli.bare("demo")
    assert said.code == 0
    assert "throw-away copy" in said.err
    assert "Not covered: short at D." in said.out
    assert "1 of 3, steps " in said.out
    document = cli.bare("demo", "--json").json
    assert (document["star"], document["check"]["covered"]) == ("Lowmere Evening", False)
    assert all(one["mark"] in ("covered", "tight") for one in document["suggest"]["sequences"][0]["fabrics"])


class Opened:
    """Stands in for the interface: remembers what it was opened on."""

    def __init__(self) -> None:
        self.path: Path | None = None
        self.demo = False
        self.was_there = False

    def __call__(
        self, path: Path, *, demo: bool = False, prepare: Callable[[Path], object] | None = None, **_: object
    ) -> None:
        if prepare is not None:
            prepare(path)
        self.path, self.demo, self.was_there = path, demo, path.exists()


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> Opened:
    """A terminal at both ends, and the interface replaced."""
    pytest.importorskip("tui.app")
    stand_in = Opened()
    monkeypatch.setattr("tui.app.run", stand_in)
    monkeypatch.setattr("stash.cli.interface.in_terminal", lambda: True)
    return stand_in


def test_the_first_start_makes_the_makers_own_stash_and_says_so(cli: CommandLine, opened: Opened) -> None:
    said = cli.bare()
    own = Path(cli.bare("where", "--json").json["stash"])
    assert (said.code, opened.path, opened.demo) == (0, own, False)
    assert f"Made a new, empty stash at {own}" in said.err
    if sys.platform == "linux":
        assert own.is_relative_to(os.environ["XDG_DATA_HOME"])
    assert cli.bare().err == ""


def test_the_interface_opens_on_the_stash_that_is_named(cli: CommandLine, opened: Opened) -> None:
    assert cli().code == 0
    assert (opened.path, opened.demo) == (cli.path, False)


def test_the_demo_opens_on_a_copy_that_is_gone_afterwards(cli: CommandLine, opened: Opened) -> None:
    said = cli.bare("demo")
    assert (said.code, opened.demo, opened.was_there) == (0, True, True)
    assert "throw-away copy" in said.err
    assert opened.path is not None
    assert not opened.path.parent.exists()


def test_the_interface_needs_a_terminal(cli: CommandLine) -> None:
    said = cli()
    assert (said.code, said.err.count("\n")) == (1, 1)
    assert "terminal" in said.err
    assert cli.bare("--json").code == 2
