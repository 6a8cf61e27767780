"""`verify`: looking a stash over, mending it, and saving what can be read of a damaged one."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from stash.cli.output import Output, clean
from stash.cli.progress import ended_in_order
from stash.cli.session import stash_path
from stash.errors import EXIT_DONE, EXIT_FAILED, UsageFault
from stash.wording import counted

if TYPE_CHECKING:
    from stash.inventory.backup_files import Backup
    from stash.inventory.verify import Trouble


def verify(args: Namespace, out: Output) -> int:
    """Look the stash over and name what is wrong; --repair mends what can be, --rescue saves what can be read."""
    if args.repair and args.rescue:
        raise UsageFault("--repair and --rescue are two things", where="verify", do="do one after the other")
    path = stash_path(args.db)
    if args.rescue:
        return _rescue(path, Path(args.rescue), out)
    from stash.inventory.backup_files import newest_whole
    from stash.inventory.verify import verify as look_over

    with ended_in_order():
        found = look_over(path)
    done: list[str] = []
    if args.repair and any(one.mendable for one in found):
        from stash.inventory.mend import mend

        done = mend(path)
        found = look_over(path)
    troubles = [{"what": one.what, "where": one.where, "mendable": one.mendable} for one in found]
    newest = newest_whole(path)
    document = {
        "stash": str(path),
        "sound": not found,
        "troubles": troubles,
        "mended": done,
        "backup": str(newest.path) if newest else None,
    }
    lines = [*done, *(one.line() + "." for one in found)]
    lines.append("The stash is sound." if not found else _what_next(found, newest, done))
    out.answer(document, map(clean, lines))
    return EXIT_FAILED if found else EXIT_DONE


def _what_next(found: list[Trouble], newest: Backup | None, done: list[str]) -> str:
    ways = ["verify --repair mends what it can"] if any(one.mendable for one in found) else []
    if newest is not None:
        ways.append(f'the newest whole backup is of {newest.when()}: restore "{newest.path}"')
    many = counted(len(found), "trouble")
    said = f"{many} left" if done else f"{many}. Nothing was changed by looking"
    return "; ".join([said, *ways]) + "."


def _rescue(path: Path, new: Path, out: Output) -> int:
    from stash.inventory.rescue import rescue

    with ended_in_order():
        saved = rescue(path, new)
    document = {"stash": str(saved.path), "fabrics": saved.fabrics, "stars": saved.stars, "lost": list(saved.lost)}
    lines = [f"{one}." for one in saved.lost]
    lines.append(f"Wrote {saved.fabrics} fabrics and {saved.stars} stars to {saved.path}.")
    lines.append(f"The damaged file {path} is as it was; the new one has no history of before.")
    out.answer(document, map(clean, lines))
    return EXIT_DONE
