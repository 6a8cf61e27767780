"""The command line: `starcover`. It parses, calls the engine, and prints; it decides nothing itself."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from importlib import import_module

from stash.cli import faults
from stash.cli.output import Output, write
from stash.cli.parser import Request, Verb, build, find, overview, split
from stash.cli.verbs import VERBS
from stash.errors import EXIT_DONE, Fault, UsageFault
from stash.one_thread import keep_to_one_thread

VerbFunction = Callable[[argparse.Namespace, Output], int]


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command line (default: the process's own) and give its exit code."""
    if getattr(sys, "frozen", False):  # one executable file: it is its own helper process, too
        from multiprocessing import freeze_support

        freeze_support()
    keep_to_one_thread()
    words = list(sys.argv[1:] if argv is None else argv)
    as_json = "--json" in words
    try:
        code = _run(words)
        sys.stdout.flush()
        return code
    except Fault as fault:
        return faults.report(fault, as_json)
    except KeyboardInterrupt:
        return faults.INTERRUPTED
    except BrokenPipeError:
        _close_quietly()
        return faults.PIPE_CLOSED
    except Exception as error:  # the last guard: a traceback never reaches the screen
        return faults.report(faults.unexpected(error), as_json)


def _run(words: list[str]) -> int:
    request = split(words)
    if request.version:
        from stash import __version__

        Output(request.json).answer({"starcover": __version__}, [f"starcover {__version__}"])
        return EXIT_DONE
    if request.help:
        for line in overview(VERBS):
            write(sys.stdout, line)
        return EXIT_DONE
    if request.verb is None:
        return _interface(request)
    return _verb(find(request.verb, VERBS), request)


def _verb(verb: Verb, request: Request) -> int:
    try:
        args = build(verb).read(request.words)
    except SystemExit:  # argparse has printed the verb's help
        return EXIT_DONE
    if args.db is None:
        args.db = request.db
    out = Output(args.json or request.json)
    return _function(verb)(args, out)


def _function(verb: Verb) -> VerbFunction:
    module, _, name = verb.run.partition(":")
    function: VerbFunction = getattr(import_module(module), name)
    return function


def _interface(request: Request) -> int:
    if request.json:
        raise UsageFault("--json wants a command", do="starcover --help lists them")
    from stash.cli.interface import open_own_stash

    return open_own_stash(request.db)


def _close_quietly() -> None:
    """Whoever read our output went away: point it nowhere, so that the exit does not complain."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
