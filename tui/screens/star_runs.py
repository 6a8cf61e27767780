"""Whole runs of fabrics: suggestions, locked and banned fabrics, and what a change of the star does to the run."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from uuid import uuid4

from stash.errors import Fault
from stash.inventory.store import Store
from stash.match.wishes import Wishes
from stash.model import SavedStar, Star, Suggestions
from stash.star import repeats
from tui.named_keys import key_of
from tui.screens import star_change as change
from tui.screens import star_words as words
from tui.screens.made_names import following_name
from tui.screens.star_asked import Fitted, fit_colouring
from tui.screens.star_desk import StarWishes
from tui.screens.star_rows import StarRows
from tui.screens.star_table import Table


class StarRuns(StarRows):
    """Wishes, suggestions, and the star's grid, repeat, strip width and direction."""

    def __init__(self) -> None:
        super().__init__()
        self._wanted: Star | None = None
        self._fits = 0  # counts requests, so that one that was stopped changes nothing

    # -- wishes

    def _wish(self, wishes: StarWishes, said: str) -> None:
        if self.table is None:
            return
        self.main.desk.wish(self.table.star_id, wishes)
        self.lay(replace(self.table, locked=wishes.locked, without=wishes.wishes.without))
        self.main.say(said)

    def action_lock(self) -> None:
        table = self.table
        if table is None or table.picked is None:
            return
        locked = table.picked not in table.locked
        names = " + ".join(table.colouring.uses.get(table.picked, ()))
        if locked and not names:
            self.main.say("There is no fabric on this row to lock")
            return
        said = f"{table.picked} keeps {names} in every suggestion" if locked else f"{table.picked} is free again"
        self._wish(self.wishes.with_lock(table.picked, locked), said)

    def action_ban(self) -> None:
        """Leave the fabric shown on the row out of suggestions and trials, or let it in again."""
        table = self.table
        if table is None or table.picked is None:
            return
        for name in table.shown.uses.get(table.picked, ()):
            banned = name not in self.wishes.wishes.without
            self._wish(
                self.wishes.with_ban(name, banned),
                f"{name} is left out of suggestions for this star" if banned else f"{name} may be suggested again",
            )

    # -- suggestions and changes of the star

    def action_suggestion(self) -> None:
        """Take the next suggestion."""
        table, asked = self.table, self.asked()
        if table is None or asked is None:
            return
        self._begin(f"Looking for runs of fabrics …  {key_of('star.restore')} stops")

        def take(answer: Suggestions) -> None:
            self.settle()
            if asked == self.asked():
                self._take_next(answer)

        self.main.desk.ask(self.main.jobs, asked, table.in_use(), take, self._change_failed)

    def _take_next(self, answer: Suggestions) -> None:
        table = self.table
        if table is None:
            return
        if not answer.sequences:
            self.main.notify(no_run_text(answer), severity="warning", markup=False, timeout=8)
            return
        found = [change.of_sequence(table.star, one, table.colouring, table.locked) for one in answer.sequences]
        now = [one.uses for one in found]
        at = (now.index(table.colouring.uses) + 1) % len(found) if table.colouring.uses in now else 0
        steps = words.steps_text([fabric.colour.L for fabric in answer.sequences[at].fabrics if fabric.colour])
        self.save_colouring(found[at], f"Suggestion {at + 1} of {len(found)}, {steps}")

    def _begin(self, text: str) -> None:
        """Say what is under way in the head."""
        self.busy = text
        self.show()

    def settle(self) -> None:
        """Nothing is under way any longer."""
        self._wanted = None
        self.busy = ""
        self.show()

    def action_restore(self) -> None:
        """Stop what is under way; else put back what stood on the row."""
        if not self.busy:
            super().action_restore()
            return
        self._fits += 1
        self.main.desk.let_go()
        self.settle()
        self.main.say("Stopped; nothing was changed")

    def action_turn(self) -> None:
        table = self.table
        if table is None:
            return
        dark_first = change.is_dark_first(table.star, table.colouring, table.fabrics)
        turned = replace(self.wishes.wishes, direction="light" if dark_first else "dark")
        self._fit(table.star, turned, "The run stays as it is")

    def action_repeat(self) -> None:
        self._change(repeats.next_repeat)

    def action_grid(self, step: int) -> None:
        self._change(lambda star: repeats.other_grid(star, step))

    def action_strip(self, step: int) -> None:
        self._change(lambda star: repeats.other_strip(star, step))

    def _change(self, to: Callable[[Star], Star]) -> None:
        table = self.table
        if table is None:
            return
        try:
            star = to(self._wanted or table.star)
        except Fault as fault:
            self.main.show_fault(fault)
            return
        wishes = self.wishes.wishes
        if wishes.direction is None and change.is_dark_first(table.star, table.colouring, table.fabrics):
            wishes = replace(wishes, direction="dark")
        self._fit(star, wishes, "Fabrics stay where they were")

    def _fit(self, star: Star, wishes: Wishes, otherwise: str) -> None:
        """Look for a colouring of a changed star (or a turned run) and save both."""
        table = self.table
        if table is None:
            return
        self._wanted = star
        self._fits += 1
        number = self._fits
        self._begin(f"{words.star_text(star)}: looking for runs of fabrics …  {key_of('star.restore')} stops")
        own = replace(self.wishes, wishes=wishes)
        fabrics = table.in_use()
        kept = replace(table.colouring, uses=change.carried(table.star, star, table.colouring.uses))
        asked = own.asked(star, kept)

        def take(fitted: Fitted) -> None:
            if number != self._fits:
                return
            self.settle()
            if self.table is None or not self.table.is_same_saved(table):
                return  # something else was put on the table meanwhile
            self._take_fitted(table, fitted, own, otherwise)

        self.main.jobs.search(
            lambda: fit_colouring(table.star, star, table.colouring, fabrics, asked, own.locked),
            take,
            self._change_failed,
            slot="star.fit",
            long=True,
            owner=self,
        )

    def _take_fitted(self, table: Table, fitted: Fitted, own: StarWishes, otherwise: str) -> None:
        turned = fitted.star == table.star
        if fitted.kept and fitted.answer is not None:
            said = f"{no_run_text(fitted.answer)} {otherwise}."
            self.main.notify(said, severity="warning", markup=False, timeout=10)
            if turned:
                return
        if turned:
            self.main.desk.wish(table.star_id, own)
        self._save_star(table, fitted)

    def _change_failed(self, fault: Fault) -> None:
        self.settle()
        self.main.show_fault(fault)

    def _save_star(self, table: Table, fitted: Fitted) -> None:
        uid = uuid4().hex

        def write(store: Store) -> SavedStar:
            return save_changed(store, table, fitted, uid)

        def done(saved: SavedStar) -> None:
            if fitted.star.strip != table.star.strip or fitted.star.width != table.star.width:
                self.main.say(words.width_text(fitted.star))

        self.main.save(write, done, self._not_saved)


def save_changed(store: Store, table: Table, fitted: Fitted, uid: str) -> SavedStar:
    """Save a changed star and its colouring, as one entry where the star has a colouring already."""
    name = following_name(table.name, table.saved_star, fitted.star, store.stars())
    if table.number:
        return store.set_star(
            table.star_id, fitted.star, number=table.number, colouring=fitted.colouring, name=name, uid=uid
        )
    store.set_star(table.star_id, fitted.star, name=name, uid=f"{uid}-star")
    colouring = fitted.colouring if fitted.colouring.uses else None
    return store.save_star(name or table.name, fitted.star, colouring, uid=uid)


def no_run_text(answer: Suggestions) -> str:
    """Why no run was found."""
    reason = answer.reason
    if reason is None:
        return "No run of fabrics was found."
    where = f"{reason.letter}: " if reason.letter else ""
    return f"No run of fabrics: {where}{reason.text.rstrip('.')}."
