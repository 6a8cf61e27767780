"""Shell completion: a script for bash, zsh or fish, written from the one table of commands and their options."""

from __future__ import annotations

import argparse
import re
import shlex
from argparse import Namespace
from collections.abc import Iterator
from dataclasses import dataclass

from stash.cli.output import Output
from stash.cli.parser import OPENING, PROGRAM, Verb, build
from stash.errors import EXIT_DONE, UsageFault

SHELLS = ("bash", "zsh", "fish")

VALUES = {
    "--order": ("none", "mirror"),
    "--stagger": ("exact",),
    "--units": ("in", "cm"),
    "--bed": ("crib", "twin", "full", "queen", "king"),
    "--paper": ("letter", "a4"),
    "--pages": ("chart", "map", "cutting", "machine", "shop"),
    "--sort": ("value", "name", "hue", "length"),
    "--hue": ("warm", "cool", "red", "orange", "yellow", "green", "teal", "blue", "purple", "pink"),
    "--kind": ("yardage", "fat quarter", "fat eighth", "square", "strips", "scrap"),
    "SHELL": SHELLS,
}
"""What may stand after an option, or in the place of a word, where it is one of a few. Written out, as the modules that
decide it are heavy; a test holds them together."""

FILES = {"P", "PATH", "PHOTO", "FILE", "FILE.csv|FILE.json", "NEW.db"}
"""The places where a file's name stands."""


@dataclass(frozen=True, slots=True)
class Taken:
    """One option (`names`) or, without names, one word of a verb: what stands in its place and what it is for."""

    names: tuple[str, ...]
    place: str
    help: str
    many: bool

    @property
    def values(self) -> tuple[str, ...]:
        """The few words it may be, none where it may be anything."""
        return next((VALUES[key] for key in (*self.names, self.place) if key in VALUES), ())

    @property
    def file(self) -> bool:
        """Whether a file's name stands in its place."""
        return not self.values and self.place in FILES


def taken_by(verb: Verb) -> list[Taken]:
    """All that a verb takes, in the order of its help."""
    return [_taken(action) for action in build(verb)._actions]


def _taken(action: argparse.Action) -> Taken:
    place = "" if action.nargs == 0 else str(action.metavar or action.dest.upper())
    several = action.nargs in ("+", "*") or isinstance(action, argparse._AppendAction)
    return Taken(tuple(action.option_strings), place, (action.help or "").replace("%%", "%"), several)


def completion(args: Namespace, out: Output) -> int:
    """Print the script of a shell."""
    from stash.cli.verbs import VERBS

    if args.shell not in SHELLS:
        raise UsageFault(f'"{args.shell}" is no shell known here', where="completion", do="use bash, zsh or fish")
    script = "\n".join({"bash": bash, "zsh": zsh, "fish": fish}[args.shell](VERBS))
    out.answer({"shell": args.shell, "script": script}, [script])
    return EXIT_DONE


def _head(shell: str, use: str) -> str:
    return f"# Completion of {PROGRAM} for {shell}, written by `{PROGRAM} completion {shell}`. To use it: {use}"


# -- bash

BASH_BODY = r"""
_starcover_words() {
  local word
  for word in "$@"; do
    word=$(printf '%q' "$word")
    [[ $word != "$cur"* ]] || COMPREPLY+=("$word")
  done
}

_starcover_files() {
  local IFS=$'\n'
  compopt -o filenames 2>/dev/null
  COMPREPLY=($(compgen -f -- "$cur"))
}

_starcover() {
  local cur=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} verb="" at
  COMPREPLY=()
  for ((at = 1; at < COMP_CWORD; at++)); do
    case ${COMP_WORDS[at]} in
      --db) ((at++)) ;;
      -*) ;;
      *) verb=${COMP_WORDS[at]}; break ;;
    esac
  done
"""


def bash(verbs: tuple[Verb, ...]) -> Iterator[str]:
    """The script for bash 3.2 and later; it needs no other package."""
    yield _head("bash", f'eval "$({PROGRAM} completion bash)" in ~/.bashrc')
    yield BASH_BODY.rstrip("\n")
    yield '  case "$verb:$before" in'
    yield "    *:--db) _starcover_files; return ;;"
    for verb in verbs:
        for one in taken_by(verb):
            if not one.names or not one.place or "--db" in one.names:
                continue
            where = "|".join(f"{verb.name}:{name}" for name in one.names)
            yield f"    {where}) {_bash_place(one)}return ;;"
    yield "  esac"
    yield '  case "$verb" in'
    yield f"    '') _starcover_words {' '.join([*(verb.name for verb in verbs), *OPENING])} ;;"
    for verb in verbs:
        takes = taken_by(verb)
        words = [one for one in takes if not one.names]
        rest = next((_bash_place(one) for one in words if one.file or one.values), "")
        options = " ".join(name for one in takes for name in one.names)
        other = f" else {rest}" if rest else ""
        yield f"    {verb.name}) if [[ $cur == -* ]]; then _starcover_words {options};{other} fi ;;"
    yield "  esac"
    yield "}"
    yield f"complete -F _starcover {PROGRAM}"


