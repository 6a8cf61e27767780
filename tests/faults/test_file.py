"""Faults of the file: missing, empty, foreign, newer, older, out of reach, in a bad place."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from stash.errors import Fault
from stash.inventory.backup_files import backups_of, fault_of
from stash.inventory.store import Store
from stash.inventory.verify import verify
from tests.engine.older_files import NOW, filled, form, golden
from tests.engine.stashes import fern, raw, released, visible
from tests.faults.conftest import AS_ROOT, CommandLine, refused
from tests.faults.shim import ROOT
from tests.posix import POSIX


def test_15_missing(cli: CommandLine, tmp_path: Path) -> None:
    path = tmp_path / "no folder" / "stash.db"
    refused(cli.bare("--db", path, "list"), str(path), "there is no stash here", "starcover new")
    assert not path.parent.exists()
    shutil.copy(cli.path, tmp_path / "gone.db")
    assert cli.bare("--db", tmp_path / "gone.db", "backup").code == 0
    (tmp_path / "gone.db").unlink()
    refused(cli.bare("--db", tmp_path / "gone.db", "list"), "restore the newest backup")
    assert not (tmp_path / "gone.db").exists()


def test_16_zero_bytes(cli: CommandLine) -> None:
    assert cli("backup").code == 0
    cli.path.write_bytes(b"")
    refused(cli("list"), "empty (0 bytes)", "restore", str(backups_of(cli.path)[0].path))
    assert cli.path.read_bytes() == b""
    done = cli("restore", backups_of(cli.path)[0].path, "--yes", "--json")
    assert done.code == 0
    assert Path(done.json["kept"]).read_bytes() == b""
    assert len(cli.json("list")) > 10


@pytest.mark.parametrize("start", [b"fabric,length\nFern,1 yd\n", b"\x89PNG\r\n\x1a\n" + bytes(5000), "Ä\n".encode()])
def test_17_not_sqlite(cli: CommandLine, start: bytes) -> None:
    cli.path.write_bytes(start)
    refused(cli("list"), "not a stash file")
    refused(cli("used", "Fern", "all"), "not a stash file")
    assert cli.path.read_bytes() == start


def test_18_of_another_program(cli: CommandLine) -> None:
    with raw(cli.path) as conn:
        conn.execute("PRAGMA application_id = 77")
    before = cli.path.read_bytes()
    other = cli.path.with_name("other.db")
    Store.create(other).close()
    for words in (("list",), ("used", "Fern", "all"), ("backup",), ("verify",), ("restore", other, "--yes")):
        refused(cli(*words), "belongs to another program")
        assert cli.path.read_bytes() == before


def test_19_of_a_newer_version(cli: CommandLine) -> None:
    with raw(cli.path) as conn:
        conn.execute(f"PRAGMA user_version = {NOW + 4}")
    before = cli.path.read_bytes()
    other = cli.path.with_name("other.db")
    Store.create(other).close()
    for words in (("list",), ("used", "Fern", "all"), ("verify",), ("restore", other, "--yes")):
        refused(cli(*words), f"version {NOW + 4}", f"knows {NOW}")
        assert cli.path.read_bytes() == before


@pytest.mark.parametrize("version", range(1, NOW))
def test_20_of_an_older_version(tmp_path: Path, version: int) -> None:
    path = tmp_path / "old.db"
    seen = filled(path, version)
    with Store.open(path) as store:
        assert [*visible(store), store.history()] == seen
    assert verify(path) == []
    (kept,) = backups_of(path)
    assert (kept.why, fault_of(kept.path)) == ("before-upgrade", None)
    assert form(kept.path) == golden(version)
    released(tmp_path / "empty.db", version)
    Store.open(tmp_path / "empty.db").close()
    assert verify(tmp_path / "empty.db") == []


def test_20_of_an_older_version_while_another_program_saves(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is not the upgrade's fault, so nobody is asked to report it."""
    path = tmp_path / "old.db"
    filled(path, 1)
    before = path.read_bytes()
    monkeypatch.setattr("stash.inventory.transactions.BUSY_SECONDS", 0.05)
    with raw(path) as conn:
        conn.execute("BEGIN IMMEDIATE")
        with pytest.raises(Fault) as said:
            Store.open(path)
    assert said.value.what == "another program is saving to this stash; nothing was changed"
    assert "report" not in said.value.do
    assert path.read_bytes() == before
    Store.open(path).close()


