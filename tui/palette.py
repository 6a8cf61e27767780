"""The command palette's entries: the commands of this screen, every fabric and every saved star."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from textual.command import DiscoveryHit, Hit, Hits, Provider

from tui.commands import Command, commands_for

if TYPE_CHECKING:
    from tui.app import StarcoverApp

MOST = 30


class FindProvider(Provider):
    """Commands by name; "go to fabric ..." and "open star ..." for what is in the stash."""

    @property
    def _main(self) -> StarcoverApp:
        return cast("StarcoverApp", self.app)

    def _commands(self) -> list[Command]:
        here = self._main.current_mode
        both = (*commands_for(here), *commands_for("app"))
        return [command for command in both if command.action != "command_palette"]

    async def _run(self, command: Command) -> None:
        await self.screen.run_action(command.action)

    async def discover(self) -> Hits:
        for command in self._commands():
            yield DiscoveryHit(
                f"{command.name}  ({command.shown_key})", lambda c=command: self._run(c), help=command.help
            )

    async def search(self, query: str) -> Hits:
        matcher = self.matcher(query)
        for command in self._commands():
            score = max(matcher.match(command.name), matcher.match(command.help) * 0.8)
            if score > 0:
                yield Hit(
                    score,
                    matcher.highlight(f"{command.name}  ({command.shown_key})"),
                    lambda c=command: self._run(c),
                    help=command.help,
                )
