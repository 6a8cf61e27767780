"""A file is there whole or not at all, whatever the disk or the folder says; an old one stays."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

import pytest

from stash.errors import Fault
from stash.files import write_whole
from tests.engine.conftest import CommandLine

resource = pytest.importorskip("resource")  # limits of a process are POSIX
ROOM = 4096


@pytest.fixture
def little_room() -> Iterator[None]:
    """No file may grow beyond ROOM bytes, as on a disk that is nearly full."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (ROOM, hard))
    yield
    resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def too_much(file: BinaryIO) -> None:
    for _ in range(4):
        file.write(b"x" * ROOM)


@pytest.mark.usefixtures("little_room")
@pytest.mark.parametrize("old", [None, b"the old page"])
def test_a_full_disk_leaves_the_old_file_and_no_half_of_the_new_one(tmp_path: Path, old: bytes | None) -> None:
    path = tmp_path / "pond.pdf"
    if old is not None:
        path.write_bytes(old)
    with pytest.raises(Fault, match=r"cannot be written .*; nothing was written"):
        write_whole(path, too_much, overwrite=True)
    assert [one.name for one in tmp_path.iterdir()] == ([] if old is None else ["pond.pdf"])
    assert old is None or path.read_bytes() == old
    assert write_whole(path, lambda file: file.write(b"x" * ROOM), overwrite=True).stat().st_size == ROOM


def test_a_fault_while_drawing_leaves_nothing_either(tmp_path: Path) -> None:
    def stumble(file: BinaryIO) -> None:
        file.write(b"half a page")
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_whole(tmp_path / "pond.pdf", stumble)
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_came_up_while_drawing_is_not_written_over(tmp_path: Path) -> None:
    path = tmp_path / "pond.pdf"

    def drawn_meanwhile(file: BinaryIO) -> None:
        path.write_bytes(b"of another hand")
        file.write(b"ours")

    with pytest.raises(Fault):
        write_whole(path, drawn_meanwhile)
    assert path.read_bytes() == b"of another hand"
    assert [one.name for one in tmp_path.iterdir()] == ["pond.pdf"]


SHEETS = {
    "pages": ("pond.pdf",), "list": ("pond.txt",), "star": ("pond.png",), "point": ("pond.png", "--point"),
    "side by side": ("pond.png", "--all"), "points side by side": ("pond.png", "--all", "--point"),
}  # fmt: skip


@pytest.mark.parametrize("what", SHEETS)
@pytest.mark.parametrize("old", [None, b"the old one"])
def test_no_half_of_a_sheet_stays_where_the_disk_is_full(
    cli: CommandLine, tmp_path: Path, what: str, old: bytes | None
) -> None:
    name, *options = SHEETS[what]
    folder = tmp_path / "full"
    folder.mkdir()
    if old is not None:
        (folder / name).write_bytes(old)
    cli.json("check", "--star", "Mill Pond")
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    pages = ("--pages", "map,shop") if name.endswith(".pdf") else ()  # the cutting page writes to the stash, too
    resource.setrlimit(resource.RLIMIT_FSIZE, (16 if what == "list" else ROOM, hard))
    try:
        said = cli("sheet", "--star", "Mill Pond", "--out", folder / name, *options, *pages, "--overwrite")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert (said.code, said.out, len(said.err.splitlines())) == (1, "", 1), said
    assert "cannot be written" in said.err
    assert [one.name for one in folder.iterdir()] == ([] if old is None else [name])
    assert old is None or (folder / name).read_bytes() == old


@pytest.mark.parametrize("what", SHEETS)
def test_each_sheet_is_there_whole_and_replaced_only_when_asked(cli: CommandLine, tmp_path: Path, what: str) -> None:
    name, *options = SHEETS[what]
    path = tmp_path / "sheets" / name
    path.parent.mkdir()
    asked = ("sheet", "--star", "Mill Pond", "--out", path, *options)
    cli.json(*asked)
    first = path.read_bytes()
    assert first[-6:].strip().endswith((b"%%EOF", b"\xaeB`\x82")) or name.endswith(".txt")
    path.write_bytes(b"an older one")
    assert cli(*asked).code == 1
    assert path.read_bytes() == b"an older one"
    cli.json(*asked, "--overwrite")
    assert len(path.read_bytes()) == pytest.approx(len(first), abs=200)  # a page says the time it was made
    assert [one.name for one in path.parent.iterdir()] == [name]


@pytest.mark.parametrize("ending", ["pdf", "png", "txt"])
def test_each_sheet_says_in_one_line_why_it_is_not_written(cli: CommandLine, tmp_path: Path, ending: str) -> None:
    there = tmp_path / f"there.{ending}"
    there.write_bytes(b"an old page")
    folder = tmp_path / f"folder.{ending}"
    folder.mkdir()
    targets = {
        there: "a file of this name already",
        folder: "a folder, not a file",
        tmp_path / "gone" / f"pond.{ending}": "cannot be written",
        there / f"pond.{ending}": "cannot be written",
    }
    for path, why in targets.items():
        said = cli("sheet", "--star", "Mill Pond", "--out", path)
        assert said.code != 0
        assert (said.out, len(said.err.splitlines())) == ("", 1), said
        assert why in said.err
        assert str(path) in said.err
    assert there.read_bytes() == b"an old page"
    assert list(folder.iterdir()) == []


@pytest.mark.skipif(not Path("/proc/self").is_dir(), reason="needs a folder where not even root may write")
@pytest.mark.parametrize("what", SHEETS)
def test_a_read_only_folder_gets_one_line(cli: CommandLine, what: str) -> None:
    name, *options = SHEETS[what]
    said = cli("sheet", "--star", "Mill Pond", "--out", f"/proc/self/{name}", *options)
    assert (said.code, said.out, len(said.err.splitlines())) == (1, "", 1), said
    assert "cannot be written" in said.err
    assert f"/proc/self/{name}" in said.err


def test_no_plan_is_kept_for_pages_that_cannot_be_written(cli: CommandLine, tmp_path: Path) -> None:
    """Printing the cutting page keeps the plan: not where there is nothing to print on."""
    before = cli.json("history")
    for out in (tmp_path / "gone" / "pond.pdf", "/proc/self/pond.pdf", cli.path / "pond.pdf"):
        assert cli("sheet", "--star", "Mill Pond", "--out", out).code == 1
    assert cli.json("history") == before
    cli.json("sheet", "--star", "Mill Pond", "--out", tmp_path / "pond.pdf")
    assert len(cli.json("history")) == len(before) + 1


def test_a_stash_is_never_written_over_by_a_page(cli: CommandLine, tmp_path: Path) -> None:
    kept = tmp_path / "stash.pdf"
    kept.write_bytes(cli.path.read_bytes())
    said = cli("sheet", "--star", "Mill Pond", "--out", kept, "--overwrite")
    assert (said.code != 0, "a stash or another database" in said.err) == (True, True)
    assert kept.read_bytes()[:15] == b"SQLite format 3"


def test_a_socket_is_no_place_for_a_page(cli: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)  # a socket's path is short
    with socket.socket(socket.AF_UNIX) as ear:
        ear.bind("ear.pdf")
        said = cli("sheet", "--star", "Mill Pond", "--out", "ear.pdf")
    assert (said.code != 0, len(said.err.splitlines())) == (True, 1)
