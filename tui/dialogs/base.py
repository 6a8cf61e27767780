"""What all dialogs share: a place in the table of commands, and help for it."""

from __future__ import annotations

from typing import ClassVar, TypeVar

from textual.binding import BindingType

from tui.commands import BY_ID
from tui.dialogs.modal import Modal
from tui.keys import Command

T = TypeVar("T")


class Dialog(Modal[T]):
    """A screen on top of another. It sets `HERE` (its name in the table), `TITLE` (what help calls it) and
    `BINDINGS = bindings_for(HERE)`, and yields a `KeyBar(HERE)`."""

    HERE: ClassVar[str] = ""
    TITLE = ""
    BINDINGS: ClassVar[list[BindingType]] = [BY_ID["app.help"].binding("app.help")]

    def offers(self, command: Command) -> bool:
        """Whether one of its own commands can be done. What a field does with its key (Enter) is the same command."""
        name = command.action.partition("(")[0]
        return command.screen == self.HERE and self.check_action(name, ()) is True
