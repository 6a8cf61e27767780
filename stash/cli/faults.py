"""How a command ends when it cannot do what was asked: one plain line, and the exit code that fits."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence

from stash.cli.output import clean, write
from stash.errors import Fault, UsageFault
from stash.lengths import shown

INTERRUPTED = 130  # as shells count a Ctrl-C
PIPE_CLOSED = 141  # as shells count a reader that went away


def report(fault: Fault, as_json: bool) -> int:
    """Tell `fault` on standard error, and with --json on standard output too; gives the exit code."""
    if as_json:
        error = {"what": fault.what, "where": fault.where, "do": fault.do}
        write(sys.stdout, json.dumps({"error": error}, indent=2))
    write(sys.stderr, "starcover: " + clean(fault.line()))
    return fault.exit_code


def unexpected(error: BaseException) -> Fault:
    """A fault of ours: the traceback goes to the log file, the screen gets one line."""
    import traceback

    from stash.paths import log_file

    trouble = keep_trace("".join(traceback.format_exception(error)))
    if trouble is not None:
        what = f"starcover stumbled ({type(error).__name__}), and the log cannot be written ({trouble.strerror})"
        return Fault(what, where=str(log_file()), do="free the log file and try again")
    what = f"starcover stumbled over a fault of its own ({type(error).__name__})"
    return Fault(what, do=f"the details are in {log_file()}; please report them")


def keep_trace(trace: str) -> OSError | None:
    """Put a traceback, if there is one, in the log file; gives what kept it from being written."""
    from datetime import UTC, datetime

    from stash import __version__
    from stash.paths import log_file

    if not trace:
        return None
    path = log_file()
    head = f"{datetime.now(UTC).isoformat(timespec='seconds')} starcover {__version__}\n"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("a", encoding="utf-8", errors="backslashreplace") as log:
            log.write(f"{head}{trace}\n")
    except OSError as trouble:
        return trouble
    return None


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that `word` was probably meant to be."""
    import difflib

    folded = {name.casefold(): name for name in known}
    found = difflib.get_close_matches(word.casefold(), list(folded), n=1, cutoff=0.6)
    return folded[found[0]] if found else None


def unknown(what: str, word: str, known: Sequence[str], otherwise: str) -> UsageFault:
    """The fault for a word that is none of `known`: "did you mean", or `otherwise` what to do."""
    close = nearest(word, known)
    return UsageFault(f'there is no {what} "{shown(word)}"', do=f"did you mean {close}?" if close else otherwise)
