"""The line at the top: the screens with their keys, the one that is shown, and which stash is open."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual.reactive import reactive

from tui.commands import BY_ID
from tui.keys import key_name
from tui.widgets.command_line import CommandLine

SCREENS = ("stash", "star", "suggestions", "sizes", "cutting", "history", "help")


class TitleBar(CommandLine):
    """Screens as words with their keys; a click goes there."""

    DEFAULT_CSS = """
    TitleBar { dock: top; height: 1; background: $panel; color: $foreground; }
    TitleBar > .title-bar--key { color: $accent; text-style: bold; }
    TitleBar > .title-bar--here { background: $primary; color: $background; text-style: bold; }
    TitleBar > .title-bar--note { color: $text-muted; }
    """
    COMPONENT_CLASSES: ClassVar = {"title-bar--key", "title-bar--here", "title-bar--note"}

    note: reactive[str] = reactive("")

    def __init__(self, here: str) -> None:
        super().__init__()
        self._here = here

    def render(self) -> Text:
        key_style = self.get_component_rich_style("title-bar--key")
        here_style = self.get_component_rich_style("title-bar--here")
        text = Text(" ", no_wrap=True, overflow="crop")
        self.spans = []
        for name in SCREENS:
            command = BY_ID[f"app.{name}"]
            start = text.cell_len
            key = key_name(self.keys.get(command.id, command.key).split(",")[0])
            if name == self._here:
                text.right_crop(1)
                text.append(f" {key} {command.name} ", here_style)
            else:
                text.append(key, key_style).append(f" {command.name} ")
            self.spans.append((start, text.cell_len, command))
        room = self.size.width - text.cell_len - 2
        if self.note and room > 6:
            note = Text(self.note, self.get_component_rich_style("title-bar--note"))
            note.truncate(room, overflow="ellipsis")
            text.append(" " * (room - note.cell_len + 1)).append_text(note)
        return text
