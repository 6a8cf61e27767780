"""A new stash that is filled from a file: whole under its name, or not there at all, whatever stops it."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from stash.inventory.store import Store
from stash.inventory.verify import verify
from tests.engine.conftest import CommandLine
from tests.engine.stashes import full, tables
from tests.faults import shim
from tests.faults.conftest import Stopped, Trial, refused
from tests.faults.telling import file
from tests.posix import POSIX

ROWS = "fabric,length\n" + "".join(f"Row {n},1 yd\n" for n in range(60))


def base_of(tmp_path: Path, action: str) -> Path:
    """A folder with the file that is taken in, and no stash."""
    from stash.inventory.whole import export_json

    base = tmp_path / "base"
    base.mkdir()
    if action == "make of CSV":
        (base / "in.csv").write_text(ROWS, encoding="utf-8")
        return base
    with Store.create(tmp_path / "filled.db") as store:
        full(store)
        if action == "make of JSON":
            export_json(store, base / "in.json")
    if action == "rescue":
        shutil.copy(tmp_path / "filled.db", base / "damaged.db")
    return base


def whole_or_absent(trial: Trial, fabrics: int) -> bool:
    """Whether the stash is there; and if so, it has all that was to go in and is sound."""
    if not trial.stash.exists():
        assert not trial.told
        return False
    with Store.open(trial.stash) as store:
        assert len(store.fabrics(archived=True)) == fabrics
    assert verify(trial.stash) == []
    return True


MORE = 7  # steps of these are many and alike

MADE = pytest.mark.parametrize(("action", "fabrics"), [("make of CSV", 60), ("make of JSON", 4), ("rescue", 4)])


@MADE
def test_07_kill_while_a_new_stash_is_filled(
    tmp_path: Path, stopped: Stopped, stride: int, action: str, fabrics: int
) -> None:
    base = base_of(tmp_path, action)
    came = [whole_or_absent(trial, fabrics) for trial in stopped(action, base, stride=stride * MORE)]
    assert came == sorted(came)
    assert (came[0], came[-1]) == (False, True)


@MADE
def test_11_disk_full_while_a_new_stash_is_filled(
    tmp_path: Path, stopped: Stopped, stride: int, action: str, fabrics: int
) -> None:
    base = base_of(tmp_path, action)
    before = sorted(one.name for one in base.iterdir())
    for trial in stopped(action, base, shim.FULL, stride * MORE):
        if trial.ended == 0:
            assert whole_or_absent(trial, fabrics)
            continue
        assert trial.fault.count("\n") <= 1
        assert ".new" not in trial.fault, "the name that the maker knows"
        assert "stumbled" not in trial.fault
        assert sorted(one.name for one in trial.room.iterdir() if one.is_file()) == before, "no part of it is left"


def test_07_what_a_killed_import_left_is_cleared_by_the_next(
    tmp_path: Path, stopped: Stopped, stride: int, cli: CommandLine
) -> None:
    base = base_of(tmp_path, "make of CSV")
    left = 0
    for trial in stopped("make of CSV", base, stride=stride * MORE):
        left += any(".new" in one.name for one in trial.room.iterdir())
        trial.stash.unlink(missing_ok=True)
        assert cli.bare("--db", trial.stash, "import", trial.room / "in.csv").code == 0
        assert [one.name for one in trial.room.iterdir() if ".new" in one.name] == []
    assert left, "some were killed half way"


def other_program(*words: object) -> None:
    command = [sys.executable, "-m", "stash.cli", *map(str, words)]
    done = subprocess.run(command, cwd=shim.ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done


def test_07_what_another_program_saves_meanwhile_stays(
    cli: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The stash is made by another program while the photographs of the file are measured; then the file proves bad."""
    import stash.intake

    (tmp_path / "a.jpg").write_text("no picture")
    new, look = tmp_path / "new.db", stash.intake.look

    def meanwhile(*given: object, **more: object) -> object:
        if not new.exists():
            other_program("--db", new, "new")
            other_program("--db", new, "add", "Heirloom", "--length", "2 yd")
        return look(*given, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(stash.intake, "look", meanwhile)
    assert cli.bare("--db", new, "import", file(cli, "fabric,photo\nMoss,a.jpg\n")).code == 1
    assert [one["fabric"] for one in cli.bare("--db", new, "list", "--json").json] == ["Heirloom"]


def test_07_a_name_that_is_taken_meanwhile_is_left(
    cli: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from stash.inventory import exchange

    new, take_all = tmp_path / "new.db", exchange._take_all

    def meanwhile(*given: object) -> object:
        other_program("--db", new, "new")
        return take_all(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(exchange, "_take_all", meanwhile)
    refused(cli.bare("--db", new, "import", file(cli, "fabric\nMoss\n")), str(new), "something here already")
    assert tables(new)["fabric"] == []


STOPPED = """
import os, signal, sys
from stash.cli import main
from stash.inventory import MODULE
def now(*given, **more):
    os.kill(os.getpid(), int(sys.argv[1]))
MODULE.FUNCTION = now
sys.exit(main(sys.argv[2:]))
"""


@POSIX
@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGHUP, signal.SIGINT])
@pytest.mark.parametrize("what", ["import", "rescue"])
def test_07_a_signal_while_a_new_stash_is_filled(tmp_path: Path, how: signal.Signals, what: str) -> None:
    """Nothing is left: under its name, under another one, or in the folder for temporary files."""
    base, scratch = base_of(tmp_path, "make of CSV" if what == "import" else "rescue"), tmp_path / "scratch"
    scratch.mkdir()
    before = sorted(base.iterdir())
    words = {
        "import": ["--db", "stash.db", "import", "in.csv"],
        "rescue": ["--db", "damaged.db", "verify", "--rescue", "stash.db"],
    }[what]
    module, function = ("exchange", "_take_all") if what == "import" else ("rescue", "_enter_fabrics")
    code = STOPPED.replace("MODULE", module).replace("FUNCTION", function)
    done = subprocess.run(
        [sys.executable, "-c", code, str(int(how)), *words], cwd=base, capture_output=True, text=True, check=False,
        env={**os.environ, "PYTHONPATH": str(shim.ROOT), "TMPDIR": str(scratch)},
    )  # fmt: skip
    assert done.returncode == 128 + how, done
    assert "Traceback" not in done.stderr
    assert sorted(base.iterdir()) == before
    assert sorted(scratch.iterdir()) == []
