"""`backup`, `restore`: keeping a stash safe."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from pathlib import Path
from typing import Any

from stash.cli.output import Output, clean, write
from stash.cli.session import stash_path
from stash.errors import EXIT_DONE, Fault
from stash.files import temporary_room


def backup(args: Namespace, out: Output) -> int:
    """Copy the stash, verified: into the folder of its backups, or to a file."""
    from stash.inventory import backup as backups
    from stash.inventory.backup_files import digest

    path = stash_path(args.db)
    made = backups.make_at(path, Path(args.file)) if args.file else backups.make(path).path
    document = {"stash": str(path), "backup": str(made), "bytes": made.stat().st_size, "sha256": digest(made)}
    out.answer(document, [clean(f"Backed up to {made}.")])
    return EXIT_DONE


def restore(args: Namespace, out: Output) -> int:
    """Make the stash what a backup is, or a whole stash in JSON. What was there is backed up first; it asks before it
    replaces."""
    file = Path(args.file)
    if file.suffix.casefold() != ".json":
        return _restore(args, file, out)
    from stash.inventory.store import Store
    from stash.inventory.whole import import_json

    with temporary_room() as place:
        taken = place / "stash.db"
        with Store.create(taken) as store:
            import_json(store, file)
        return _restore(args, taken, out)


def _restore(args: Namespace, file: Path, out: Output) -> int:
    """Put the stash file `file` in the place of the stash."""
    from stash.inventory.backup import NoBackup
    from stash.inventory.restore import restore as put_back
    from stash.inventory.restore import verified

    path = stash_path(args.db)
    if os.path.lexists(path.expanduser()):
        verified(file)
        if not args.yes and not _agreed(f"Replace the stash {path} by {args.file}?"):
            raise _asked("this would replace the stash; nothing was changed", path, "--yes")
    try:
        done = put_back(file, path, without_backup=args.without_backup)
    except NoBackup as trouble:
        out.say(clean("starcover: " + trouble.line()))
        if not _agreed("Go on without a backup of what is there now?"):
            raise _no_backup(path) from None
        done = put_back(file, path, without_backup=True)
    document = {
        "stash": str(path),
        "restored": args.file,
        "before": str(done.before.path) if done.before else None,
        "kept": str(done.kept) if done.kept else None,
    }
    lines = [f"Made a stash at {path} from {args.file}." if done.made else f"{path} is now what {args.file} is."]
    if done.before:
        lines.append(f"What was there before is backed up as {done.before.path}.")
    if done.kept:
        lines.append(f"The file that was there is kept as {done.kept}.")
    out.answer(document, map(clean, lines))
    return EXIT_DONE


def back_up_first(path: Path, without_backup: bool) -> None:
    """The backup before an import. Where none can be made, a person is asked whether to go on."""
    from stash.inventory import backup as backups

    if without_backup:
        return
    try:
        backups.before(path, backups.BEFORE_IMPORT)
    except backups.NoBackup as trouble:
        write(sys.stderr, clean("starcover: " + trouble.line()))
        if not _agreed("Go on without a backup?"):
            raise _no_backup(path) from None


def _no_backup(path: Path) -> Fault:
    return _asked("there is no backup of the stash as it is now; nothing was changed", path, "--without-backup")


def _agreed(question: str) -> bool:
    """Whether a person at a terminal says yes."""
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        return False
    write(sys.stderr, clean(f"{question} (y/n)"))
    return sys.stdin.readline().strip().casefold() in ("y", "yes")


def _asked(what: str, path: Path, option: str) -> Fault:
    return Fault(what, str(path), f"{option} goes on all the same")


def listed(path: Path) -> dict[str, Any]:
    """What `where` says of a stash's backups, newest first, by their names alone."""
    from stash.inventory.backup_files import backups_of, folder_of

    there = [
        {"file": str(one.path), "at": one.at.isoformat(), "why": one.why.replace("-", " "), "bytes": one.size}
        for one in backups_of(path)
    ]
    return {"backups": str(folder_of(path)), "last_backup": there[0] if there else None, "all_backups": there}


def listed_lines(path: Path) -> list[str]:
    """The same as lines."""
    from stash.inventory.backup_files import backups_of, folder_of

    there = backups_of(path)
    last = f"the last of {there[0].when()}" if there else "none yet"
    lines = [f"backups  {folder_of(path)} ({last})"]
    return lines + [f"  {one.when()}  {one.reason}  {one.path.name}" for one in there]


def daily(path: Path) -> None:
    """The day's backup after a command that saved. One that cannot be made is said, and the command is done anyway."""
    from stash.inventory.backup import daily as backed_up

    try:
        backed_up(path)
    except Fault as trouble:
        write(sys.stderr, "starcover: saved, but without today's backup: " + clean(trouble.line()))
