"""Which libraries each way of starting loads, seen from a fresh process; and the layers."""

from __future__ import annotations

import os
import pkgutil
import subprocess
import sys
from pathlib import Path

import pytest

import stash

ROOT = Path(__file__).resolve().parents[1]
SCREEN = frozenset({"textual", "rich", "tui"})
HEAVY = frozenset({"textual", "rich", "tui", "sqlalchemy", "alembic", "numpy", "PIL", "colormath"})


def loaded(program: str) -> set[str]:
    """Top-level names of all modules that a fresh process has loaded after `program`."""
    tail = "\nimport sys; sys.stderr.write(' '.join({name.partition('.')[0] for name in sys.modules}))"
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "-c", program + tail], cwd=ROOT, env=environment, capture_output=True, text=True, timeout=120
    )
    assert done.returncode == 0, done.stderr
    return set(done.stderr.split())


def modules() -> list[str]:
    """Every module of the engine; the command line's are imported too, as none may load a screen by itself."""
    found = [one.name for one in pkgutil.walk_packages(stash.__path__, "stash.")]
    return [name for name in found if not name.endswith(("__main__", "migrations.env"))]


def test_the_check_sees_what_is_loaded() -> None:
    assert "textual" in loaded("import textual")


def test_the_engine_loads_no_screen() -> None:
    names = modules()
    assert {"stash.demo", "stash.inventory.store", "stash.match.sequence", "stash.star.chart"} <= set(names)
    assert not loaded("\n".join(f"import {name}" for name in names)) & SCREEN


@pytest.mark.parametrize(
    "words",
    [
        ["--version"], ["--help"], ["star", "--help"], ["suggest", "--help"], ["measure", "--help"], ["add", "--help"],
        ["web", "--help"], ["completion", "bash"],
    ],
)  # fmt: skip
def test_version_and_help_load_nothing_heavy(words: list[str]) -> None:
    program = f"import stash.cli\ncode = stash.cli.main({words!r})\nassert code == 0, code"
    assert not loaded(program) & HEAVY


def test_arithmetic_is_asked_to_keep_to_one_thread_before_it_is_loaded() -> None:
    program = "import os, stash.cli\nstash.cli.main(['--version'])\nassert os.environ['OPENBLAS_NUM_THREADS'] == '1'"
    assert "numpy" not in loaded(program)


def test_a_star_on_paper_loads_neither_database_nor_screen() -> None:
    words = ["star", "--grid", "4", "--strip", "2.5"]
    program = f"import stash.cli\ncode = stash.cli.main({words!r})\nassert code == 0, code"
    assert not loaded(program) & HEAVY


def test_the_first_screen_needs_neither_database_nor_pictures_nor_search() -> None:
    """What takes long to load is loaded once something is drawn."""
    assert not loaded("import tui.app") & {"sqlalchemy", "alembic", "numpy", "PIL", "colormath"}


def test_the_layers_hold() -> None:
    lint = Path(sys.executable).with_name("lint-imports")
    done = subprocess.run(
        [str(lint), "--no-cache"], cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout
