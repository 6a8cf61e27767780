"""Faults of a whole stash as JSON and of archives, one test a number: refused before a row is written, and whole."""

from __future__ import annotations

import gzip
import io
import json
import resource
import tarfile
import zipfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from stash.inventory import json_text
from stash.inventory.store import Store
from tests.engine.checksums import signed
from tests.engine.stashes import EVERYTHING, tables
from tests.faults.telling import file, is_plain, refused, untouched

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine

Document = dict[str, Any]


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A whole stash as `export` writes it."""
    from stash.inventory.whole import export_json
    from tests.engine.stashes import full

    room = tmp_path_factory.mktemp("whole")
    with Store.create(room / "stash.db") as store:
        export_json(full(store), room / "all.json")
    return (room / "all.json").read_text(encoding="ascii")


def not_taken(cli: CommandLine, content: str | bytes, *say: str) -> str:
    """Neither a new stash is made of this file nor an empty one touched by it; gives the line that says so."""
    path = file(cli, content, "in.json")
    new, empty = cli.path.with_name("new.db"), cli.path.with_name("empty.db")
    if not empty.exists():
        Store.create(empty).close()
    with untouched(cli.path, empty):
        for stash in (new, empty):
            said = cli.bare("--db", stash, "import", path)
            is_plain(said, *say)
    assert not new.exists()
    return said.err


TEXT: list[tuple[str, Callable[[str], str | bytes], str]] = [
    # what it is, how it comes from a good file, what is said
    ("empty", lambda _: "", "this file is empty"),
    ("cut short", lambda good: good[: len(good) // 2], "cut short or no JSON"),
    ("its last byte lost", lambda good: good.rstrip()[:-1], "cut short or no JSON"),
    ("edited", lambda good: good.replace('"Fern"', '"Fire"', 1), "changed since it was written"),
    ("one digit edited", lambda good: good.replace('"sha256": "', '"sha256": "0', 1), "changed since it was written"),
    ("no checksum", lambda good: good[: good.index(',\n"sha256"')] + "}", "changed since it was written"),
    ("two in one", lambda good: good + good, "cut short or no JSON"),
    ("NaN", lambda good: good.replace("[1,", "[NaN,", 1), "NaN is no number"),
    ("Infinity", lambda good: good.replace("[1,", "[-Infinity,", 1), "-Infinity is no number"),
    ("1e999", lambda good: good.replace("[1,", "[1e999,", 1), '"1e999" is no number'),
    ("5,000 digits", lambda good: good.replace("[1,", f"[{'9' * 5000},", 1), "a number has 5000 digits"),
    ("doubled key", lambda good: good.replace('"version"', '"format": "", "version"', 1), '"format" stands'),
    ("doubled table", lambda good: good.replace('"piece":', '"fabric":', 1), '"fabric" stands there twice'),
    ("100,000 brackets", lambda _: "[" * 100_000, "lists stand in lists"),
    ("100,000 braces", lambda _: '{"a":' * 100_000, "lists stand in lists"),
    ("brackets in a string", lambda good: good.replace('"Fern"', json.dumps("[" * 100_000), 1), "changed since"),
    ("UTF-16", lambda good: good.encode("utf-16"), "no JSON in UTF-8"),
    ("NUL", lambda good: good.replace("Fern", "Fe\0rn", 1), "cut short or no JSON"),
    ("another program's", lambda _: '{"fabrics": []}', "this JSON is no stash"),
    ("a list", lambda _: "[]", "this JSON is no stash"),
    ("a picture", lambda _: b"\xff\xd8\xff\xe0" + bytes(99), "no JSON in UTF-8"),
    ("a CSV file", lambda _: "fabric,length\nFern,1 yd\n", "cut short or no JSON"),
]


@pytest.mark.parametrize(("damage", "said"), [one[1:] for one in TEXT], ids=[one[0] for one in TEXT])
def test_55_json_that_is_broken_or_edited(
    cli: CommandLine, whole: str, damage: Callable[[str], str | bytes], said: str
) -> None:
    content = damage(whole)
    assert content != whole
    not_taken(cli, content, said)


def at(document: Document, table: str) -> Document:
    given: Document = document["tables"][table]
    return given


FORM: list[tuple[str, Callable[[Document], Any], str]] = [
    ("a newer form", lambda d: d.update(version=99), "by a newer starcover (version 99 of the stash; this one knows"),
    ("no version", lambda d: d.update(version="3"), "does not say its version"),
    ("a version never released", lambda d: d.update(version=0), "does not say its version"),
    ("an unknown table", lambda d: d["tables"].update(secrets={"columns": [], "rows": []}), 'no table "secrets"'),
    ("a table less", lambda d: d["tables"].pop("colour"), 'the table "colour" is missing'),
    ("a column more", lambda d: at(d, "eye")["columns"].append("x"), "is not 3 plain values"),
    ("a column of another name", lambda d: at(d, "eye").update(columns=["id", "x"]), "has not the columns"),
    ("a row too short", lambda d: at(d, "eye")["rows"].append([1]), "is not 2 plain values"),
    ("a list for a number", lambda d: at(d, "eye")["rows"].append([[1], 2]), "is not 2 plain values"),
    ("yes for a number", lambda d: at(d, "eye")["rows"].append([True, 2]), "is not 2 plain values"),
    ("rows that are none", lambda d: at(d, "eye").update(rows={}), "are no list"),
    ("an unknown part", lambda d: d.update(more=1), 'a part "more" that is unknown'),
    ("no tables", lambda d: d.update(tables=[]), "it has no tables"),
    ("a row twice", lambda d: at(d, "fabric")["rows"].append(at(d, "fabric")["rows"][0]), "is refused"),
    ("a piece of no fabric", lambda d: at(d, "piece")["rows"][0].__setitem__(1, 99), "is refused"),
    ("a size of no entry", lambda d: at(d, "piece")["rows"][0].__setitem__(3, 5), "does not agree with itself"),
    ("escape codes in a name", lambda d: at(d, "fabric")["rows"][0].__setitem__(1, "\x1b[2J"), "control character"),
]


@pytest.mark.parametrize(("edit", "said"), [one[1:] for one in FORM], ids=[one[0] for one in FORM])
def test_55_json_of_another_form_whose_checksum_is_right(
    cli: CommandLine, whole: str, edit: Callable[[Document], Any], said: str
) -> None:
    document = json.loads(whole)
    edit(document)
    with suppress(AttributeError, KeyError, TypeError):  # of such a form that there is nothing to sign
        document = signed(document)
    not_taken(cli, json.dumps(document), said)


def test_55_limits_come_before_parsing(cli: CommandLine, whole: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """What would fill the memory is refused by its size and its counts, before a JSON reader sees it."""
    monkeypatch.setattr(json_text.json, "loads", None)
    large = cli.path.with_name("large.json")
    with large.open("wb") as hole:
        hole.truncate(json_text.MOST_BYTES + 1)
    is_plain(cli.bare("--db", cli.path.with_name("new.db"), "import", large), "this file is over 500 MB")
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    not_taken(cli, "[" + "[]," * 5_000_001 + "[]]", "more in it than any stash")
    not_taken(cli, "[" + "1," * 50_000_001 + "1]", "more in it than any stash")
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 400_000  # kilobytes; the text is 100 MB


# --- archives


def archives() -> dict[str, bytes]:
    """Archives of the tricks that unpackers fall for. Made here; nothing is ever unpacked."""
    made: dict[str, bytes] = {}

    def packed(name: str, *entries: tuple[str, bytes]) -> None:
        room = io.BytesIO()
        with zipfile.ZipFile(room, "w", zipfile.ZIP_DEFLATED) as archive:
            for entry, data in entries:
                archive.writestr(zipfile.ZipInfo(entry), data, zipfile.ZIP_DEFLATED)
        made[f"{name}.zip"] = room.getvalue()

    good = b"fabric,length\nFern,1 yd\n"
    packed("good", ("stash.csv", good))
    packed("parent", ("../../escaped.csv", good))
    packed("absolute", ("/tmp/escaped.csv", good))
    packed("drive", ("C:\\escaped.csv", good))
    packed("bomb", ("stash.csv", bytes(64 << 20)))
    packed("many", *((f"{n}.csv", b"") for n in range(10_000)))
    lying = bytearray(made["good.zip"])
    lying[22:26] = (1).to_bytes(4, "little")  # the size unpacked, in its local header
    made["lying.zip"] = bytes(lying)
    room = io.BytesIO()
    with tarfile.open(fileobj=room, mode="w") as tar:
        link = tarfile.TarInfo("stash.csv")
        link.type, link.linkname = tarfile.SYMTYPE, "/etc/passwd"
        tar.addfile(link)
        tar.addfile(tarfile.TarInfo("stash.csv"))  # the name a second time
    made["links.tar"] = room.getvalue()
    made["links.tar.gz"] = gzip.compress(room.getvalue())
    return made


ARCHIVES = archives()


@pytest.mark.parametrize("name", ARCHIVES)
def test_56_archives_are_refused_whole(cli: CommandLine, name: str) -> None:
    """starcover reads no archives: fabrics come as CSV, a whole stash as JSON or as its own file, photographs as
    files and folders. So whatever is in an archive, under whatever name, none of it is unpacked or taken. (The demo's
    own pictures travel in an archive inside the package; nobody hands that in.)"""
    for called in (name, f"{name}.csv", f"{name}.json", f"{name}.jpg", f"{name}.db"):
        path = file(cli, ARCHIVES[name], called)
        refused(cli, "import", path)
        refused(cli, "add", "Xylo", "--photo", path)
        refused(cli, "add", "--photos", path)
        refused(cli, "restore", path, "--yes")
        with untouched(cli.path, path):
            is_plain(cli("measure", path))
            is_plain(cli.bare("--db", path, "list"), "this is not a stash file")
            is_plain(cli.bare("--db", cli.path.with_name("new.db"), "import", path))
    assert not cli.path.with_name("new.db").exists()
    assert not list(cli.path.parent.rglob("escaped*"))
    assert not Path("/tmp/escaped.csv").exists()


def test_57_a_whole_stash_into_one_that_is_not_empty(cli: CommandLine, whole: str) -> None:
    """It is refused, so that there is nothing to lose; an empty one takes it."""
    with Store.open(cli.path) as store:
        before = tables(store.path, EVERYTHING)
    path = file(cli, whole, "in.json")
    for words in ((), ("--dry-run",)):
        refused(cli, "import", path, *words, say=("this one is not empty; nothing was changed", "--db"))
    for words in (("--add",), ("--replace",), ("--on-paper",)):
        refused(cli, "import", path, *words, say=("a whole stash is taken as it is",))
    assert tables(cli.path, EVERYTHING) == before
    new = cli.path.with_name("new.db")
    assert cli.bare("new", new).code == 0
    assert cli.bare("--db", new, "import", path).code == 0
    assert "Fern" in [one["fabric"] for one in cli.bare("--db", new, "list", "--json").json]
