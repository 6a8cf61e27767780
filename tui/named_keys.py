"""The key of a command as sentences name it: the user's own, where the file of keys gives one."""

from __future__ import annotations

import re
from collections.abc import Mapping

from tui.commands import BY_ID
from tui.keys import key_name

_own: dict[str, str] = {}
_BRACED = re.compile(r"\{([a-z]+\.[a-z_]+)\}")


def name_keys(own: Mapping[str, str]) -> None:
    """From now on sentences name these keys, by command id; a program has one file of keys."""
    _own.clear()
    _own.update(own)


def key_of(command_id: str) -> str:
    """The first key of a command as it is written on the screen, such as `u` or `Esc`."""
    return key_name(_own.get(command_id, BY_ID[command_id].key).split(",")[0])


def with_keys(sentence: str) -> str:
    """A sentence of our own (never the user's text) with the key of each command that stands in it as `{app.undo}`."""
    return _BRACED.sub(lambda found: key_of(found[1]), sentence)
