"""`import`, `export`, `new`, `where`, `demo`: stash files."""

from __future__ import annotations

import os
from argparse import Namespace
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, replace
from functools import partial
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stash.cli.keeping import back_up_first, listed, listed_lines
from stash.cli.output import Output, clean
from stash.cli.progress import ended_in_order
from stash.cli.session import open_store, stash_path
from stash.errors import EXIT_DONE, EXIT_FAILED, Fault, UsageFault
from stash.files import expanded, temporary_room
from stash.model import NewSwatch

if TYPE_CHECKING:
    from stash.inventory.exchange import ImportFault, ImportReport, Mode
    from stash.inventory.store import Store
    from stash.inventory.whole import Contents


def import_file(args: Namespace, out: Output) -> int:
    """Take a CSV or JSON file in, all or nothing. A stash that is not there is made, unless nothing comes of it."""
    if _is_json(args.file):
        return _import_whole(args, out)
    from stash.inventory.exchange import ImportFault, import_csv

    path = stash_path(args.db)
    mode: Mode | None = "add" if args.add else "replace" if args.replace else None
    try:
        with ended_in_order(), _taking_in(path, out, args) as (store, back_up):
            file = Path(args.file)
            photos = _photos_beside(file, args.on_paper)
            report = import_csv(store, file, dry_run=args.dry_run, mode=mode, photos=photos, first=back_up)
    except ImportFault as trouble:
        return _faults(trouble, out)
    out.answer(_report_json(report, args.dry_run), map(clean, _report_lines(report, args.dry_run)))
    return EXIT_DONE


def _is_json(file: str) -> bool:
    return Path(file).suffix.casefold() == ".json"


def _import_whole(args: Namespace, out: Output) -> int:
    """Take a whole stash in, which comes into an empty or a new one only."""
    from stash.inventory.whole import import_json

    if args.add or args.replace or args.on_paper:
        raise UsageFault("a whole stash is taken as it is", where=args.file, do="leave that option out")
    with ended_in_order(), _taking_in(stash_path(args.db), out, args) as (store, back_up):
        held = import_json(store, Path(args.file), dry_run=args.dry_run, first=back_up)
    document = {"dry_run": args.dry_run, "new": held.fabrics, "changed": 0, "same": 0, "left": 0} | asdict(held)
    said = [f"{'It would be' if args.dry_run else 'It is'} {_holding(held)}."]
    out.answer(document, [*said, "Nothing was changed."] if args.dry_run else said)
    return EXIT_DONE


def _holding(held: Contents) -> str:
    return (
        f"{held.fabrics} fabrics, {held.stars} stars, {held.pictures} pictures"
        f" and a history of {held.entries} entries"
    )


def _photos_beside(file: Path, on_paper: bool) -> Callable[[str], NewSwatch | None]:
    """Measures a picture that a column names, when it lies beside the CSV file or in a folder there; None for any
    other name, which is kept as text."""

    def measured(name: str) -> NewSwatch | None:
        from stash.intake import How, look

        room = file.resolve().parent
        try:
            picture = (room / name).resolve()
            if not picture.is_relative_to(room) or not picture.is_file():
                return None
        except (OSError, ValueError, RuntimeError):  # too long for a name, links in a circle: a text like any other
            return None
        looked = look(picture, How(on_paper=on_paper))
        if looked.fault is not None:
            raise Fault(f"{name}: {looked.fault.what}", do=looked.fault.do)
        return replace(looked.swatches[0], photo=name)

    return measured


@contextmanager
def _taking_in(path: Path, out: Output, args: Namespace) -> Iterator[tuple[Store, Callable[[], None]]]:
    """The stash to import into, and what backs it up, to be called once the file has proved good. A stash that is
    not there is filled under another name, and gets its own only when all went well."""
    from stash.inventory.making import in_the_making
    from stash.inventory.store import Store

    if os.path.lexists(expanded(path)):
        with Store.open(path) as store:
            without = args.dry_run or store.read_only or args.without_backup
            yield store, partial(back_up_first, path, without)
        return
    if args.dry_run:
        with temporary_room() as place, Store.create(place / "draft.db") as store:
            yield store, lambda: None
        return
    with in_the_making(path) as unready, Store.open(unready) as store:
        yield store, lambda: None
    out.say(clean(f"Made a new stash at {path}."))


def _faults(trouble: ImportFault, out: Output) -> int:
    """One line for each fault of the file, and a last one where there are several; nothing was changed."""
    lines = trouble.lines()
    if out.as_json:
        error = {"what": trouble.what, "where": trouble.where, "do": trouble.do, "faults": lines}
        out.answer({"error": error}, ())
    for line in lines if len(lines) > 1 else ():
        out.say(clean(line))
    out.say(clean("starcover: " + trouble.line()))
    return EXIT_FAILED


