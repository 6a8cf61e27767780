"""What `measure`, `add` and `edit` share of photographs: their options, the files, looking, and faults one a line."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stash.cli import faults
from stash.cli.options import number, whole
from stash.cli.output import clean, write
from stash.cli.progress import Counter, until_interrupted
from stash.errors import Fault, UsageFault
from stash.lengths import shown
from stash.model import Box, NewSwatch

if TYPE_CHECKING:
    from stash.intake import How, Looked

PHOTO_OPTIONS = ("box", "white", "grey", "on_paper", "sheet", "reflectance")
LEAST, MOST = 0.05, 1.0  # reflectance Y


def how_from(args: Namespace) -> How:
    """How the options say that photographs are measured. Raises UsageFault."""
    from stash.intake import How

    return How(
        box=_box(args, "box"),
        white=_box(args, "white"),
        grey=_box(args, "grey"),
        on_paper=args.on_paper,
        sheet=getattr(args, "sheet", False),
        reflectance=None if args.reflectance is None else number(args.reflectance, "--reflectance", LEAST, MOST),
    )


def refuse_without_photo(args: Namespace, where: str, do: str) -> None:
    """Options of a photograph mean nothing where none is given."""
    for name in PHOTO_OPTIONS:
        if getattr(args, name, None) not in (None, False):
            raise UsageFault(f"--{name.replace('_', '-')} is about a photograph, and none is given", where=where, do=do)


def _box(args: Namespace, name: str) -> Box | None:
    text = getattr(args, name)
    if text is None:
        return None
    parts = text.split(",")
    if len(parts) != 4:
        do = "write X,Y,W,H in pixels, as in 200,150,400,400"
        raise UsageFault(f'"{shown(text)}" is no box', where=f"--{name}", do=do)
    x, y, width, height = (whole(part, f"--{name}") for part in parts)
    if not width or not height:
        raise UsageFault("a box of no width or height holds nothing", where=f"--{name}", do="give it at least 1 px")
    return x, y, width, height


@dataclass(frozen=True, slots=True)
class Failed:
    """A photograph that could not be measured; `photo` as it was written."""

    photo: str
    fault: Fault


def found(paths: Iterable[str]) -> tuple[list[Path], list[Failed]]:
    """The photographs named, folders opened, and the names that stand for none."""
    from stash.intake import photo_files

    files: dict[Path, None] = {}
    failed = []
    for text in paths:
        try:
            files.update(dict.fromkeys(photo_files([Path(text)])))
        except Fault as fault:
            failed.append(Failed(text, fault))
    return list(files), failed


@dataclass(frozen=True, slots=True)
class Seen:
    """What became of photographs: those measured or passed over, those that could not be, and whether all were."""

    good: list[Looked]
    failed: list[Failed]
    stopped: bool


def look_at(files: Sequence[Path], how: How, known: Mapping[str, str]) -> Seen:
    """Measure photographs and count them on standard error; Ctrl-C ends it with what is done by then."""
    from stash.intake import look_at_all

    counter = Counter()

    def progress(done: int, of: int, looked: Looked) -> None:
        counter(done, of, looked.path.name)

    with until_interrupted() as stopped:
        answers = look_at_all(files, how, known, progress=progress, stopped=stopped)
    counter.end()
    failed = []
    for looked in answers:
        if looked.fault is not None:
            faults.keep_trace(looked.trace)
            failed.append(Failed(str(looked.path), looked.fault))
    good = [looked for looked in answers if looked.fault is None]
    return Seen(good, failed, len(answers) < len(files))


def swatch_of(path: str, how: How) -> NewSwatch:
    """The swatch on one photograph. Raises its fault."""
    from stash.intake import look

    if how.sheet:
        raise UsageFault("a sheet has many fabrics on it", where="--sheet", do="add --photos takes it")
    looked = look(Path(path), how)
    if looked.fault is not None:
        faults.keep_trace(looked.trace)
        raise looked.fault
    return looked.swatches[0]


def tell(failed: Iterable[Failed]) -> None:
    """One line for each on standard error."""
    for one in failed:
        write(sys.stderr, "starcover: " + clean(one.fault.line()))


def none_of_them(failed: Sequence[Failed]) -> Fault:
    """The one fault of a command none of whose photographs could be measured; several are told before it."""
    if len(failed) == 1:
        return failed[0].fault
    tell(failed)
    return Fault(f"none of the {len(failed)} photographs could be measured", do="the lines before say why")
