"""A stash that may only be read, or not even that, as the rights of its file and folder say."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from stash.errors import Fault
from stash.inventory.store import Store
from stash.model import NewFabric
from tests.engine.stashes import digest, fern, tables
from tests.posix import POSIX

# Root may do anything, so as root the child gives them up first.

AS_NOBODY = """
import os, pwd, sys
from stash.errors import Fault
from stash.inventory.store import Store
from stash.model import NewFabric
with Store.open(sys.argv[2]) as warm:  # whatever is imported late is imported while it still may be read
    warm.add(NewFabric("Moss")); warm.fabrics(); warm.history(); warm.change_token()
if os.getuid() == 0:
    os.setgid(65534); os.setuid(65534)
try:
    with Store.open(sys.argv[1]) as store:
        print(store.read_only, [f.name for f in store.fabrics()], len(store.history()), store.change_token() != ())
        store.add(NewFabric("Moss"))
except Fault as fault:
    print(fault.line())
"""


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that everybody may enter and write."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o777)
    yield folder
    folder.chmod(0o777)
    shutil.rmtree(folder)


def as_nobody(path: Path, warm: Path) -> str:
    Store.create(warm).close()
    done = subprocess.run(
        [sys.executable, "-c", AS_NOBODY, str(path), str(warm)], capture_output=True, text=True, check=False
    )
    assert done.stderr == ""
    return done.stdout


@POSIX
@pytest.mark.parametrize("rights", ["file", "folder"])
def test_a_read_only_stash_is_read_and_no_more(open_folder: Path, rights: str, tmp_path: Path) -> None:
    path = open_folder / "stash.db"
    with Store.create(path) as store:
        fern(store)
    path.chmod(0o444 if rights == "file" else 0o666)
    open_folder.chmod(0o777 if rights == "file" else 0o555)
    before = digest(path)
    told = as_nobody(path, tmp_path / "warm.db")
    assert "True ['Fern'] 1 True" in told
    assert "for reading only" in told
    assert digest(path) == before


@POSIX
def test_a_stash_that_may_not_be_read_names_its_owner(open_folder: Path, tmp_path: Path) -> None:
    path = open_folder / "stash.db"
    Store.create(path).close()
    path.chmod(0o000)
    told = as_nobody(path, tmp_path / "warm.db")
    assert str(path) in told
    assert "may not be read" in told
    if os.getuid() == 0:
        assert "belongs to root" in told


def test_a_read_only_stash_says_so_at_every_write(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    fern(store)
    monkeypatch.setattr(os, "access", lambda path, mode: mode != os.W_OK)
    before = tables(store.path)
    with Store.open(store.path) as reader:
        assert reader.read_only
        assert len(reader.fabrics()) == 1
        for act in (lambda: reader.add(NewFabric("Moss")), lambda: reader.used(1, None), reader.undo):
            with pytest.raises(Fault, match="for reading only"):
                act()
    assert tables(store.path) == before
