"""Runs one action again and again in processes that are stopped at their first step on the disk, their second ...

python -m tests.faults.driver ACTION HOW BASE OUT STRIDE: `BASE` is a folder with a stash "stash.db" and whatever the
action needs; each trial works on a copy OUT/<step>/. A line of JSON a trial: its step and how the process ended.
Beside a trial's folder OUT/<step>.told holds what the action had acknowledged.
"""

from __future__ import annotations

import io
import json
import os
import shutil
import sys
import tempfile
import traceback
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from fractions import Fraction
from pathlib import Path

from stash.cli import files, looking_over  # noqa: F401 (imported before anything is forked)
from stash.cli import main as main_of_commands
from stash.errors import Fault
from stash.inventory import backup, making, migrate, restore, rows_left, verify, whole  # noqa: F401 (likewise)
from stash.inventory import rescue as saving  # noqa: F401 (likewise)
from stash.inventory.exchange import import_csv
from stash.inventory.store import Store
from stash.lengths import to_ticks
from tests.faults import shim

Told = Callable[[str], None]
MOST_STEPS = 4_000


def save(room: Path, told: Told) -> None:
    with Store.open(room / "stash.db") as store:
        store.used(1, to_ticks(Fraction(1, 8)), uid="the save")
        told("saved")


def upgrade(room: Path, told: Told) -> None:
    Store.open(room / "stash.db").close()
    told("upgraded")


def put_back(room: Path, told: Told) -> None:
    restore.restore(room / "backup.db", room / "stash.db")
    told("restored")


def back_up(room: Path, told: Told) -> None:
    told(str(backup.make(room / "stash.db").path))


def take_in(room: Path, told: Told) -> None:
    with Store.open(room / "stash.db") as store:
        import_csv(store, room / "in.csv", uid="the import")
        told("imported")


def copy(room: Path, told: Told) -> None:
    with Store.open(room / "stash.db") as store:
        told(str(store.save_copy(room / "copy.db")))


def make_of_csv(room: Path, told: Told) -> None:
    _command(told, "--db", room / "stash.db", "import", room / "in.csv")


def make_of_json(room: Path, told: Told) -> None:
    _command(told, "--db", room / "stash.db", "import", room / "in.json")


def rescue(room: Path, told: Told) -> None:
    tempfile.tempdir = str(room)
    _command(told, "--db", room / "damaged.db", "verify", "--rescue", room / "stash.db")


def _command(told: Told, *words: object) -> None:
    """A command as it is typed; a fault is what it said."""
    said = io.StringIO()
    with redirect_stdout(said), redirect_stderr(said):
        code = main_of_commands([str(word) for word in words])
    if code:
        raise Fault(said.getvalue())
    told(said.getvalue())


ACTIONS = {
    "backup": back_up, "copy": copy, "import": take_in, "restore": put_back, "save": save, "upgrade": upgrade,
    "make of CSV": make_of_csv, "make of JSON": make_of_json, "rescue": rescue,
}  # fmt: skip


def trial(action: str, how: int, step: int, room: Path) -> int:
    """One process, stopped at a step; gives how it ended: 0 done, 1 a fault, -9 killed."""
    child = os.fork()
    if child:
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    os.environ["STARCOVER_BACKUPS"] = str(room / "backups")
    code = 3
    told = room.with_name(f"{room.name}.told")

    def tell(text: str) -> None:
        told.write_text(text, encoding="utf-8")

    try:
        shim.arm(how, step, room)
        ACTIONS[action](room, tell)
        code = 0
    except Fault as fault:
        shim.disarm()
        room.with_name(f"{room.name}.fault").write_text(fault.line(), encoding="utf-8")
        code = 1
    except BaseException:
        shim.disarm()
        traceback.print_exc()
        sys.stderr.flush()
    finally:
        os._exit(code)


def main() -> None:
    action, how, base, out, stride = sys.argv[1:]
    for step in range(0, MOST_STEPS, int(stride)):
        room = Path(out) / str(step)
        shutil.copytree(base, room)
        ended = trial(action, int(how), step, room)
        sys.stdout.write(json.dumps([step, ended]) + "\n")
        if ended == 0:
            return


if __name__ == "__main__":
    main()
