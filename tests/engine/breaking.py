"""Stands in for `stash.intake.looking.look` in other processes: files that say so end the process, or raise."""

from __future__ import annotations

import os
from pathlib import Path

from stash.intake.looking import How, Looked, look

BREAKS = b"ends the process"


def breaking_look(path: Path, how: How, *, preview: bool = False) -> Looked:
    if BREAKS in path.read_bytes():
        os._exit(9)
    return look(path, how, preview=preview)
