"""The ways on under the rows of a star that the stash does not cover: a number and a line each."""

from __future__ import annotations

from rich.text import Text
from textual import events
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget

from tui.named_keys import key_of, with_keys

HEAD = "What does cover it:"
TRYING = "{star.keep} keeps it, {star.restore} puts it back"


class WayPicked(Message):
    """The line of way `number` (from 1) was clicked."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.number = number


class HaveAsked(Message):
    """The line that asks for what is not measured was clicked."""


class WaysList(Widget):
    """Draws numbered lines; the one that is tried stands out. Above them stands what is to be said first. Hidden while
    there is nothing."""

    DEFAULT_CSS = """
    WaysList { height: auto; padding: 0 1; text-wrap: nowrap; text-overflow: ellipsis; }
    WaysList.-none { display: none; }
    """
    lines: reactive[tuple[str, ...]] = reactive((), layout=True)
    first: reactive[str] = reactive("", layout=True)  # which fabrics are not measured yet
    tried: reactive[int] = reactive(0)

    def watch_lines(self) -> None:
        self.set_class(not self.lines and not self.first, "-none")

    def watch_first(self) -> None:
        self.watch_lines()

    def on_mount(self) -> None:
        self.tooltip = "A click tries it on the star; the same again puts it back"
        self.watch_lines()

    def render(self) -> Text:
        text = Text()
        if self.first:
            text.append(f"{key_of('star.have')}  ", "bold").append(self.first)
        if not self.lines:
            return text
        text.append("\n" if text else "")
        text.append(with_keys(TRYING) if self.tried else HEAD, "reverse" if self.tried else "bold")
        for number, line in enumerate(self.lines, start=1):
            style = "reverse" if number == self.tried else ""
            text.append("\n").append(f"{number if number < 10 else ' '}  ", f"bold {style}").append(line, style)
        return text

    def on_click(self, event: events.Click) -> None:
        offset = event.get_content_offset(self)
        if offset is None:
            return
        number = offset.y - bool(self.first)
        if number < 0 or 1 <= number <= len(self.lines):
            event.stop()
            self.post_message(WayPicked(number) if number > 0 else HaveAsked())
