"""A command and the names of keys."""

from __future__ import annotations

from dataclasses import dataclass

from textual.binding import Binding


@dataclass(frozen=True, slots=True)
class Command:
    """One thing a user can do. `key` may name several, separated by commas; the first is the one shown.

    `do` is the action where it is not the id's own. `first` commands go before what the widget with the cursor does
    with the key. `fixed` ones keep their key: others that hang together with them have none in the table.
    """

    id: str
    key: str
    name: str
    help: str
    foot: int = 0
    writes: bool = False
    do: str = ""
    first: bool = False
    fixed: bool = False

    @property
    def screen(self) -> str:
        return self.id.partition(".")[0]

    @property
    def action(self) -> str:
        return self.do or self.id.partition(".")[2]

    @property
    def shown_key(self) -> str:
        return key_name(self.key.split(",")[0])

    def binding(self, action: str = "") -> Binding:
        """Its keys as the library binds them; a keymap changes them by the command's id."""
        do = action or self.action
        return Binding(self.key, do, self.name, show=False, tooltip=self.help, id=self.id, priority=self.first)


KEY_NAMES = {
    "enter": "Enter",
    "escape": "Esc",
    "tab": "Tab",
    "shift+tab": "Shift+Tab",
    "backspace": "Backspace",
    "delete": "Del",
    "home": "Home",
    "end": "End",
    "pageup": "PgUp",
    "pagedown": "PgDn",
    "space": "Space",
    "comma": ",",
    "slash": "/",
    "question_mark": "?",
    "left_square_bracket": "[",
    "right_square_bracket": "]",
    "equals_sign": "=",
    "plus": "+",
    "minus": "-",
    "less_than_sign": "<",
    "greater_than_sign": ">",
    "full_stop": ".",
    "up": "↑",
    "down": "↓",
    "left": "←",
    "right": "→",
    "ctrl+p": "^p",
    "ctrl+q": "^q",
}


ARROWS = ("up", "down", "left", "right")
HELD = {"ctrl": "^", "shift": "Shift+", "alt": "Alt+"}


def key_name(key: str) -> str:
    """A key as it is written on the screen."""
    if key in KEY_NAMES:
        return KEY_NAMES[key]
    held, plus, last = key.rpartition("+")
    if plus and held in HELD and last:
        return HELD[held] + key_name(last)
    return key.upper() if key[0] == "f" and key[1:].isdigit() else key


def writes_letter(key: str) -> bool:
    """Whether a key, pressed in a field, writes a letter or sign into it."""
    return len(key) == 1 or (key in KEY_NAMES and len(KEY_NAMES[key]) == 1 and key not in ARROWS) or key == "space"
