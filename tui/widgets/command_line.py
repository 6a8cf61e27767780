"""A line of commands: each can be clicked, and tells what it does when the mouse rests on it."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from textual import events
from textual.widget import Widget

from tui.keys import Command

if TYPE_CHECKING:
    from tui.app import StarcoverApp


class CommandLine(Widget, can_focus=False):
    """Subclasses draw their line and note in `spans` where each command stands: its first column, and the one after."""

    ALLOW_SELECT = False

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.spans: list[tuple[int, int, Command]] = []

    @property
    def keys(self) -> dict[str, str]:
        """The keys that the user gave to commands in place of their own, by command id."""
        return cast("StarcoverApp", self.app).remapped.keys

    def command_at(self, event: events.MouseEvent) -> Command | None:
        place = event.get_content_offset(self)
        if place is None:
            return None
        return next((command for start, end, command in self.spans if start <= place.x < end), None)

    async def on_click(self, event: events.Click) -> None:
        command = self.command_at(event)
        if command is None:
            return
        for active in self.screen.active_bindings.values():
            if active.binding.id == command.id:
                await self.app.run_action(active.binding.action, active.node)
                return
        await self.screen.run_action(command.action)  # a field has the key, and does the same with it

    def on_mouse_move(self, event: events.MouseMove) -> None:
        command = self.command_at(event)
        said = f"{command.name}: {command.help}" if command is not None else None
        if self.tooltip != said:
            self.tooltip = said

    def on_leave(self) -> None:
        self.tooltip = None
