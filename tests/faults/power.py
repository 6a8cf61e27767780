"""Power cuts replayed from the record of all that a program did to the files of a folder (shim.c).

What was synced before the cut is on the disk. Of what was not, any part may be: each 512 bytes of a write by chance, in
any order among the writes since the last sync; of names made and removed since the folder was synced, the first few.
A file that got no sync of its folder has no name yet. This is harsher than most disks.
"""

from __future__ import annotations

import os
import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

SECTOR = 512
MORE = 5


@dataclass(frozen=True)
class Step:
    kind: str  # write, cut, sync, gone, name, link, mark
    path: str
    offset: int
    data: bytes  # of a name or link: the name it had before


def read_record(path: Path) -> list[Step]:
    """The steps in their order."""
    raw, steps, at = path.read_bytes(), [], 0
    while at < len(raw):
        end = raw.index(b"\n", at)
        kind, name, offset, length = raw[at:end].decode().split("\t")
        body = int(length) if kind in ("write", "name", "link") else 0
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


Names = list[tuple[str, File | None]]  # what became of names in one step, which is done or not


class Disk:
    """The files of some folders while the steps are played."""

    def __init__(self, start: dict[str, bytes]) -> None:
        self._now = {name: File(bytearray(content)) for name, content in start.items()}
        self._named = dict(self._now)  # the names that are on the disk for sure
        self._renamed: list[Names] = []  # and what became of names since

    def play(self, step: Step) -> None:
        if step.kind == "sync" and Path(step.path).is_dir():
            lasting = [names for names in self._renamed if os.path.dirname(names[0][0]) == step.path]
            for names in lasting:
                _name(self._named, names)
                self._renamed.remove(names)
        elif step.kind == "sync":
            self._file(step.path).sync()
        elif step.kind == "gone":
            self._now.pop(step.path, None)
            self._renamed.append([(step.path, None)])
        elif step.kind in ("name", "link"):
            self._another_name(step)
        elif step.kind in ("write", "cut"):
            self._file(step.path).since.append(step)

    def _another_name(self, step: Step) -> None:
        old = step.data.decode()
        file = self._file(old)
        self._now[step.path] = file
        self._renamed.append([(step.path, file)])
        if step.kind == "name":
            del self._now[old]
            self._renamed[-1].append((old, None))

    def _file(self, path: str) -> File:
        if path not in self._now:
            self._now[path] = File()
            self._renamed.append([(path, self._now[path])])
        return self._now[path]

    def after_a_cut(self, luck: random.Random) -> dict[str, bytes]:
        """One of the states that a cut at this moment can leave: names to contents."""
        names = dict(self._named)
        for each in self._renamed[: luck.randint(0, len(self._renamed))]:
            _name(names, each)
        return {name: file.after(luck) for name, file in names.items()}


def _name(names: dict[str, File], became: Names) -> None:
    for name, file in became:
        if file is None:
            names.pop(name, None)
        else:
            names[name] = file


def cuts(
    steps: list[Step], start: dict[str, bytes], seed: int, each: int
) -> Iterator[tuple[str, dict[str, bytes]]]:
    """(the newest mark before the cut, a state) for `each` cuts after every step, and more when something was told."""
    luck, disk, told = random.Random(seed), Disk(start), ""
    for step in steps:
        if step.kind == "mark":
            told = step.path
        else:
            disk.play(step)
        for _ in range(each * (MORE if step.kind == "mark" else 1)):
            yield told, disk.after_a_cut(luck)
