"""The footer: the most wanted commands of the screen with their keys, clickable."""

from __future__ import annotations

from typing import Any, ClassVar

from rich.text import Text
from textual import events
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Input

from tui.commands import Command, footer_for

MOST_AT_80 = 7
WIDE = 100


class KeyBar(Widget, can_focus=False):
    """As many footer commands as fit; at most seven on a narrow terminal, where more would not be read."""

    DEFAULT_CSS = """
    KeyBar { dock: bottom; height: 1; background: $panel; color: $foreground; padding: 0 1; }
    KeyBar > .key-bar--key { color: $accent; text-style: bold; }
    """
    COMPONENT_CLASSES: ClassVar = {"key-bar--key"}
    ALLOW_SELECT = False

    def __init__(self, here: str) -> None:
        super().__init__()
        self._here = here
        self._spans: list[tuple[int, int, Command]] = []

    def on_mount(self) -> None:
        self.screen.bindings_updated_signal.subscribe(self, self._bindings_changed)

    def _bindings_changed(self, _screen: Screen[Any]) -> None:
        self.refresh()

    def render(self) -> Text:
        key_style = self.get_component_rich_style("key-bar--key")
        width = self.size.width
        text = Text(no_wrap=True, overflow="crop")
        self._spans = []
        for command, key in self._shown():
            label = f"{key} {command.name}"
            start = text.cell_len
            gap = 2 if start else 0
            if start + gap + len(label) > width:
                break
            text.append(" " * gap)
            text.append(key, key_style).append(f" {command.name}")
            self._spans.append((start, text.cell_len, command))
        return text

    def _shown(self) -> list[tuple[Command, str]]:
        """What can be done just now. While typing only keys that are no letters count."""
        enabled = {active.binding.id for active in self.screen.active_bindings.values() if active.enabled}
        typing = isinstance(self.screen.focused, Input)
        shown = [
            (command, command.shown_key)
            for command in footer_for(self._here)
            if command.id in enabled and not (typing and len(command.shown_key) == 1)
        ]
        if typing:
            return shown
        return shown[:MOST_AT_80] if self.app.size.width < WIDE else shown

    async def on_click(self, event: events.Click) -> None:
        for start, end, command in self._spans:
            if start <= event.x - 1 < end:
                await self.screen.run_action(command.action)
                return
