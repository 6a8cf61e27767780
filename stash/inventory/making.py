"""A new stash, empty or filled before it gets its name: it is there with all that was to go in, or not at all."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from stash.errors import Fault
from stash.files import BESIDE, expanded, refuse_target
from stash.inventory import opening, schema
from stash.inventory.backup_files import clear_unready, unready_name
from stash.inventory.transactions import make_engine
from stash.inventory.troubles import said_plainly


def make(path: Path) -> None:
    """Make a new, empty stash at `path`, and the folder it stands in. Raises Fault where there is something already."""
    refuse_taken(path)
    with in_the_making(path):
        pass


def refuse_taken(path: Path) -> None:
    """Raise Fault where there is something at `path`, whatever it is."""
    if os.path.lexists(expanded(path)):
        raise _taken(path)


def _taken(path: Path) -> Fault:
    return Fault("there is something here already; nothing was changed", str(path), "choose another name")


@contextmanager
def in_the_making(path: Path) -> Iterator[Path]:
    """The path of a new, empty stash to be filled inside, and closed there. At the end it becomes `path`.

    Where anything is raised inside, no part of it is left. Raises Fault where there is something at `path`, then or
    in the end: what another program put there meanwhile stays.
    """
    target = expanded(path)
    refuse_target(target, overwrite=False)
    unready = unready_name(target)  # the process is in it: two programs that start at once never share one
    try:
        _empty(unready, target)
        yield unready
        _give_name(unready, target)
    except Fault as fault:
        raise _of(path, unready, fault) from fault.__cause__
    finally:
        _clear(unready)


def _empty(unready: Path, target: Path) -> None:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        clear_unready(target.parent, target.name)  # of a program that was stopped while it made one
        unready.touch()
    except FileExistsError:
        raise Fault("this is a file, not a folder", str(target.parent), "choose another place") from None
    except OSError as error:
        raise _no_place(unready, error) from None
    except ValueError:
        raise Fault("this is no path of a file", ascii(str(target)), "choose another name") from None
    engine = make_engine(unready, read_only=False)
    try:
        with said_plainly(unready), engine.execution_options(write=True).begin() as conn:
            schema.create_schema(conn)
    finally:
        engine.dispose()


def _give_name(unready: Path, target: Path) -> None:
    try:
        opening.give_name(unready, target)
    except FileExistsError:
        raise _taken(unready) from None
    except OSError as error:
        raise _no_place(unready, error) from None


def _no_place(unready: Path, error: OSError) -> Fault:
    return Fault(f"no stash can be made here ({error.strerror})", str(unready), "choose another place")


def _of(path: Path, unready: Path, fault: Fault) -> Fault:
    """The same fault, of the name that the maker knows."""
    if fault.where == str(unready):
        fault.where = str(path)
        fault.args = (fault.line(),)
    return fault


def _clear(unready: Path) -> None:
    for left in (unready, *(Path(f"{unready}{end}") for end in BESIDE)):
        with suppress(OSError, ValueError):
            os.unlink(left)
