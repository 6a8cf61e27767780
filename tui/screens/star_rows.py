"""Rows in hand and fabrics tried on them, live on the star."""

from __future__ import annotations

from dataclasses import replace
from uuid import uuid4

from stash.errors import Fault
from stash.inventory.store import Store
from stash.model import Colouring, SavedStar, with_part
from tui.named_keys import key_of
from tui.screens import star_change as change
from tui.screens import star_words as words
from tui.screens.star_asked import ring_for
from tui.screens.star_base import StarBase
from tui.screens.star_table import Table, Trial


class StarRows(StarBase):
    """Pick a row, try fabrics on it, keep or restore. What is kept is saved at once."""

    def __init__(self) -> None:
        super().__init__()
        self._steps_waiting = 0

    # -- rows in hand and fabrics tried

    def action_pick(self, letter: str) -> None:
        if self.table is None:
            return
        if letter not in self.table.star.letters:
            self.main.say(f"This star has the rows {self.table.star.letters[0]} to {self.table.star.letters[-1]}")
            return
        self._steps_waiting = 0
        self.lay(self.table.pick(letter))

    def action_neighbour(self, step: int) -> None:
        if self.table is not None:
            self.action_pick(self.table.neighbour(step))

    def action_step(self, step: int) -> None:
        """Try the next fabric on the row in hand, or the one before."""
        table = self.table
        if table is None:
            return
        if table.picked is None:
            table = table.pick(table.neighbour(0))
        if table.trial is not None:
            self.lay(replace(table, trial=table.trial.moved(step)))
            return
        self.lay(table)
        self._steps_waiting += step
        self._fetch_ring(table)

    def _fetch_ring(self, table: Table) -> None:
        letter = table.picked or ""
        target, banned = table.target_of(letter), self.wishes.wishes.without
        fabrics = table.in_use()

        def take(ring: tuple[str, ...]) -> None:
            steps, self._steps_waiting = self._steps_waiting, 0
            if self.table is None or self.table.picked != letter or self.table.trial is not None or not steps:
                return
            if len(ring) == 1:
                self.main.say("There is no other fabric with a colour to try on this row")
                return
            self.lay(replace(self.table, trial=Trial(letter, ring).moved(steps)))

        self.main.jobs.search(
            lambda: ring_for(table, fabrics, letter, target, banned), take, slot="star.ring", owner=self
        )

    def action_keep(self) -> None:
        """Keep the fabric that is tried; with none tried, choose one from the list."""
        table = self.table
        if table is None:
            return
        if table.trial is None or not table.trying:
            self.action_list()
            return
        text = f"{table.trial.letter} is {table.trial.name} now. {key_of('app.undo')} takes it back"
        self.save_colouring(table.shown, text)

    def action_restore(self) -> None:
        """Put back what stood there; with nothing tried, let go of the row."""
        table = self.table
        if table is None:
            return
        self._steps_waiting = 0
        if table.trying:
            self.lay(replace(table, trial=None))
        else:
            self.lay(table.pick(None))

    def action_list(self) -> None:
        from tui.dialogs.fabric_choice import FabricChoice

        table = self.table
        if table is None:
            return
        letter = table.picked or table.neighbour(0)
        self.lay(table.pick(letter))
        here = "" if letter not in table.colouring.uses else table.colouring.uses[letter][0]

        def take(name: str | None) -> None:
            if name and self.table is not None and letter in self.table.star.letters:
                self.save_colouring(change.with_fabric(self.table.colouring, letter, name), f"{letter} is {name} now")

        self.main.push_screen(FabricChoice(f"Fabric for {letter}", self.main.loaded.fabrics, here), take)

    def action_part(self, part: str) -> None:
        """Choose the fabric of the ground, the binding or the backing."""
        from tui.dialogs.fabric_choice import FabricChoice

        if self.table is None:
            return

        def take(name: str | None) -> None:
            if name is not None and self.table is not None:
                changed = with_part(self.table.colouring, part, name or None)
                self.save_colouring(changed, f"The {part} is {name} now" if name else f"No {part} chosen")

        from stash.match.part_choice import marks_as

        table = self.table
        here = getattr(table.colouring, part) or ""
        marks = marks_as(table.star, table.colouring, part, table.in_use(), table.plan)
        about = words.part_needed(table.star, part)
        dialog = FabricChoice(part.capitalize(), self.main.loaded.fabrics, here, f"no {part}", about, marks)
        self.main.push_screen(dialog, take)

    # -- saving

    def save_colouring(self, colouring: Colouring, said: str = "") -> None:
        """Save the colouring at once, in place of the one on the table."""
        table = self.table
        if table is None:
            return
        self.table = replace(table, colouring=colouring, trial=None)
        self.lay(self.table)
        uid = uuid4().hex

        def write(store: Store) -> SavedStar:
            if table.number == 0:
                return store.save_star(table.name, table.star, colouring, uid=uid)
            return store.replace_colouring(table.star_id, table.number, colouring, uid=uid)

        self.main.save(write, lambda saved: self.main.say(said) if said else None, self._not_saved)

    def _not_saved(self, fault: Fault) -> None:
        self.main.show_fault(fault)
        self.star_changed()
