"""A stash in a real file, empty and closed afterwards; and the command line run inside this process."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from stash import demo
from stash.cli import main
from stash.inventory.store import Store
from tests.engine.drawn import grey, on_paper


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.create(tmp_path / "stash.db") as opened:
        yield opened


@dataclass(frozen=True)
class Said:
    """How a command ended, and what it wrote."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        return json.loads(self.out)


class CommandLine:
    """Runs commands on one stash. `path` is that stash."""

    def __init__(self, path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.path = path
        self.capsys = capsys

    def __call__(self, *words: object) -> Said:
        """Run with --db, and give what came out as text."""
        return self.bare("--db", self.path, *words)

    def bare(self, *words: object) -> Said:
        """Run just these words."""
        self.capsys.readouterr()
        code = main([str(word) for word in words])
        return Said(code, *self.capsys.readouterr())

    def json(self, *words: object) -> Any:
        """Run with --json, expect that it is done, and give the document."""
        said = self(*words, "--json")
        assert said.code == 0, said
        return said.json

    def fabric(self, name: str) -> Any:
        """What `list` says of one fabric, archived or not."""
        return next(one for one in self.json("list", "--archived") if one["fabric"] == name)

    def sizes(self, name: str) -> list[tuple[str, float, float]]:
        """The pieces of a fabric: kind, length and width in inches."""
        return [(p["kind"], p["length_in"], p["width_in"]) for p in self.fabric(name)["pieces"]]


@pytest.fixture(scope="session")
def demo_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo stash, made once and closed; tests work on copies of it."""
    return demo.make_at(tmp_path_factory.mktemp("demo") / "demo.db")


@pytest.fixture
def one_core(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Most is measured in this process, as starting others takes longer; `both_cores` is for the others."""
    if "both_cores" not in request.fixturenames:
        monkeypatch.setattr("stash.intake.batch._cores", lambda: 1)


@pytest.fixture
def both_cores(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("stash.intake.batch._cores", lambda: 2)


@pytest.fixture
def photos(tmp_path: Path) -> Path:
    """A folder of six cloths on paper, from dark to light; one is named as a camera does."""
    folder = tmp_path / "photos"
    folder.mkdir()
    for i, name in enumerate(("moss-1", "moss-2", "IMG_0003", "moss-10", "hedge rose", "sage")):
        on_paper(folder / f"{name}.jpg", grey(40 + 25 * i), seed=i)
    return folder


@pytest.fixture
def cli(
    demo_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> CommandLine:
    """The command line on a fresh demo stash, with a log file of its own."""
    monkeypatch.delenv("STARCOVER_DB", raising=False)
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    return CommandLine(Path(shutil.copy(demo_file, tmp_path / "demo.db")), capsys)
