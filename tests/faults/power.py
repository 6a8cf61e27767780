"""Power cuts replayed from the record of all that a program did to the files of a folder (shim.c).

What was synced before the cut is on the disk. Of what was not, any part may be: each 512 bytes of a write by chance, in
any order among the writes since the last sync; of names made and removed since the folder was synced, the first few.
A file that got no sync of its folder has no name yet. This is harsher than most disks.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

SECTOR = 512


@dataclass(frozen=True)
class Step:
    kind: str  # write, cut, sync, gone, mark
    path: str
    offset: int
    data: bytes


def read_record(path: Path) -> list[Step]:
    """The steps in their order."""
    raw, steps, at = path.read_bytes(), [], 0
    while at < len(raw):
        end = raw.index(b"\n", at)
        kind, name, offset, length = raw[at:end].decode().split("\t")
        body = int(length) if kind == "write" else 0
        steps.append(Step(kind, name, int(offset), raw[end + 1 : end + 1 + body]))
        at = end + 1 + body
    return steps


@dataclass
class File:
    """One file (not one name): what is on the disk for sure, and what came since its last sync."""

    sure: bytearray = field(default_factory=bytearray)
    since: list[Step] = field(default_factory=list)

    def after(self, luck: random.Random) -> bytes:
        content = bytearray(self.sure)
        for step in self.since:
            _apply(content, step, luck)
        return bytes(content)

    def sync(self) -> None:
        for step in self.since:
            _apply(self.sure, step, None)
        self.since.clear()


def _apply(content: bytearray, step: Step, luck: random.Random | None) -> None:
    if step.kind == "cut":
        if luck is None or luck.random() < 0.5:
            del content[step.offset :]
            content.extend(bytes(step.offset - len(content)))
        return
    for start in range(0, len(step.data), SECTOR):
        if luck is not None and luck.random() < 0.5:
            continue
        part = step.data[start : start + SECTOR]
        at = step.offset + start
        content.extend(bytes(max(0, at + len(part) - len(content))))
        content[at : at + len(part)] = part


class Disk:
    """The files of one folder while the steps are played."""

    def __init__(self, folder: str, start: dict[str, bytes]) -> None:
        self._folder = folder
        self._now = {name: File(bytearray(content)) for name, content in start.items()}
        self._named = dict(self._now)  # the names that are on the disk for sure
        self._renamed: list[tuple[str, File | None]] = []  # and what became of names since

    def play(self, step: Step) -> None:
        if step.kind == "sync" and step.path == self._folder:
            for name, file in self._renamed:
                _name(self._named, name, file)
            self._renamed.clear()
        elif step.kind == "sync":
            self._file(step.path).sync()
        elif step.kind == "gone":
            self._now.pop(step.path, None)
            self._renamed.append((step.path, None))
        elif step.kind in ("write", "cut"):
            self._file(step.path).since.append(step)

    def _file(self, path: str) -> File:
        if path not in self._now:
            self._now[path] = File()
            self._renamed.append((path, self._now[path]))
        return self._now[path]

    def after_a_cut(self, luck: random.Random) -> dict[str, bytes]:
        """One of the states that a cut at this moment can leave: names to contents."""
        names = dict(self._named)
        for name, file in self._renamed[: luck.randint(0, len(self._renamed))]:
            _name(names, name, file)
        return {name: file.after(luck) for name, file in names.items()}


def _name(names: dict[str, File], name: str, file: File | None) -> None:
    if file is None:
        names.pop(name, None)
    else:
        names[name] = file


def cuts(
    steps: list[Step], folder: Path, start: dict[str, bytes], seed: int, each: int
) -> Iterator[tuple[str, dict[str, bytes]]]:
    """(the newest mark before the cut, a state) for `each` cuts after every step."""
    luck, disk, told = random.Random(seed), Disk(str(folder), start), ""
    for step in steps:
        if step.kind == "mark":
            told = step.path
            continue
        disk.play(step)
        for _ in range(each):
            yield told, disk.after_a_cut(luck)