def _report_json(report: ImportReport, dry_run: bool) -> dict[str, Any]:
    return {
        "dry_run": dry_run,
        "new": report.new,
        "changed": report.changed,
        "same": report.same,
        "left": report.left,
        "lines": list(report.lines),
    }


def _report_lines(report: ImportReport, dry_run: bool) -> Iterator[str]:
    yield from report.lines
    head = "It would be" if dry_run else "It is"
    left = f", {report.left} left as they are (see --add and --replace)" if report.left else ""
    if not report.new + report.changed + report.same + report.left:
        yield "The file has a header and no fabric under it."
    yield f"{head} {report.new} new, {report.changed} changed, {report.same} the same{left}."
    if dry_run:
        yield "Nothing was changed."


def export_file(args: Namespace, out: Output) -> int:
    """Write the stash to a file: all of it as JSON, or its fabrics as CSV."""
    path = Path(args.file)
    with open_store(args) as store:
        if _is_json(args.file):
            from stash.inventory.whole import export_json

            held = export_json(store, path, overwrite=args.overwrite)
            out.answer({"file": str(path)} | asdict(held), [clean(f"Wrote {_holding(held)} to {path}.")])
            return EXIT_DONE
        from stash.inventory.exchange import export_csv

        count = export_csv(store, path, overwrite=args.overwrite)
    out.answer({"file": str(path), "fabrics": count}, [clean(f"Wrote {count} fabrics to {path}.")])
    return EXIT_DONE


def new(args: Namespace, out: Output) -> int:
    """Make an empty stash; a file that is there is refused."""
    from stash.inventory.store import Store

    if args.path and args.db:
        raise UsageFault("two paths are named", where="new", do="give PATH or --db, not both")
    path = stash_path(args.path or args.db)
    Store.create(path).close()
    out.answer({"stash": str(path)}, [clean(f"Made an empty stash at {path}.")])
    return EXIT_DONE


def where(args: Namespace, out: Output) -> int:
    """The paths in use, and the backups there are."""
    from stash.paths import keys_file, log_file

    path = stash_path(args.db)
    is_there = os.path.exists(path.expanduser())
    document = {"stash": str(path), "exists": is_there, "log": str(log_file()), "keys": str(keys_file())} | listed(path)
    missing = "" if is_there else " (not there yet: starcover new makes it)"
    keys = "" if keys_file().exists() else " (not there: all commands have their own keys)"
    own = [f"log      {document['log']}", f"keys     {document['keys']}{keys}"]
    lines = [f"stash    {path}{missing}", *own, *listed_lines(path)]
    out.answer(document, map(clean, lines))
    return EXIT_DONE


def demo(args: Namespace, out: Output) -> int:
    """Open the interface on a throw-away demo stash, or write that stash to a path."""
    if args.db:
        raise UsageFault("the demo has a stash of its own", where="--db", do="demo --at PATH writes it where you say")
    if args.at:
        from stash.demo import make_at

        path = make_at(Path(args.at))
        out.answer({"stash": str(path)}, [clean(f"Wrote the demo stash to {path}.")])
        return EXIT_DONE
    with temporary_room() as place:
        out.say("This is a throw-away copy of the demo stash: nothing you do in it is kept.")
        _show_demo(place / "demo.db", out)
    return EXIT_DONE


def _show_demo(path: Path, out: Output) -> None:
    """The interface, which makes the demo stash at `path` once something is drawn; without a terminal, or for --json,
    what it would show first: the star and what covers it."""
    from stash.cli.interface import in_terminal, open_interface

    if in_terminal() and not out.as_json:
        open_interface(path, demo=True)
        return
    if not out.as_json:
        out.say("There is no terminal to open the interface in, so here is its first star in plain text.")
    from stash.cli.check import coverage_json, coverage_lines
    from stash.cli.suggest import suggestion_lines, suggestions_json
    from stash.demo import make_at
    from stash.inventory.store import Store
    from stash.match.coverage import check
    from stash.match.sequence import suggest
    from stash.match.wishes import Wishes

    with Store.open(make_at(path)) as store:
        saved, fabrics = store.stars()[0], store.fabrics()
    colouring = saved.colourings[0].colouring
    covered = check(saved.star, colouring, fabrics)
    found = suggest(saved.star, fabrics, Wishes(top=3, measured=True, ground=colouring.ground))
    document = {
        "star": saved.name,
        "check": coverage_json(saved.star, covered),
        "suggest": suggestions_json(saved.star, found),
    }
    lines = chain(
        [saved.name], coverage_lines(saved.star, covered), ["", "From the same stash:"],
        suggestion_lines(saved.star, found),
    )  # fmt: skip
    out.answer(document, lines)
