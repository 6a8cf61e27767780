"""The footer of a screen or dialog: the most wanted commands with their keys, clickable."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, ClassVar

from rich.text import Text
from textual.screen import Screen
from textual.widgets import Input

from tui.commands import BY_ID, footer_for
from tui.dialogs.base import Dialog
from tui.keys import Command, key_name, writes_letter
from tui.widgets.command_line import CommandLine

MOST_AT_80 = 7
MORE = BY_ID["app.command_palette"]  # where there are more commands than are shown, the mouse finds them there
WIDE = 100


class KeyBar(CommandLine):
    """As many footer commands as fit; at most seven on a narrow terminal, where more would not be read.

    `more` commands come after those of `here`; `named` gives some another name here, by id. In a dialog the way to its
    help comes last.
    """

    DEFAULT_CSS = """
    KeyBar { dock: bottom; height: 1; background: $panel; color: $foreground; padding: 0 1; }
    KeyBar > .key-bar--key { color: $accent; text-style: bold; }
    KeyBar.-inside { dock: none; width: 1fr; background: $surface; color: $text-muted; padding: 0; }
    """
    COMPONENT_CLASSES: ClassVar = {"key-bar--key"}

    def __init__(self, here: str, more: Sequence[Command] = (), named: Mapping[str, str] | None = None) -> None:
        super().__init__()
        self._commands = (*footer_for(here), *more)
        self._named = named or {}

    def on_mount(self) -> None:
        self.set_class(isinstance(self.screen, Dialog), "-inside")
        self.screen.bindings_updated_signal.subscribe(self, self._bindings_changed)

    def _bindings_changed(self, _screen: Screen[Any]) -> None:
        self.refresh()

    def render(self) -> Text:
        key_style = self.get_component_rich_style("key-bar--key")
        width = self.size.width
        text = Text(no_wrap=True, overflow="crop")
        self.spans = []
        for command, key in self.shown():
            name = self._named.get(command.id, command.name)
            label = f"{key} {name}"
            start = text.cell_len
            gap = 2 if start else 0
            if start + gap + len(label) > width:
                break
            text.append(" " * gap)
            text.append(key, key_style).append(f" {name}")
            self.spans.append((start + gap, text.cell_len, command))
        key = key_name(self.keys.get(MORE.id, MORE.key).split(",")[0])
        start, room = text.cell_len + 2, width - text.cell_len - len(key) - 2
        if room >= 0 and self._leads_on():
            text.append(f"  {key}", key_style).append(" …" if room > 1 else "")
            self.spans.append((start, text.cell_len, MORE))
        return text

    def _leads_on(self) -> bool:
        """Whether the way to all other commands is to be shown behind those that have room."""
        typing = isinstance(self.screen.focused, Input)
        return not typing and not isinstance(self.screen, Dialog) and MORE not in [span[2] for span in self.spans]

    def _does_enter(self, command: Command) -> bool:
        """Enter in a field is the field's own key; what a form does with it is still the screen's command."""
        screen = self.screen
        here = getattr(screen, "HERE", "") == command.screen and isinstance(screen.focused, Input)
        return here and command.key == "enter" and screen.check_action(command.action, ()) is True

    def shown(self) -> list[tuple[Command, str]]:
        """What can be done just now. While typing only keys that write nothing count."""
        screen = self.screen
        enabled = {active.binding.id for active in screen.active_bindings.values() if active.enabled}
        dialog = screen if isinstance(screen, Dialog) else None
        typing = isinstance(screen.focused, Input)
        wanted = [*self._commands, *([BY_ID["app.help"]] if dialog else [])]
        shown = []
        for command in wanted:
            keys = self.keys.get(command.id, command.key).split(",")
            key = next((one for one in keys if not (typing and writes_letter(one))), None)
            offered = command.id in enabled or (dialog.offers(command) if dialog else self._does_enter(command))
            if key is not None and offered:
                shown.append((command, key_name(key)))
        return shown[:MOST_AT_80] if self.app.size.width < WIDE and not typing else shown
