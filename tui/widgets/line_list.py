"""A list drawn line by line: only what is on the screen is ever made, so ten thousand entries scroll like ten."""

from __future__ import annotations

from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import BindingType
from textual.geometry import Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

from tui.commands import bindings_for

CURSOR_SIGN = "▸"


class LineList(ScrollView, can_focus=True):
    """Entries of one line each with a cursor. Subclasses give `line` and call `set_count`."""

    HERE = "list"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for(HERE)
    DEFAULT_CSS = """
    LineList { background: $background; color: $foreground; scrollbar-size-vertical: 1; overflow-x: hidden; }
    LineList > .line-list--cursor { background: $primary 40%; text-style: bold; }
    LineList > .line-list--resting { background: $panel; }
    LineList > .line-list--quiet { color: $text-muted; }
    LineList > .line-list--strong { color: $accent; text-style: bold; }
    LineList > .line-list--short { color: $text-error; text-style: bold; }
    LineList > .line-list--care { color: $text-warning; text-style: bold; }
    """
    COMPONENT_CLASSES: ClassVar = {
        "line-list--cursor",
        "line-list--resting",
        "line-list--quiet",
        "line-list--strong",
        "line-list--short",
        "line-list--care",
    }
    ALLOW_SELECT = False

    cursor: reactive[int] = reactive(0)

    class Moved(Message):
        """The cursor stands on another entry."""

        def __init__(self, line_list: LineList, index: int) -> None:
            self.line_list = line_list
            self.index = index
            super().__init__()

        @property
        def control(self) -> LineList:
            return self.line_list

    class Chosen(Moved):
        """An entry was double-clicked."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self._count = 0
        self._nothing = ""
        self._strips: dict[tuple[int, int, bool, bool], Strip] = {}
        self._styles: dict[str, Style] = {}  # asked of the library for each line, they cost more than the line

    # -- for subclasses

    def line(self, index: int, width: int) -> list[Segment]:
        """The segments of entry `index`; longer ones are cropped, shorter ones filled up."""
        raise NotImplementedError

    def set_count(self, count: int, cursor: int, nothing: str = "") -> None:
        """There are now `count` entries and the cursor stands on `cursor`; everything is drawn anew. Where there are
        none, `nothing` says so."""
        self._count = count
        self._nothing = nothing
        self._strips.clear()
        self.virtual_size = Size(0, count)
        self.cursor = cursor
        self.scroll_to_cursor()
        self.refresh()

    def style_of(self, name: str) -> Style:
        """The style for "quiet", "strong", "short" or "care" text, without its background: the cursor has one."""
        style = self._styles.get(name)
        if style is None:
            full = self.get_component_rich_style(f"line-list--{name}")
            style = self._styles[name] = Style(color=full.color, bold=full.bold)
        return style

    def _base(self, name: str = "") -> Style:
        """The style of a whole line: of the list's own, or of `line-list--name`."""
        style = self._styles.get(f"--{name}")
        if style is None:
            style = self.get_component_rich_style(f"line-list--{name}") if name else self.rich_style
            self._styles[f"--{name}"] = style
        return style

    def redraw(self) -> None:
        """Draw all lines anew (the theme, the grey view or a mark changed)."""
        self._strips.clear()
        self.refresh()

    # -- cursor

    @property
    def count(self) -> int:
        return self._count

    def validate_cursor(self, cursor: int) -> int:
        return max(0, min(cursor, self._count - 1))

    def watch_cursor(self, old: int, new: int) -> None:
        self.refresh_line(old)
        self.refresh_line(new)
        self.scroll_to_cursor()
        self.post_message(self.Moved(self, new))

    def scroll_to_cursor(self) -> None:
        height = self.scrollable_content_region.height
        if not height:
            return
        top = round(self.scroll_target_y)
        if self.cursor < top:
            self.scroll_to(y=self.cursor, animate=False)
        elif self.cursor >= top + height:
            self.scroll_to(y=self.cursor - height + 1, animate=False)

    def action_move(self, by: int) -> None:
        self.cursor += by

    def action_page(self, by: int) -> None:
        self.cursor += by * max(1, self.scrollable_content_region.height - 1)

    def action_to_end(self, way: int) -> None:
        self.cursor = 0 if way < 0 else self._count - 1

    def on_click(self, event: events.Click) -> None:
        index = event.y + self.scroll_offset.y
        if not 0 <= index < self._count:
            return
        self.cursor = index
        if event.chain == 2:
            self.post_message(self.Chosen(self, index))

    def on_resize(self) -> None:
        self._strips.clear()
        self.scroll_to_cursor()

    def on_focus(self) -> None:
        self.refresh_line(self.cursor)

    def on_blur(self) -> None:
        self.refresh_line(self.cursor)

    def notify_style_update(self) -> None:
        self._strips.clear()
        self._styles.clear()
        super().notify_style_update()

    # -- drawing

    def render_line(self, y: int) -> Strip:
        width = self.scrollable_content_region.width
        index = y + self.scroll_offset.y
        if index >= self._count:
            words = f"  {self._nothing}" if index == 0 else ""
            style = self._base() + self.style_of("quiet")
            return Strip([Segment(words, style)]).adjust_cell_length(width, self._base())
        here = index == self.cursor
        key = (index, width, here, here and self.has_focus)
        strip = self._strips.get(key)
        if strip is None:
            if len(self._strips) > 2000:
                self._strips.clear()
            strip = self._strips[key] = self._strip(index, width, here)
        return strip

    def _strip(self, index: int, width: int, here: bool) -> Strip:
        style = self._base(("cursor" if self.has_focus else "resting") if here else "")
        segments = [Segment(CURSOR_SIGN if here else " "), *self.line(index, width - 1)]
        strip = Strip(Segment.apply_style(segments, style))
        return strip.adjust_cell_length(width, style)
