"""`import`, `export`, `new`, `where`, `demo`: stash files."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stash.cli.output import Output, clean
from stash.cli.session import open_store, stash_path
from stash.errors import EXIT_DONE, EXIT_FAILED, Fault, UsageFault

if TYPE_CHECKING:
    from stash.inventory.exchange import ImportReport, Mode


def import_file(args: Namespace, out: Output) -> int:
    """Take a CSV file in, all or nothing. A stash that is not there is made, unless nothing comes of it."""
    from stash.inventory.exchange import ImportFault, import_csv
    from stash.inventory.store import Store

    path = stash_path(args.db)
    made = not path.exists()
    mode: Mode | None = "add" if args.add else "replace" if args.replace else None
    try:
        with Store.create(path) if made else Store.open(path) as store:
            report = import_csv(store, Path(args.file), dry_run=args.dry_run, mode=mode)
    except BaseException as trouble:
        if made:
            path.unlink(missing_ok=True)
        if isinstance(trouble, ImportFault):
            return _faults(trouble, out)
        raise
    if made and args.dry_run:
        path.unlink()
    elif made:
        out.say(clean(f"Made a new stash at {path}."))
    out.answer(_report_json(report, args.dry_run), map(clean, _report_lines(report, args.dry_run)))
    return EXIT_DONE


def _faults(trouble: Any, out: Output) -> int:
    """One line for each fault of the file; nothing was changed."""
    from stash.cli.output import write

    lines = trouble.lines()
    if out.as_json:
        error = {"what": trouble.what, "where": trouble.where, "do": trouble.do, "faults": lines}
        out.answer({"error": error}, ())
    import sys

    for line in lines:
        write(sys.stderr, clean(line))
    write(sys.stderr, clean("starcover: " + trouble.line()))
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
    yield f"{head} {report.new} new, {report.changed} changed, {report.same} the same{left}."
    if dry_run:
        yield "Nothing was changed."


def export_file(args: Namespace, out: Output) -> int:
    """Write the stash to a CSV file."""
    from stash.inventory.exchange import export_csv

    path = Path(args.file)
    if path.suffix.casefold() == ".json":
        raise UsageFault("a stash is written as CSV only", where=args.file, do="name a file that ends in .csv")
    with open_store(args) as store:
        rows = export_csv(store, path, overwrite=args.overwrite)
    out.answer({"file": str(path), "lines": rows}, [clean(f"Wrote {rows} lines to {path}.")])
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
    """The paths in use."""
    from stash.paths import log_file

    path = stash_path(args.db)
    is_there = path.exists()
    document = {"stash": str(path), "exists": is_there, "log": str(log_file())}
    missing = "" if is_there else " (not there yet: starcover new makes it)"
    out.answer(document, [clean(f"stash  {path}{missing}"), clean(f"log    {document['log']}")])
    return EXIT_DONE


def demo(args: Namespace, out: Output) -> int:
    """Open the interface on a throw-away demo stash, or write that stash to a path."""
    from stash import demo as demo_stash

    if args.db:
        raise UsageFault("the demo has a stash of its own", where="--db", do="demo --at PATH writes it where you say")
    if args.at:
        path = demo_stash.make_at(Path(args.at).expanduser())
        out.answer({"stash": str(path)}, [clean(f"Wrote the demo stash to {path}.")])
        return EXIT_DONE
    if out.as_json:
        raise UsageFault("the interface has no JSON", where="demo", do="demo --at PATH writes the demo stash")
    return _open_demo(out)


def _open_demo(out: Output) -> int:
    import tempfile

    from stash import demo as demo_stash
    from stash.cli.interface import open_interface

    try:
        folder = tempfile.TemporaryDirectory(prefix="starcover-demo-")
    except OSError as trouble:
        raise Fault(f"no temporary folder can be made ({trouble.strerror})", do="free some room") from None
    with folder as place:
        path = demo_stash.make(Path(place))
        out.say("This is a throw-away copy of the demo stash: nothing you do in it is kept.")
        open_interface(path, demo=True)
    return EXIT_DONE
