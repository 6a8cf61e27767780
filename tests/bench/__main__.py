"""`python -m tests.bench [PART ...]`: how fast starcover is, each figure against a reference measured beside it.

Nothing here decides whether a change may land: figures are for people. `--list` names the parts.
"""

from __future__ import annotations

import argparse
import sys
import time
from importlib import import_module

from stash.one_thread import keep_to_one_thread
from tests.bench.measure import Figure
from tests.bench.table import machine, table

PARTS = {
    "list": "the list of fabrics against Textual's DataTable",
    "keys": "how long a key holds the Stash screen up, against filling a DataTable",
    "suggest": "least-cost sequences against networkx and against looking at every pair",
    "cover": "check and plan against trying everything",
    "sizes": "the grid of sizes against a search for each star",
    "photos": "photographs against decoding them",
    "start": "--version against bare Python, the demo's first paint against a blank Textual app",
    "save": "a save against a bare SQLite commit",
    "memory": "a stash of 10,000 fabrics with photographs against its plain rows",
}


def main() -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    asked.add_argument("parts", nargs="*", metavar="PART", help=f"one or more of {', '.join(PARTS)} (default: all)")
    asked.add_argument("--list", action="store_true", help="name the parts and end")
    args = asked.parse_args()
    if args.list:
        for name, what in PARTS.items():
            sys.stdout.write(f"{name:8} {what}\n")
        return 0
    unknown = [name for name in args.parts if name not in PARTS]
    if unknown:
        asked.error(f"there is no part {unknown[0]}; there are {', '.join(PARTS)}")
    keep_to_one_thread()  # as the command line does
    sys.stdout.write(f"{machine()}\n")
    for name in args.parts or PARTS:
        start = time.perf_counter()
        figures: list[Figure] = import_module(f"tests.bench.of_{name}").figures()
        sys.stdout.write(f"\n{name}: {PARTS[name]} ({time.perf_counter() - start:.0f} s)\n\n{table(figures)}\n")
        sys.stdout.flush()
    return 0


if __name__ == "__main__":  # photographs are measured in processes of their own, which import this module
    sys.exit(main())
