"""The layer between a program and its disk: compiled once, armed from inside the program that is to be tried."""

from __future__ import annotations

import ctypes
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

SOURCE = Path(__file__).with_name("shim.c")
ROOT = Path(__file__).resolve().parents[2]
KILL, FULL, RECORD = 1, 2, 3


def compiled(folder: Path) -> Path:
    """The layer as a library in `folder`. Skips, saying why, where it cannot be made."""
    if not sys.platform.startswith("linux"):
        pytest.skip("the layer between a program and its disk is made for Linux")
    gcc = shutil.which("gcc") or shutil.which("cc")
    if gcc is None:
        pytest.skip("there is no C compiler to make the layer between a program and its disk")
    library = folder / "shim.so"
    made = subprocess.run(
        [gcc, "-shared", "-fPIC", "-O1", "-w", "-o", str(library), str(SOURCE), "-ldl"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    if made.returncode:
        pytest.skip(f"the C compiler does not make the layer: {made.stderr.strip()[:200]}")
    return library


def arm(how: int, steps: int, folder: Path, record: Path | None = None) -> None:
    """From the step after `steps` on, do `how` to what this process does under `folder`."""
    ctypes.CDLL(None).faults_arm(how, ctypes.c_long(steps), os.fsencode(folder), os.fsencode(record or Path("/")))


def disarm() -> None:
    ctypes.CDLL(None).faults_off()


def mark(text: str) -> None:
    """Put a word into the record: what was acknowledged by now."""
    ctypes.CDLL(None).faults_mark(text.encode())


def environment(library: Path) -> dict[str, str]:
    return {**os.environ, "LD_PRELOAD": str(library), "PYTHONPATH": str(ROOT)}
