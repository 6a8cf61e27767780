"""`starcover keys`: the interface's table of commands, with the keys as they are now."""

from __future__ import annotations

from argparse import Namespace

from stash.cli.interface import commands_and_keys
from stash.cli.output import Output, clean, table
from stash.errors import EXIT_DONE
from stash.paths import keys_file


def keys(args: Namespace, out: Output) -> int:
    """List all commands; what is wrong in the file of keys is said beside them."""
    path = keys_file()
    listed, faults = commands_and_keys(path)
    for fault in faults:
        out.say(clean(f"starcover: {path}: {fault}"))
    rows = [(str(one["command"]), " ".join(one["keys"]), str(one["help"])) for one in listed]
    document = {"file": str(path), "commands": listed, "faults": faults}
    out.answer(document, [*table(("command", "keys", "what it does"), rows), "", clean(f"They are changed in {path}.")])
    return EXIT_DONE
