"""The stash: every fabric by value, found by typing, changed by one key, and every change undone by one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar
from uuid import uuid4

from textual.binding import BindingType
from textual.widgets import Input

from stash.inventory.store import Store
from stash.model import Fabric
from stash.shelf import Order
from tui.commands import bindings_for
from tui.dialogs.fabric import AddDialog, BoughtDialog, CountDialog, EditDialog, UsedDialog
from tui.dialogs.form import AnyForm
from tui.named_keys import key_of, with_keys
from tui.screens.by_eye import Moves
from tui.screens.stash_base import StashBase
from tui.widgets.fabric_lines import FabricLine, Lines
from tui.widgets.fabric_list import FabricList

NO_STAR = "No star is on the table: open one on the Star screen first ({app.star}, then {star.open})"
NEEDS_FABRIC = {"edit", "bought", "used", "count", "archive", "lighter", "darker", "measured", "details", "near"}

NEEDS_LIST = {"filter", "sort", "grey", "away"}


class StashScreen(StashBase):
    """What a maker does to the fabrics. Each change is saved at once and said with the key that undoes it."""

    HERE = "stash"
    CSS_PATH = "stash.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for("stash")

    def __init__(self) -> None:
        super().__init__()
        self._moves = Moves(self.main, self._place, self.follow)
        self._carried = ("", False)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action == "demo":
            return self.has_class("-empty") and self.main.make_demo is not None
        if action in NEEDS_LIST and self.has_class("-empty"):
            return None
        if action == "clear":
            return bool(self.words) or isinstance(self.focused, Input)
        if action in NEEDS_FABRIC and self.fabric is None:
            return None
        if action in ("lighter", "darker") and self.order is not Order.VALUE:
            return None
        return super().check_action(action, parameters)

    def action_add(self) -> None:
        def added(name: str | None) -> None:
            fabric = self.main.loaded.by_name.get(name or "")
            if fabric is not None:
                self._carried = (fabric.place, fabric.washed)
                self.find(fabric.id)
                self.main.say_done(f"Added {fabric.name}")

        self.app.push_screen(AddDialog(*self._carried), added)

    def action_intake(self) -> None:
        self.main.action_go("intake")

    def action_edit(self) -> None:
        self._ask(EditDialog, "Changed ")

    def action_bought(self) -> None:
        self._ask(BoughtDialog)

    def action_used(self) -> None:
        self._ask(UsedDialog)

    def action_count(self) -> None:
        self._ask(CountDialog)

    def _ask(self, dialog: Callable[[Fabric], AnyForm], said: str = "") -> None:
        """A form on the fabric in hand; what it gives back, after `said`, tells what was done."""
        fabric = self.fabric
        if fabric is None:
            return

        def done(result: str | None) -> None:
            if result:
                self.main.say_done(said + result)

        self.app.push_screen(dialog(fabric), done)

    def action_archive(self) -> None:
        """Put the fabric away, or bring it back where the archived ones are shown."""
        away = self.away
        said = "{} is back" if away else "Archived {}"
        self._write(lambda store, one, uid: store.archive(one.id, not away, uid=uid), said)

    def action_near(self) -> None:
        """Runs round the fabric in hand, for the star on the table."""
        fabric, star = self.fabric, self.main.opened
        if fabric is None:
            return
        if star is None:
            self.main.say(with_keys(NO_STAR))
        elif fabric.colour is None:
            self.main.say(f"{fabric.name} has no colour yet; {key_of('stash.edit')} gives it one")
        elif fabric.archived:
            self.main.say(f"{fabric.name} is archived; {key_of('stash.archive')} brings it back")
        else:
            self.main.desk.wish_near(star.saved.id, fabric.name)
            self.main.action_go("suggestions")

    def action_demo(self) -> None:
        self.main.open_demo()

    def action_measured(self) -> None:
        fabric = self.fabric
        if fabric is not None and fabric.value_by_eye is None:
            self.main.say(f"{fabric.name} has no value by eye")
            return
        seen = fabric.measured if fabric is not None else None
        source = f"its {seen.source}" if seen is not None else "having no"
        self._write(
            lambda store, one, uid: store.set_value_by_eye(one.id, None, uid=uid),
            f"{{}} is back at {source} value",
        )

    def _write(self, call: Callable[[Store, Fabric, str], object], words: str) -> None:
        fabric, uid = self.fabric, uuid4().hex
        if fabric is not None:
            said = words.format(fabric.name)
            self.main.save(lambda store: call(store, fabric, uid), lambda _: self.main.say_done(said))

    # -- value by eye

    def _place(self) -> tuple[Sequence[FabricLine], int]:
        listed = self.query_one(FabricList)
        return listed.lines, listed.cursor

    def take_lines(self, lines: Lines) -> None:
        super().take_lines(lines)
        self._moves.listed()

    def action_lighter(self) -> None:
        self._moves.ask(-1)

    def action_darker(self) -> None:
        self._moves.ask(1)
