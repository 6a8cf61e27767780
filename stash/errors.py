"""Faults as a person should read them: what happened, where, and what to do next."""

from __future__ import annotations

EXIT_DONE = 0
EXIT_FAILED = 1
EXIT_USAGE = 2
EXIT_NO = 3


class Fault(Exception):
    """A fault with a plain message. Nothing was changed when one is raised.

    what -- what happened, one sentence without a final stop.
    where -- the file, line, option or fabric it happened at ("" where there is none).
    do -- what to do next, one sentence without a final stop.
    """

    exit_code = EXIT_FAILED

    def __init__(self, what: str, where: str = "", do: str = "") -> None:
        self.what = what
        self.where = where
        self.do = do
        super().__init__(self.line())

    def line(self) -> str:
        """The whole message on one line."""
        head = f"{self.where}: " if self.where else ""
        sentence = " ".join(f"{head}{self.said()}".split())
        return sentence if sentence[-1:] in ("?", "!", ".") else sentence + "."

    def said(self) -> str:
        """What happened and what to do, without the place and without a final stop."""
        if not self.do:
            return self.what
        joint = " " if self.what.endswith(("?", "!", ".")) else "; " if self.do[0].islower() else ". "
        return f"{self.what}{joint}{self.do}"


class UsageFault(Fault):
    """The request itself is off: a length that is none, letters of the wrong number, an unknown option."""

    exit_code = EXIT_USAGE


class NotFound(Fault):
    """A fabric or star of that name is not in the stash."""


class Conflict(Fault):
    """The stash changed since the request was made, or a later entry builds on the one to undo."""
