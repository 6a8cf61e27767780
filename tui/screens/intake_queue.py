"""The photographs of one intake: which wait for the maker, which are done, what is to be said of the others. Pure."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from stash.errors import Fault
from stash.intake import Looked
from stash.model import Box, Fabric, NewSwatch

OTHER_WAY = "show more paper round it, or begin again with the last choice, nothing: its value is relative then"
AS_A_SHEET = "take it as a sheet of many swatches"


@dataclass(frozen=True, slots=True)
class Waiting:
    """One fabric to be named: a photograph, or one swatch of a sheet. `number` is the swatch's on its sheet, from 1;
    None where the photograph has one only."""

    looked: Looked
    swatch: NewSwatch
    number: int | None = None

    @property
    def path(self) -> Path:
        return self.looked.path


@dataclass
class Queue:
    """`paths` in the order given. A photograph is answered once; a sheet's swatches wait one by one."""

    paths: tuple[Path, ...]
    sheet: bool = False
    answered: dict[Path, Looked] = field(default_factory=dict)
    waiting: list[Waiting] = field(default_factory=list)
    saved: int = 0
    passed: list[Waiting] = field(default_factory=list)
    there: dict[Path, str] = field(default_factory=dict)  # photographs the stash has, and a fabric that has it

    def __post_init__(self) -> None:
        self._places = {path: at for at, path in enumerate(self.paths)}

    def take(self, looked: Looked, kept: Collection[Box] = (), fabric: str = "") -> int:
        """What became of one photograph; gives how many fabrics wait by it.

        kept -- boxes of a sheet's swatches that the stash has already, the first of them of `fabric`.
        """
        self.answered[looked.path] = looked
        if looked.repeat_of:
            self.there[looked.path] = looked.repeat_of
        many = self.sheet
        fresh = [
            Waiting(looked, swatch, number if many else None)
            for number, swatch in enumerate(looked.swatches, 1)
            if swatch.measured.box not in kept
        ]
        if looked.swatches and not fresh:
            self.there[looked.path] = fabric
        self.waiting.extend(fresh)
        self.waiting.sort(key=lambda one: (self._places.get(one.path, 0), one.number or 0))
        return len(fresh)

    def again(self, paths: Iterable[Path]) -> None:
        """These are to be measured anew."""
        for path in paths:
            self.answered.pop(path, None)
        self.waiting = [one for one in self.waiting if one.path in self.answered]

    def ready(self, measuring: bool) -> Waiting | None:
        """The fabric to be named now, in the order of the photographs: while they are being measured, one never
        comes before an earlier one that may still wait."""
        first = self.waiting[0] if self.waiting else None
        if first is None or not measuring:
            return first
        before = self.paths[: self._places.get(first.path, 0)]
        return first if all(path in self.answered for path in before) else None

    @property
    def to_measure(self) -> list[Path]:
        return [path for path in self.paths if path not in self.answered]

    @property
    def done(self) -> int:
        """Fabrics saved or passed over."""
        return self.saved + len(self.passed)

    @property
    def total(self) -> int:
        """Fabrics there are, as far as is known: a photograph not measured yet counts as one."""
        return self.done + len(self.waiting) + len(self.to_measure)

    @property
    def left_files(self) -> int:
        """Photographs with something on them that is neither saved nor known to be bad or there already."""
        open_ones = {one.path for one in (*self.waiting, *self.passed)}
        return len(open_ones | set(self.to_measure))

    def bad(self) -> list[Looked]:
        return [one for one in self._in_order() if one.fault is not None]

    def lines(self) -> list[str]:
        """What is to be said at the end, one line a photograph: bad ones, repeats, those passed over, those left."""
        said = [f"✗ {said_of(one.fault)}" for one in self.bad() if one.fault is not None]
        for one in self._in_order():
            name = one.path.name
            if one.same_as is not None:
                said.append(f"{name}: the same photograph as {one.same_as.name}; it was taken once")
            elif one.path in self.there:
                said.append(f"{name}: {self.there[one.path]} has it already; it was passed over")
        said += [f"{titled(one)}: passed over; the same folder offers it again" for one in self.passed]
        left = len(self.to_measure)
        if left:
            said.append(f"{left} {photographs(left)} not measured; the same folder goes on where you left")
        return said

    def _in_order(self) -> list[Looked]:
        return sorted(self.answered.values(), key=lambda one: self._places.get(one.path, 0))


def said_of(fault: Fault) -> str:
    """A fault of a photograph in one line; what it advises of the command line is said as this screen does it."""
    where = Path(fault.where).name if fault.where else ""  # the folder is known; its path would fill the line
    do = AS_A_SHEET if "--sheet" in fault.do else OTHER_WAY if "--" in fault.do else fault.do
    return Fault(fault.what, where, do).line()


def photographs(number: int) -> str:
    return "photograph was" if number == 1 else "photographs were"


def titled(one: Waiting) -> str:
    """`IMG_0411.jpg`, of a sheet `sheet.jpg, swatch 3`."""
    return one.path.name if one.number is None else f"{one.path.name}, swatch {one.number}"


def kept_boxes(looked: Looked, known: str, fabrics: Sequence[Fabric]) -> tuple[list[Box], str]:
    """Boxes of a sheet that the stash has fabrics from, and the name of one.

    known -- a fabric with a swatch from this very file, "" for none. The others are told by the file's name.
    """
    if not known:
        return [], ""
    return [
        fabric.swatch.box for fabric in fabrics if fabric.swatch is not None and fabric.photo == looked.path.name
    ], known
