"""The way from the command line to the Textual interface, which is imported only here, and only when asked for."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from stash.cli.output import clean, write
from stash.cli.session import stash_path
from stash.errors import EXIT_DONE, Fault

IN_BROWSER = os.environ.get("TEXTUAL_DRIVER", "").endswith(":WebDriver")
"""This process was started to draw for a browser."""


def open_own_stash(db: str | None) -> int:
    """The interface on the stash that is named, or on the user's own, which is made at the first start."""
    _need_terminal()
    path, first_start = own_stash(db)
    open_interface(path, first_start=first_start)
    return EXIT_DONE


def own_stash(db: str | None) -> tuple[Path, bool]:
    """The stash that is named, or the user's own; whether it was made just now."""
    path = stash_path(db)
    first_start = db is None and not os.environ.get("STARCOVER_DB") and not path.exists()
    if first_start:
        from stash.inventory.backup_files import backups_of, way_back
        from stash.inventory.store import Store

        if backups_of(path):  # it was here once: an empty one in its place would look like a loss
            what = "your stash is no longer here, and there are backups of it; nothing was made"
            raise Fault(what, str(path), way_back(path, f'make an empty one with: starcover new "{path}"'))
        Store.create(path).close()
        write(sys.stderr, clean(f"Made a new, empty stash at {path}."))
    return path, first_start


def open_interface(path: Path, *, demo: bool = False, first_start: bool = False) -> None:
    """Run the interface until it is left. Raises Fault without a terminal, or for a stash that cannot be opened.

    With `demo` the demo stash is made at `path` while the first screen stands already.
    """
    _need_terminal()
    from tui.app import run

    run(path, demo=demo, first_start=first_start, make_demo=_make_demo, prepare=_make_demo_at if demo else None)


def serve_interface(command: Sequence[str], port: int, listening: Callable[[str], None]) -> None:
    """Serve what `command` draws to a browser of this machine until Ctrl-C; `listening` is told the address first.

    Raises Fault for a port that cannot be had.
    """
    from tui.web import address, listen, serve

    sock = listen(port)
    listening(address(sock.getsockname()[1]))
    serve(list(command), sock)


def commands_and_keys(path: Path) -> tuple[list[dict[str, Any]], list[str]]:
    """Every command of the interface with its keys, changed as the file at `path` says; and what is wrong in that."""
    from tui.commands import ALL
    from tui.keys import key_name
    from tui.remapping import read_keys

    changed = read_keys(path)
    commands = [
        {
            "command": one.id,
            "keys": [key_name(key) for key in changed.keys.get(one.id, one.key).split(",")],
            "name": one.name,
            "help": one.help,
        }
        for one in ALL
    ]
    return commands, list(changed.faults)


def _make_demo() -> Path:
    from stash.demo import make

    return make()


def _make_demo_at(path: Path) -> Path:
    from stash.demo import make_at

    return make_at(path)


def in_terminal() -> bool:
    """Whether there is a terminal to draw on and to type into, or a browser in its place (see `tui/web.py`)."""
    return IN_BROWSER or (sys.stdin.isatty() and sys.stdout.isatty() and not _dumb())


def _dumb() -> bool:
    """Whether the terminal says that it cannot move its cursor: a screen would come out as one long line."""
    return os.environ.get("TERM") == "dumb"


def _need_terminal() -> None:
    if not in_terminal():
        do = "starcover --help lists the commands that need none"
        which = " that can move its cursor, and TERM is dumb" if _dumb() else ""
        raise Fault(f"the interface needs a terminal{which}", do=do)
