"""What the tests of faults share: a stash, the command line on one, and the layer between a program and its disk."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from stash.inventory.store import Store
from tests.engine.conftest import CommandLine, Said, cli, demo_file, store
from tests.faults import shim

__all__ = ["CommandLine", "Said", "cli", "demo_file", "store"]


def base_with(tmp_path: Path, fill: Callable[[Store], object]) -> Path:
    """A folder with a stash "stash.db"."""
    base = tmp_path / "base"
    base.mkdir()
    with Store.create(base / "stash.db") as store:
        fill(store)
    return base


@dataclass(frozen=True)
class Trial:
    """A copy of the base folder in which an action was stopped at a step: 0 done, 1 a fault, -9 killed."""

    room: Path
    step: int
    ended: int

    @property
    def stash(self) -> Path:
        return self.room / "stash.db"

    @property
    def told(self) -> str:
        """What the action had acknowledged when it was stopped ("" for nothing)."""
        path = self.room.with_name(f"{self.room.name}.told")
        return path.read_text(encoding="utf-8") if path.exists() else ""

    @property
    def fault(self) -> str:
        path = self.room.with_name(f"{self.room.name}.fault")
        return path.read_text(encoding="utf-8") if path.exists() else ""


Stopped = Callable[..., list[Trial]]


@pytest.fixture(scope="session")
def layer(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return shim.compiled(tmp_path_factory.mktemp("layer"))


@pytest.fixture
def stopped(layer: Path, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Stopped:
    """stopped(action, base, how, stride): an action of tests/faults/driver.py stopped at each of its steps."""

    def run(action: str, base: Path, how: int = shim.KILL, stride: int = 1) -> list[Trial]:
        out = tmp_path_factory.mktemp("trials")
        words = [sys.executable, "-m", "tests.faults.driver", action, str(how), str(base), str(out), str(stride)]
        done = subprocess.run(
            words, env=shim.environment(layer), cwd=shim.ROOT, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stderr
        trials = [Trial(out / str(step), step, ended) for step, ended in map(json.loads, done.stdout.splitlines())]
        assert len(trials) > 3, "it has several steps"
        assert trials[-1].ended == 0, "the last one is not stopped"
        assert {one.ended for one in trials[:-1]} == {-9 if how == shim.KILL else 1}, done.stderr
        return trials

    return run


@pytest.fixture
def backups_at(monkeypatch: pytest.MonkeyPatch) -> Callable[[Trial], None]:
    """Makes this process look for backups where a trial had them."""

    def use(trial: Trial) -> None:
        monkeypatch.setenv("STARCOVER_BACKUPS", str(trial.room / "backups"))

    return use


@pytest.fixture
def stride(pytestconfig: pytest.Config) -> int:
    """Every third step of what has many; every one with --kills 100 and more."""
    return 1 if pytestconfig.getoption("--kills") >= 100 else 3


def refused(said: Said, *words: str) -> None:
    """One plain line with these words, exit code 1, no traceback."""
    assert said.code == 1, said
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert said.err.startswith("starcover: ")
    for word in words:
        assert word in said.err
    assert "Traceback" not in said.err


@pytest.fixture
def fuzz(pytestconfig: pytest.Config) -> int:
    """How many broken files of each sort to try."""
    many: int = pytestconfig.getoption("--fuzz")
    return many


AS_ROOT = os.name == "posix" and os.getuid() == 0
