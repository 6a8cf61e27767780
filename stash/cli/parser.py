"""The command line's grammar: one table of verbs, each with its options, built only when it is asked for.

A word that is not understood ends as a `UsageFault` like every other fault, never in argparse's own form.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable, Sequence
from typing import NamedTuple, NoReturn

from stash.cli.faults import nearest, unknown
from stash.errors import UsageFault
from stash.lengths import shown

PROGRAM = "starcover"
MAY_BE_EMPTY = ("db", "place", "note", "price")  # --db has a fault of its own; edit empties the others


class VerbParser(argparse.ArgumentParser):
    """argparse with faults in this program's form."""

    def error(self, message: str) -> NoReturn:
        """argparse calls it for whatever it does not understand."""
        raise UsageFault(re.sub(r"^argument ", "", message), where=self._verb, do=self._ask)

    @property
    def _verb(self) -> str:
        return self.prog.rpartition(" ")[2]

    @property
    def _ask(self) -> str:
        return f"{self.prog} --help tells what it takes"

    def read(self, words: Sequence[str]) -> argparse.Namespace:
        """Parse all of `words`; the first one left over is named, with the option it may have meant."""
        args, left = self.parse_known_args(list(words))
        if left:
            raise self._left_over(left[0])
        self._refuse_empty(args)
        return args

    def _refuse_empty(self, args: argparse.Namespace) -> None:
        """An empty value is most likely a variable that is not set: it must not stand for "all" or the default."""
        for action in self._actions:
            value = getattr(args, action.dest, None)
            values = value if isinstance(value, list) else [value]
            if action.dest not in MAY_BE_EMPTY and any(isinstance(one, str) and not one.strip() for one in values):
                name = action.option_strings[0] if action.option_strings else str(action.metavar or action.dest)
                raise UsageFault("it is empty", where=name, do=f"give a value; {self._ask}")

    def _left_over(self, word: str) -> UsageFault:
        if word.startswith("-"):
            name = word.partition("=")[0]
            close = nearest(name, [o for o in self._option_string_actions if o.startswith("--")])
            do = f"did you mean {close}?" if close else self._ask
            return UsageFault(f"there is no option {shown(name)}", where=self._verb, do=do)
        quotes = 'a length of two words stands in quotes, as in --strip "2 1/2"'
        do = quotes if word[:1].isdigit() else self._ask
        return UsageFault(f'"{shown(word)}" was not expected here', where=self._verb, do=do)


Options = Callable[[VerbParser], None]


class Verb(NamedTuple):  # a dataclass takes longer to load than all the rest of --version
    """One command. `run` names the function that does it, imported when it is called: "module:function"."""

    name: str
    help: str
    run: str
    options: Options
    example: str
    group: str


class Request(NamedTuple):
    """A command line taken apart as far as the verb; `words` are for the verb's own parser."""

    verb: str | None
    words: tuple[str, ...]
    db: str | None = None
    json: bool = False
    help: bool = False
    version: bool = False


OPENING = ("--db", "--json", "--version", "--help")


def split(argv: Sequence[str]) -> Request:
    """Take the options before the verb, the verb, and the rest. Raises UsageFault."""
    words = list(argv)
    db: str | None = None
    flags = {"json": False, "help": False, "version": False}
    while words and words[0].startswith("-"):
        word = words.pop(0)
        name, sign, value = word.partition("=")
        if name == "--db":
            if not sign and not words:
                raise UsageFault("--db wants the path of a stash", do=f"{PROGRAM} --db PATH COMMAND")
            db = value if sign else words.pop(0)
        elif word in ("-h", "--help"):
            flags["help"] = True
        elif word in ("--json", "--version"):
            flags[word[2:]] = True
        else:
            close = nearest(name, OPENING)
            do = f"did you mean {close}?" if close else "a command's own options stand after it"
            raise UsageFault(f"there is no option {shown(name)} before the command", do=do)
    verb = words.pop(0) if words else None
    return Request(verb, tuple(words), db=db, **flags)


def build(verb: Verb) -> VerbParser:
    """The parser of one verb, with what all verbs take."""
    parser = VerbParser(
        prog=f"{PROGRAM} {verb.name}",
        description=verb.help[0].upper() + verb.help[1:] + ".",
        epilog=f"For example: {verb.example}",
        allow_abbrev=False,
    )
    parser.add_argument("--db", metavar="PATH", help="the stash to use (default: STARCOVER_DB, or your own)")
    parser.add_argument("--json", action="store_true", help="one JSON document on standard output")
    verb.options(parser)
    return parser


def find(name: str, verbs: Sequence[Verb]) -> Verb:
    """The verb of that name. Raises UsageFault with "did you mean"."""
    for verb in verbs:
        if verb.name == name:
            return verb
    raise unknown("command", name, [v.name for v in verbs], f"{PROGRAM} --help lists them")


def overview(verbs: Sequence[Verb]) -> list[str]:
    """The lines of `starcover --help`."""
    lines = [
        f"usage: {PROGRAM} [--db PATH] [--json] [COMMAND ...]",
        "",
        "Does my stash cover this star, in which order, and what is left when it is cut?",
        f"{PROGRAM} alone opens the interface on your stash; {PROGRAM} demo opens it on a throw-away demo stash.",
    ]
    wide = max(len(verb.name) for verb in verbs)
    for group in dict.fromkeys(verb.group for verb in verbs):
        lines += ["", group]
        lines += [f"  {v.name:<{wide}}  {v.help}" for v in verbs if v.group == group]
    return [
        *lines,
        "",
        "--db PATH    the stash to use, before or after the command (default: STARCOVER_DB, or your own)",
        "--json       one JSON document on standard output; remarks go to standard error",
        "--version    the version",
        "",
        f"{PROGRAM} COMMAND --help tells what a command takes.",
        "Exit codes: 0 done, 1 failed, 2 not understood, 3 the answer is no (not covered, no sequence).",
    ]
