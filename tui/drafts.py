"""What was typed into a form and not saved yet, kept on disk at every key, so that a closed terminal loses nothing.

A draft keeps the form's uid too: where the save was done and only its answer was lost, saving again adds nothing.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from stash.paths import drafts_folder


@dataclass(frozen=True, slots=True)
class Draft:
    """The values of a form's fields and ticks by their ids, and the uid of the save that was to come."""

    uid: str
    values: dict[str, str]
    ticks: dict[str, bool]


def _file(stash: Path, form: str) -> Path:
    mark = hashlib.sha256(os.fsencode(stash) + b"\0" + form.encode("utf-8", "surrogateescape")).hexdigest()
    return drafts_folder() / f"{mark[:24]}.json"


def keep(stash: Path, form: str, draft: Draft) -> None:
    """Write the draft of the form called `form`. A disk that takes nothing is let be: the form is still open."""
    path = _file(stash, form)
    with suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        unready = path.with_suffix(f".{os.getpid()}.new")
        said = {"uid": draft.uid, "values": draft.values, "ticks": draft.ticks}
        unready.write_text(json.dumps(said), encoding="utf-8")
        os.replace(unready, path)


def kept(stash: Path, form: str) -> Draft | None:
    """The draft of the form called `form`, if there is one that can be read."""
    with suppress(OSError, ValueError, TypeError, KeyError):
        said = json.loads(_file(stash, form).read_text(encoding="utf-8"))
        return Draft(str(said["uid"]), _texts(said["values"]), {str(k): bool(v) for k, v in said["ticks"].items()})
    return None


def _texts(said: Mapping[str, object]) -> dict[str, str]:
    return {str(name): str(text) for name, text in said.items()}


def drop(stash: Path, form: str) -> None:
    """Saved, or left on purpose: there is nothing to offer again."""
    with suppress(OSError):
        _file(stash, form).unlink(missing_ok=True)