AS_NOBODY = """
import os, sys
from stash.cli import main, keeping, listing, cloth, cutting, faults, output
from stash.inventory import store, history, verify, backup, restore, places, leftovers
from stash.inventory.store import Store
with Store.open(sys.argv[1]) as warm:  # whatever is imported late is imported while it still may be read
    warm.fabrics(); warm.history()
main(["--db", sys.argv[1], "list"]); main(["--db", sys.argv[1], "used", "Nothing", "all"])
sys.stdout.flush(); print("----"); sys.stdout.flush()
if os.getuid() == 0:
    os.setgid(65534); os.setuid(65534)
for words in sys.argv[3:]:
    print("=", main(["--db", sys.argv[2], *words.split(" ")]), flush=True)
"""


@pytest.fixture
def anybodys(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that everybody may enter and write, and so may all above it."""
    import tempfile

    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o777)
    yield folder
    folder.chmod(0o777)
    shutil.rmtree(folder)


def as_nobody(warm: Path, path: Path, *commands: str) -> tuple[str, str]:
    done = subprocess.run(
        [sys.executable, "-c", AS_NOBODY, str(warm), str(path), *commands],
        cwd=ROOT, capture_output=True, text=True, check=False, env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert "Traceback" not in done.stderr
    return done.stdout.partition("----\n")[2], done.stderr


@POSIX
@pytest.mark.parametrize("rights", ["file", "folder"])
def test_23_read_only(anybodys: Path, store: Store, rights: str) -> None:
    fern(store, 9)
    path = Path(shutil.copy(store.path, anybodys / "stash.db"))
    path.chmod(0o444 if rights == "file" else 0o666)
    anybodys.chmod(0o777 if rights == "file" else 0o555)
    before = path.read_bytes()
    out, err = as_nobody(store.path, path, "list", "used Fern all", "history")
    assert "Fern" in out
    assert [line for line in out.splitlines() if line.startswith("=")] == ["= 0", "= 1", "= 0"]
    assert "for reading only; nothing was changed" in err
    assert path.read_bytes() == before


@POSIX
def test_24_no_permission(anybodys: Path, store: Store) -> None:
    path = Path(shutil.copy(store.path, anybodys / "stash.db"))
    path.chmod(0o000)
    out, err = as_nobody(store.path, path, "list")
    assert out.splitlines()[-1] == "= 1"
    assert str(path) in err
    assert "may not be read" in err
    if AS_ROOT:
        assert "belongs to root" in err


@POSIX
def test_25_no_plain_file(cli: CommandLine, tmp_path: Path) -> None:
    (tmp_path / "dangling").symlink_to(tmp_path / "nowhere")
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    (tmp_path / "link").symlink_to(cli.path)
    for path, said in (
        (tmp_path, "folder"),
        (Path("/dev/null"), "device"),
        (tmp_path / "dangling", "link to a file that is not there"),
        (tmp_path / "loop", "leads nowhere"),
    ):
        for words in (("list",), ("backup",), ("restore", cli.path, "--yes")):
            refused(cli.bare("--db", path, *words), said)
    assert cli.bare("--db", tmp_path / "link", "backup").code == 0
    assert len(backups_of(cli.path)) == 1, "a link leads to the one name of the file"
    (tmp_path / "second").hardlink_to(cli.path)
    refused(cli("list"), "2 names")
    assert not (tmp_path / "nowhere").exists()


@pytest.mark.parametrize(
    ("kind", "folder", "beside", "said"),
    [
        ("nfs4", "plain", (), "disk on the network (nfs4)"),
        ("ext4", "Dropbox", (), "kept alike on several machines"),
        ("ext4", "plain", ("stash (conflicted copy of Ada).db",), "stash (conflicted copy of Ada).db"),
        ("ext4", "plain", ("stash.sync-conflict-20260101-120000.db",), "stash.sync-conflict-20260101-120000.db"),
        ("ext4", "plain", ("stash2.db", "stash.csv"), ""),
    ],
)
def test_31_network_disks_and_synced_folders(
    cli: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    kind: str, folder: str, beside: tuple[str, ...], said: str,
) -> None:  # fmt: skip
    room = tmp_path / folder
    room.mkdir()
    path = room / "stash.db"
    shutil.copy(cli.path, path)
    for name in beside:
        shutil.copy(cli.path, room / name)
    mounts = tmp_path / "mounts"
    mounts.write_text(f"rootfs / ext4 rw 0 0\nserver:/x {room} {kind} rw 0 0\n", encoding="utf-8")
    monkeypatch.setattr("stash.inventory.places.MOUNTS", mounts)
    told = cli.bare("--db", path, "list", "--json")
    assert told.code == 0
    assert len(told.json) > 10
    assert said in told.err if said else told.err == ""
