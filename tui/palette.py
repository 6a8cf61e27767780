"""The command palette's entries: the commands of this screen, every fabric and every saved star."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING, cast

from textual.command import DiscoveryHit, Hit, Hits, Provider
from textual.content import Content

from tui.commands import Command, commands_for
from tui.widgets.fabric_lines import one_line

if TYPE_CHECKING:
    from tui.app import StarcoverApp

MOST_NAMES = 20  # fabrics or stars among the hits


class FindProvider(Provider):
    """Commands by name; "go to fabric ..." and "open star ..." for what is in the stash."""

    @property
    def _main(self) -> StarcoverApp:
        return cast("StarcoverApp", self.app)

    def _commands(self) -> list[Command]:
        here = self._main.current_mode
        both = (*commands_for(here), *commands_for("app"))
        return [command for command in both if command.action != "command_palette" and self._allowed(command)]

    def _allowed(self, command: Command) -> bool:
        """Whether it can be done here and now."""
        node = self._main if command.screen == "app" else self.screen
        return node.check_action(command.action.partition("(")[0], ()) is True

    async def _run(self, command: Command) -> None:
        await self.screen.run_action(command.action)

    async def discover(self) -> Hits:
        for command in self._commands():
            shown = Content(f"{command.name}  ({command.shown_key})")
            yield DiscoveryHit(shown, partial(self._run, command), command.name, command.help)

    async def search(self, query: str) -> Hits:
        matcher = self.matcher(query)
        for command in self._commands():
            score = max(matcher.match(command.name), matcher.match(command.help) * 0.8)
            if score > 0:
                shown = Content(f"{command.name}  ({command.shown_key})")
                yield Hit(score, shown, partial(self._run, command), command.name, command.help)
        for hit in self._named(query):
            yield hit

    def _named(self, query: str) -> Iterator[Hit]:
        """Fabrics and stars whose name holds what is typed: a plain search, quick in a stash of any size."""
        app, wanted = self._main, query.casefold().strip()
        for word in ("go to fabric ", "open star "):
            wanted = wanted.removeprefix(word)
        fabrics = (fabric for fabric in app.loaded.fabrics if wanted in fabric.name.casefold())
        for _, fabric in zip(range(MOST_NAMES), fabrics, strict=False):
            name = one_line(fabric.name)
            go = partial(app.find_fabric, fabric.id)
            yield Hit(_score(wanted, name), Content(f"Go to fabric {name}"), go, name)
        for saved in app.loaded.stars:
            if wanted in saved.name.casefold():
                name = one_line(saved.name)
                yield Hit(_score(wanted, name), Content(f"Open star {name}"), partial(app.open_star, saved), name)


def _score(wanted: str, name: str) -> float:
    """Between 0.5 and 1: the more of the name was typed, the higher."""
    return 0.5 + 0.5 * len(wanted) / max(len(name), 1)
