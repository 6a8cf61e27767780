"""Help: what the widget or field with the cursor takes, then the commands of the screen or dialog, then those of all.

Made from the table of commands, with the keys as they are now.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, cast

from rich.cells import cell_len
from rich.table import Table
from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Button, Input, Static

from tui.commands import BY_ID, bindings_for, commands_for
from tui.dialogs.base import Dialog
from tui.dialogs.form import FieldLine
from tui.keys import Command, key_name
from tui.named_keys import with_keys
from tui.screens.help_notes import NOTES

if TYPE_CHECKING:
    from tui.app import StarcoverApp

IN_A_FIELD = "In it: ← → Home End move, Shift marks, ^w takes a word away, ^u all before, ^k all after; ^x ^c ^v."
ON_A_BUTTON = "Enter presses it."
BETWEEN = "Tab and Shift+Tab go from one field, list or button to the next; ^c copies what the mouse has marked."
CLICKED = "Keys in the footer and the words at the top can be clicked."
NAMES = {"list": "the list", "grid": "the grid of stars", "tick": "a box to tick", "boxes": "the boxes on the picture"}


class HelpScreen(Dialog[None]):
    """Help for a screen or dialog as it stands."""

    DEFAULT_CSS = """
    HelpScreen { align: center middle; background: $background 60%; }
    HelpScreen > Vertical { width: 76; max-width: 100%; height: auto; max-height: 100%; border: round $primary;
        background: $surface; padding: 0 1; border-title-color: $accent; }
    HelpScreen VerticalScroll { height: auto; max-height: 100%; scrollbar-size-vertical: 1; }
    HelpScreen Static { height: auto; }
    HelpScreen .help { color: $text-muted; }
    """
    HERE = "help"
    TITLE = "Help"
    BINDINGS = bindings_for(HERE)

    def __init__(self, of: Screen[Any], mode: str) -> None:
        super().__init__()
        self._of = of
        self._in_dialog = isinstance(of, Dialog)
        self._here = of.HERE if isinstance(of, Dialog) else mode
        command = BY_ID.get(f"app.{mode}")
        self._heading = str(of.TITLE) if isinstance(of, Dialog) else command.name if command else mode

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = Text(f"Help: {self._heading}").markup
            box.border_subtitle = f"{self._key('help.leave')} back · ↑ ↓ scroll"
            with VerticalScroll():
                yield from self._of_the_focus()
                yield Static(Text(self._heading, "bold"))
                yield Static(self._table(self._commands()), markup=False)
                for note in map(with_keys, NOTES.get(self._here, ())):
                    yield Static(Text(note), classes="help")
                yield Static(Text("\nEverywhere", "bold"))
                yield Static(self._table(self._anywhere()), markup=False)
                yield Static(BETWEEN, classes="help", markup=False)
                yield Static(CLICKED, classes="help", markup=False)

    def on_mount(self) -> None:
        self.query_one(VerticalScroll).focus()

    def action_leave(self) -> None:
        self.dismiss(None)

    def _of_the_focus(self) -> Iterator[Widget]:
        """What the widget with the cursor takes."""
        widget = self._of.focused
        if widget is None:
            return
        title, lines = focus_help(widget)
        own = self._own()
        if not lines and not own:
            return
        yield Static(Text(f"Here: {title}", "bold"))
        for line in lines:
            yield Static(Text(line))
        if own:
            yield Static(self._table(own), markup=False)
        yield Static("")

    def _own(self) -> list[Command]:
        """The commands of the widget with the cursor."""
        widget = self._of.focused
        nodes = (widget, *_field_line(widget)) if widget is not None else ()
        return [one for node in nodes for one in commands_for(getattr(node, "HERE", ""))]

    def _commands(self) -> list[Command]:
        """Those of the screen, or what the dialog offers now."""
        of = self._of
        return [one for one in commands_for(self._here) if not isinstance(of, Dialog) or of.offers(one)]

    def _anywhere(self) -> list[Command]:
        return [BY_ID["app.help"]] if self._in_dialog else commands_for("app")

    def _key(self, id: str) -> str:
        """The first key of a command."""
        return self._keys(BY_ID[id])[0]

    def _keys(self, command: Command) -> list[str]:
        changed = cast("StarcoverApp", self.app).remapped.keys
        return [key_name(key) for key in changed.get(command.id, command.key).split(",")]

    def _table(self, commands: list[Command]) -> Table:
        """Their keys, names and what they do, in columns that are as wide in each table of this help."""
        every = [*self._own(), *self._commands(), *self._anywhere()]
        table = Table.grid(padding=(0, 2))
        table.add_column(no_wrap=True, min_width=max(cell_len(" ".join(self._keys(one))) for one in every))
        table.add_column(no_wrap=True, min_width=max(cell_len(one.name) for one in every))
        table.add_column()
        for command in commands:
            table.add_row(Text(" ".join(self._keys(command)), "bold"), Text(command.name), Text(command.help))
        return table


def focus_help(widget: Widget) -> tuple[str, list[str]]:
    """What a widget with the cursor is called, and what it takes, a sentence a line."""
    if isinstance(widget, Input):
        line = next(_field_line(widget), None)
        title = line.field.label if line is not None else "the field"
        hint = line.field.hint if line is not None else widget.placeholder
        return title, [f"It takes: {hint}." if hint else "It takes any text.", *_reading(line), IN_A_FIELD]
    if isinstance(widget, Button):
        return f"the button {widget.label}", [f"{widget.tooltip}." if widget.tooltip else "", ON_A_BUTTON]
    return NAMES.get(str(getattr(widget, "HERE", "")), "where the cursor is"), []


def _field_line(widget: Widget) -> Iterator[FieldLine]:
    """The line of a form that a field stands in, if it does."""
    return (one for one in widget.ancestors if isinstance(one, FieldLine))


def _reading(line: FieldLine | None) -> list[str]:
    """How what is typed is understood, or what is wrong with it."""
    if line is None or not line.text.strip():
        return []
    said = str(line.query_one(".under", Static).content)
    return [f"Now: {line.text}  {said}"] if said and said != line.field.hint else [f"Now: {line.text}"]
