"""The command palette's entries: the commands of this screen, every fabric and every saved star."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from functools import partial
from itertools import islice
from typing import TYPE_CHECKING, cast

from textual.app import App
from textual.command import CommandPalette, DiscoveryHit, Hit, Hits, Provider
from textual.content import Content
from textual.theme import ThemeProvider

from tui.commands import commands_for
from tui.dialogs.modal import Modal
from tui.keys import Command, key_name
from tui.widgets.fabric_lines import one_line

if TYPE_CHECKING:
    from tui.app import StarcoverApp

GO, OPEN = "Go to fabric ", "Open star "
MOST_NAMES = 20  # fabrics or stars among the hits


class Palette(CommandPalette, Modal[None]):
    """The library's own, but closed once by a double Esc, and whole when a page key comes just as the hits are listed
    anew."""

    def _action_command_list(self, action: str) -> None:
        with suppress(KeyError):  # it looks up a line of the list as it will be; the next press finds it
            super()._action_command_list(action)


class Finding(App[None]):
    """An app with this palette, for commands and for themes."""

    def action_command_palette(self) -> None:
        if not isinstance(self.screen, Palette):
            self.push_screen(Palette(id="--command-palette"))

    def search_themes(self) -> None:
        self.push_screen(Palette(providers=[ThemeProvider], placeholder="Search for themes…"))


class FindProvider(Provider):
    """Commands by name or help; "go to fabric ..." and "open star ..." for what is in the stash."""

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

    def _label(self, command: Command) -> Content:
        keys = self._main.remapped.keys.get(command.id, command.key)
        return Content(f"{command.name}  ({key_name(keys.split(',')[0])})")

    async def _run(self, command: Command) -> None:
        await self.screen.run_action(command.action)

    async def discover(self) -> Hits:
        for command in self._commands():
            yield DiscoveryHit(self._label(command), partial(self._run, command), command.name, command.help)

    async def search(self, query: str) -> Hits:
        wanted = query.casefold().strip()
        for command in self._commands():
            score = _score(wanted, command.name) or 0.4 * (wanted in command.help.casefold())
            if score:
                yield Hit(score, self._label(command), partial(self._run, command), command.name, command.help)
        for hit in self._named(wanted):
            yield hit

    def _named(self, wanted: str) -> Iterator[Hit]:
        """Fabrics and stars whose name holds what is typed: a plain search, quick in a stash of any size."""
        app = self._main
        for word in (GO, OPEN):
            wanted = wanted.removeprefix(word.casefold())
        fabrics = (fabric for fabric in app.loaded.fabrics if wanted in fabric.name.casefold())
        for fabric in islice(fabrics, MOST_NAMES):
            text = GO + one_line(fabric.name)
            yield Hit(_score(wanted, fabric.name), Content(text), partial(app.find_fabric, fabric.id), text)
        for saved in app.loaded.stars:
            if wanted in saved.name.casefold():
                text = OPEN + one_line(saved.name)
                yield Hit(_score(wanted, saved.name), Content(text), partial(app.open_star, saved), text)


def _score(wanted: str, name: str) -> float:
    """0 where the name does not hold what was typed; else 0.5 to 1, more at its start and the more of it is typed."""
    folded = name.casefold()
    if wanted not in folded:
        return 0.0
    return 0.5 + 0.25 * folded.startswith(wanted) + 0.25 * len(wanted) / max(len(folded), len(wanted), 1)
