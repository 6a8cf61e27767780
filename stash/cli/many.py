"""`add --photos`: each photograph, or each swatch of a sheet, becomes a fabric; all of a call are one entry."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stash.cli.cloth import pieces_asked
from stash.cli.faults import INTERRUPTED
from stash.cli.listing import fabric_json, value_text
from stash.cli.measuring import NEAR_WHITE
from stash.cli.output import Output, clean, table
from stash.cli.photographs import Failed, found, how_from, look_at, none_of_them, tell
from stash.cli.session import open_store
from stash.errors import EXIT_DONE, EXIT_FAILED, UsageFault
from stash.model import Fabric, NewFabric, NewPiece
from stash.wording import counted

if TYPE_CHECKING:
    from stash.intake import How, Looked


def add_photos(args: Namespace, out: Output) -> int:
    """Measure photographs and add a fabric for each; repeats are passed over, bad ones listed."""
    if args.name is not None:
        raise UsageFault("a name is for one fabric, and --photos is for many", where="add", do="--photo takes one")
    if args.colour is not None:
        raise UsageFault("the photographs say the colours", where="--colour", do="leave it out")
    how, pieces = how_from(args), pieces_asked(args)
    with open_store(args) as store:
        files, missing = found(args.photos)
        seen = look_at(files, how, store.photo_hashes())
        taken = [fabric.name for fabric in store.fabrics(archived=True)]
        made = _new_fabrics(args, seen.good, pieces, taken, how)
        added = store.add_many([new for _, new in made], uid=args.uid) if made else []
    names = {path: fabric.name for (path, _), fabric in reversed(list(zip(made, added, strict=False)))}
    taken_in = [one for one in seen.good if one.swatches]
    done = _Done(added, taken_in, _repeats(seen.good, names), [*missing, *seen.failed])
    return _answer(out, done, how, None if not seen.stopped else len(files))


@dataclass(frozen=True, slots=True)
class _Done:
    added: Sequence[Fabric]
    taken_in: Sequence[Looked]  # the photographs these are from
    repeated: Sequence[tuple[Path, str]]  # the photograph, and the fabric that has it
    failed: Sequence[Failed]


def _new_fabrics(
    args: Namespace, looked: Sequence[Looked], pieces: tuple[NewPiece, ...], names: Sequence[str], how: How
) -> list[tuple[Path, NewFabric]]:
    """A named fabric for each swatch, with what the options say of all of them."""
    from stash.intake import name_for

    taken = list(names)
    made = []
    for one in looked:
        for number, swatch in enumerate(one.swatches, 1):
            name = name_for(one.path, swatch.measured.colour, taken, number if how.sheet else None)
            taken.append(name)
            new = NewFabric(
                name=name, pieces=pieces, directional=args.directional, washed=args.washed, place=args.place or "",
                note=args.note or "", price=args.price or "", swatch=swatch,
            )  # fmt: skip
            made.append((one.path, new))
    return made


def _repeats(looked: Sequence[Looked], names: Mapping[Path, str]) -> list[tuple[Path, str]]:
    return [
        (one.path, one.repeat_of or names.get(one.same_as or one.path, ""))
        for one in looked
        if one.repeat_of or one.same_as
    ]


def _answer(out: Output, done: _Done, how: How, stopped_of: int | None) -> int:
    document: dict[str, Any] = {
        "added": [fabric_json(fabric) for fabric in done.added],
        "repeated": [{"photo": str(path), "fabric": name} for path, name in done.repeated],
        "failed": [{"photo": one.photo, "what": one.fault.what, "do": one.fault.do} for one in done.failed],
        "stopped": stopped_of is not None,
    }
    nothing = bool(done.failed) and not done.added and not done.repeated
    if nothing and not out.as_json:
        raise none_of_them(done.failed)
    if nothing:
        fault = none_of_them(done.failed)
        document["error"] = {"what": fault.what, "where": fault.where, "do": fault.do}
    out.answer(document, _lines(done))
    _remarks(out, done, how)
    if not nothing or len(done.failed) == 1:
        tell(done.failed)
    if stopped_of is not None:
        saved = f"{len(done.taken_in)} of {stopped_of} photographs were measured and are saved"
        out.say(f"Stopped: {saved}. The same command takes the rest and passes over those.")
        return INTERRUPTED
    return EXIT_FAILED if done.failed else EXIT_DONE


def _lines(done: _Done) -> Iterator[str]:
    if done.added:
        yield f"Added {counted(len(done.added), 'fabric')}. `starcover undo` takes all of them back."
        rows = [(value_text(fabric.colour), fabric.name, fabric.photo) for fabric in done.added]
        yield from table(("value", "fabric", "photograph"), rows, right="rll")
    for path, name in done.repeated:
        yield f"Passed over {clean(str(path))}: {clean(name)} has it already."
    if not done.added and not done.repeated:
        yield "Nothing was added."


def _remarks(out: Output, done: _Done, how: How) -> None:
    if how.sheet and done.added:
        for one in done.taken_in:
            many = len(one.swatches)
            out.say(f"{clean(str(one.path))}: {many} {'swatch' if many == 1 else 'swatches'} found.")
        out.say(NEAR_WHITE)
    if any(fabric.swatch is not None and fabric.swatch.relative for fabric in done.added):
        out.say(
            "A value marked ~ is relative: nothing in its photograph tells the light. Lay cloth on white paper and "
            "say --on-paper."
        )