def _bash_place(one: Taken) -> str:
    if one.file:
        return "_starcover_files; "
    return f"_starcover_words {' '.join(map(shlex.quote, one.values))}; " if one.values else ""


# -- zsh


def zsh(verbs: tuple[Verb, ...]) -> Iterator[str]:
    """The script for zsh, whose own `_arguments` does the work."""
    yield f"#compdef {PROGRAM}"
    yield _head("zsh", f'eval "$({PROGRAM} completion zsh)" in ~/.zshrc, after compinit')
    yield f"_{PROGRAM}() {{"
    yield "  local curcontext=$curcontext state state_descr line"
    yield "  typeset -A opt_args"
    yield "  local -a verbs=("
    yield from (f"    {_single(f'{verb.name}:{verb.help}')}" for verb in verbs)
    yield "  )"
    yield "  _arguments -C \\"
    for name, place, said in (
        ("--db", ":PATH:_files", "the stash to use"),
        ("--json", "", "one JSON document on standard output"),
        ("(- *)--version", "", "the version"),
        ("(- *)--help", "", "what there is"),
    ):
        yield f"    {_single(f'{name}[{said}]{place}')} \\"
    yield "    '1:command:->verb' '*::word:->words'"
    yield "  case $state in"
    yield "    verb) _describe command verbs ;;"
    yield "    words) case $words[1] in"
    for verb in verbs:
        specs = " \\\n          ".join(_zsh_spec(one) for one in _each_once(taken_by(verb)))
        yield f"      {verb.name}) _arguments \\\n          {specs} ;;"
    yield "    esac ;;"
    yield "  esac"
    yield "}"
    yield f'if [[ $funcstack[1] == _{PROGRAM} ]]; then _{PROGRAM} "$@"; else compdef _{PROGRAM} {PROGRAM}; fi'


def _each_once(takes: list[Taken]) -> Iterator[Taken]:
    for one in takes:
        if one.names:
            yield from (Taken((name,), one.place, one.help, one.many) for name in one.names)
        else:
            yield one


def _zsh_spec(one: Taken) -> str:
    few = " ".join(value.replace(" ", "\\ ") for value in one.values)
    action = "_files" if one.file else f"({few})" if few else " "
    place = one.place.replace(":", "\\:")
    if not one.names:
        return _single(f"{'*' if one.many else ''}:{place}:{action}")
    said = re.sub(r"([\[\]:\\])", r"\\\1", one.help)
    many = "*" if one.many else ""
    return _single(f"{many}{one.names[0]}[{said}]" + (f":{place}:{action}" if one.place else ""))


def _single(text: str) -> str:
    """A word in single quotes, for zsh."""
    return "'" + text.replace("'", "'\\''") + "'"


# -- fish


def fish(verbs: tuple[Verb, ...]) -> Iterator[str]:
    """The script for fish 3 and later."""
    yield _head("fish", f"{PROGRAM} completion fish > ~/.config/fish/completions/{PROGRAM}.fish")
    yield f"complete -c {PROGRAM} -f"
    none = "not __fish_seen_subcommand_from " + " ".join(verb.name for verb in verbs)
    alone = {"json": "one JSON document on standard output", "version": "the version", "help": "what there is"}
    for name, said in alone.items():
        yield f"complete -c {PROGRAM} -n {_fish(none)} -l {name} -d {_fish(said)}"
    yield f"complete -c {PROGRAM} -n {_fish(none)} -l db -r -F -d {_fish('the stash to use')}"
    for verb in verbs:
        yield f"complete -c {PROGRAM} -n {_fish(none)} -a {verb.name} -d {_fish(verb.help)}"
    for verb in verbs:
        here = _fish(f"__fish_seen_subcommand_from {verb.name}")
        for one in taken_by(verb):
            if not one.names and not (one.file or one.values):
                continue
            yield f"complete -c {PROGRAM} -n {here} {_fish_spec(one)}"


def _fish_spec(one: Taken) -> str:
    names = " ".join(f"-l {name[2:]}" if name.startswith("--") else f"-s {name[1:]}" for name in one.names)
    what = "-F" if one.file else f"-a {_fish(' '.join(map(shlex.quote, one.values)))}" if one.values else ""
    needs = "-r" if one.names and one.place else ""
    return " ".join(part for part in (names, needs, what, f"-d {_fish(one.help)}") if part)


def _fish(text: str) -> str:
    """A word in single quotes, for fish."""
    return "'" + text.replace("\\", "\\\\").replace("'", "\\'") + "'"
