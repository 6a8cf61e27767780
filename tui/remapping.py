"""Keys a user gives to commands in place of their own: a TOML file of command ids and keys.

    "star.print" = "ctrl+r"
    "stash.add" = ["insert", "a"]

Whatever is wrong in it is said; the rest counts.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from string import ascii_uppercase
from typing import Any

from textual.keys import Keys

from stash.lengths import shown
from tui.commands import ALL, BY_ID
from tui.keys import KEY_NAMES, writes_letter
from tui.parts import TYPING

MOST_BYTES = 100_000
WITHIN = {
    "stash": ("app", "list"), "star": ("app",), "suggestions": ("app",), "sizes": ("app", "grid"),
    "cutting": ("app", "list"), "history": ("app", "list"), "intake": ("app", "boxes", "line", "tick"),
    "form": ("line", "tick"), "prompt": ("line",), "stars": ("list",), "backups": ("list",),
}  # fmt: skip
"""Whose commands are reached by keys at the same time as those of a screen or dialog."""
OF_THE_ROWS = {*ascii_uppercase, *"123456789"}  # on the Star screen
NAMED = {key.value for key in Keys} | set(KEY_NAMES)
SIGNS = {sign: name for name, sign in KEY_NAMES.items() if len(sign) == 1 and not sign.isalnum()}


@dataclass(frozen=True)
class Remapped:
    """Keys by command id, several set apart by commas, and a sentence for each fault of the file."""

    keys: dict[str, str] = field(default_factory=dict)
    faults: tuple[str, ...] = ()

    def said(self, path: Path) -> str:
        """All the faults in one line, "" for none."""
        if not self.faults:
            return ""
        more = f"; and {len(self.faults) - 1} more" if len(self.faults) > 1 else ""
        return f"{path}: {self.faults[0]}{more}. All other keys are as they should be."


def read_keys(path: Path) -> Remapped:
    """What the file says. One that is not there says nothing."""
    try:
        with path.open("rb") as file:
            text = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        return Remapped()
    except OSError as trouble:
        return Remapped(faults=(f"it cannot be read ({trouble.strerror})",))
    try:
        if len(text) > MOST_BYTES:
            return Remapped(faults=(f"it is longer than {MOST_BYTES} bytes",))
        said = tomllib.loads(text.decode("utf-8"))
    except UnicodeDecodeError:
        return Remapped(faults=("it is not in UTF-8",))
    except (tomllib.TOMLDecodeError, RecursionError) as fault:
        do = 'write lines such as "star.print" = "ctrl+r"'
        return Remapped(faults=(f"it is not TOML ({shown(str(fault))}); {do}",))
    return _judged(dict(_flat(said)))


def _flat(table: Mapping[str, Any], before: str = "") -> Iterator[tuple[str, Any]]:
    """`star.print = ...` and a table [star] mean the same as "star.print"."""
    for name, value in table.items():
        if isinstance(value, dict):
            yield from _flat(value, f"{before}{name}.")
        else:
            yield f"{before}{name}", value


def _judged(wanted: Mapping[str, Any]) -> Remapped:
    keys: dict[str, str] = {}
    faults = []
    for name, value in wanted.items():
        try:
            keys[name] = ",".join(_keys_of(name, value))
        except ValueError as fault:
            faults.append(str(fault))
    while clash := _clash(keys):  # only a key that was given can be taken back
        name, said = clash
        del keys[name]
        faults.append(said)
    return Remapped(keys, tuple(faults))


def _keys_of(name: str, value: Any) -> list[str]:
    """The keys one line gives. Raises ValueError with what is wrong with it."""
    if name not in BY_ID:
        close = get_close_matches(name, BY_ID, 1)
        raise ValueError(f"there is no command {shown(name)}" + (f", did you mean {close[0]}?" if close else ""))
    if BY_ID[name].fixed:
        raise ValueError(f"{name} keeps its keys")
    keys = value.split(",") if isinstance(value, str) and value != "," else [value] if value == "," else value
    if not isinstance(keys, list) or not keys or not all(isinstance(one, str) for one in keys):
        raise ValueError(f'{name}: a key is written in quotes, as in "ctrl+r"')
    found = [_long_name(one.strip()) for one in keys]
    for one, typed in zip(found, keys, strict=True):
        if not _is_key(one):
            raise ValueError(f'{name}: there is no key "{shown(typed)}"')
        if BY_ID[name].screen in TYPING and writes_letter(one):
            raise ValueError(f'{name}: "{shown(typed)}" is written into the field there; use ctrl+ or an F key')
        if BY_ID[name].screen in ("star", "app") and one in OF_THE_ROWS:
            raise ValueError(f'{name}: "{shown(typed)}" picks a row or a way on of the star')
    return found


def _long_name(key: str) -> str:
    """A sign by the name the library has for it; a sign that is held with ctrl, too."""
    held, plus, last = key.rpartition("+")
    if plus and last and held:
        return f"{held.lower()}+{SIGNS.get(last, last)}"
    return SIGNS.get(key, key)


def _is_key(key: str) -> bool:
    parts = key.split("+")
    last = parts.pop()
    held = all(part in ("ctrl", "shift", "alt", "super", "meta", "hyper") for part in parts)
    return held and len(set(parts)) == len(parts) and (last in NAMED or (len(last) == 1 and last.isprintable()))


def _clash(keys: dict[str, str]) -> tuple[str, str] | None:
    """The last command whose given key another one has in the same place."""
    for name in reversed(keys):
        for place, others in _places().items():
            if BY_ID[name].screen not in (place, *others):
                continue
            for other in ALL:
                taken = keys.get(other.id, other.key).split(",")
                both = {_long_name(key) for key in taken} & set(keys[name].split(","))
                if other.id != name and other.screen in (place, *others) and both:
                    return name, f"{name}: {KEY_NAMES.get(min(both), min(both))} is the key of {other.id}"
    return None


def _places() -> dict[str, tuple[str, ...]]:
    return {command.screen: WITHIN.get(command.screen, ()) for command in ALL}
