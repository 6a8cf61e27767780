"""The Suggestions screen: runs of fabrics for the star on the table, side by side as ribbons."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from time import monotonic
from typing import ClassVar
from uuid import uuid4

from rich.text import Text
from textual import on
from textual.binding import BindingType
from textual.timer import Timer
from textual.widget import Widget
from textual.widgets import Static

from stash.errors import Fault
from stash.inventory.store import Store
from stash.model import Colouring, SavedStar, Sequence, Suggestions
from tui.commands import bindings_for
from tui.named_keys import key_of, with_keys
from tui.screens import star_change as change
from tui.screens import star_words as words
from tui.screens.base import MainScreen
from tui.screens.run_words import asked_text, run_lines
from tui.screens.star_desk import Asked, StarWishes
from tui.screens.star_runs import no_run_text
from tui.state import OpenStar, opened
from tui.widgets.fabric_lines import one_line
from tui.widgets.look import NEAR_GROUND, SIGNS, chip_of
from tui.widgets.ribbon import Ribbon, RibbonChip, RibbonLook, Ribbons

NO_STAR = (
    "No star is on the table.\n\n"
    "Open one on the Star screen ({app.star}, then {star.open}); its runs of fabrics are listed here."
)
SLOW = 0.5  # seconds after which a search says that it is at work


class SuggestionsScreen(MainScreen):
    """A ribbon for each run. Taking one saves it as the star's colouring."""

    HERE = "suggestions"
    CSS_PATH = "suggestions.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for("suggestions")

    def __init__(self) -> None:
        super().__init__()
        self._answer: Suggestions | None = None
        self._found: list[Colouring] = []
        self._asked: Asked | None = None
        self._slow: Timer | None = None
        self._started = 0.0

    def compose_body(self) -> Iterable[Widget]:
        yield Static("", id="about", markup=False)
        yield Ribbons(id="ribbons")
        yield Static("", id="said", markup=False)
        yield Static("", id="names", markup=False)

    # -- asking

    @property
    def star(self) -> OpenStar | None:
        return self.main.opened

    @property
    def wishes(self) -> StarWishes:
        return self.main.desk.wishes_for(self.star.saved.id) if self.star else StarWishes()

    @property
    def ribbon(self) -> Ribbon | None:
        """The ribbon in focus."""
        return self.focused if isinstance(self.focused, Ribbon) else None

    def stash_changed(self) -> None:
        self.ask()

    def star_changed(self) -> None:
        self.ask()

    def on_screen_resume(self) -> None:
        self.ask()

    def ask(self) -> None:
        """Ask for the runs that belong to what is on the table, if they are not shown already."""
        if not self.is_current:
            return
        star = self.star
        if star is None:
            self._asked = None
            self.query_one("#about", Static).update("")
            self._say(with_keys(NO_STAR))
            return
        loaded, own = self.main.loaded, self.wishes
        asked = Asked(star.saved.star, own.asked(star.saved.star, star.colouring), (loaded.token, own.counts))
        if asked == self._asked and self._answer is not None:
            self._redraw()
            return
        self._asked, self._answer, self._started = asked, None, monotonic()
        self.query_one("#about", Static).update(self._about())
        if self._slow is None:
            self._slow = self.set_interval(SLOW, self._say_slow)
        cloth = [fabric for fabric in loaded.cloth_for(star.saved.id, own.counts) if not fabric.archived]
        self.main.desk.ask(self.main.jobs, asked, cloth, lambda answer: self._take(asked, answer), self._fault)

    def _say_slow(self) -> None:
        if self._answer is None and self._asked is not None and self.main.desk.is_asking(self._asked):
            took = monotonic() - self._started
            self._say(f"Looking for runs of fabrics … {took:.0f} s. {key_of('suggestions.cancel')} cancels.")

    def _fault(self, fault: Fault) -> None:
        self._settle()
        self._say(f"✗ {fault.line()}")

    def _settle(self) -> None:
        if self._slow is not None:
            self._slow.stop()
            self._slow = None

    def _take(self, asked: Asked, answer: Suggestions) -> None:
        if asked != self._asked or not self.is_attached:
            return
        self._settle()
        self._answer = answer
        self.query_one("#about", Static).update(self._about())
        if not answer.sequences:
            self._say(f"{no_run_text(answer)}\n\ne  change the wishes\nl  on the Star screen frees a locked row")
            return
        self._redraw()

    # -- drawing

    def _say(self, text: str) -> None:
        self.add_class("-none")
        self.query_one("#said", Static).update(text)
        self.refresh_bindings()

    def _about(self) -> Text:
        star, asked = self.star, self._asked
        return asked_text(star.saved, asked.wishes, self._answer) if star and asked else Text()

    def _redraw(self) -> None:
        """Show the answer. Ribbons that are there are filled anew, so that the focus stays."""
        star, answer = self.star, self._answer
        if star is None or answer is None or not answer.sequences:
            return
        self.remove_class("-none")
        self.refresh_bindings()
        self._found = [
            change.of_sequence(star.saved.star, one, star.colouring, self.wishes.locked) for one in answer.sequences
        ]
        looks = [self._ribbon_look(star, at, one) for at, one in enumerate(answer.sequences)]
        box, ribbons = self.query_one(Ribbons), list(self.query(Ribbon))
        for ribbon, look in zip(ribbons, looks, strict=False):
            ribbon.show(look)
        for ribbon in ribbons[len(looks) :]:
            ribbon.remove()
        added = [Ribbon(at, look) for at, look in enumerate(looks) if at >= len(ribbons)]
        if added:
            box.mount_all(added)
        self.call_after_refresh(box.share_out)
        if self.ribbon is None or self.ribbon.index >= len(looks):
            self.call_after_refresh(self.action_move, 0)
        self._show_names()

    def _ribbon_look(self, star: OpenStar, at: int, sequence: Sequence) -> RibbonLook:
        paper, answer = star.saved.star, self._answer
        near = {paper.order[row - 1] for row in sequence.near_ground}
        chips = tuple(
            RibbonChip(letter, one_line(fabric.name), chip_of(fabric.colour),
                       fabric.colour.L if fabric.colour else None, mark, letter in near,
                       fabric.relative)
            for letter, fabric, mark in zip(paper.letters, sequence.fabrics, sequence.marks, strict=True)
        )  # fmt: skip
        values = [fabric.colour.L for fabric in sequence.fabrics if fabric.colour]
        title = f"{at + 1} of {len(answer.sequences) if answer else 0}, {words.steps_text(values)}"
        if sequence.near_ground:
            title += f", {NEAR_GROUND} {words.near_text(paper, sequence.near_ground)} near the ground in value"
        changed = change.differences(paper, star.colouring, self._found[at])
        here = star.colouring is not None and not changed
        return RibbonLook(title, chips, tuple(one_line(one) for one in changed), here)

    def _show_names(self) -> None:
        ribbon = self.ribbon
        text = Text()
        for chip in ribbon.look.chips if ribbon else ():
            text.append(f"{chip.letter} ", "bold").append(f"{chip.name} {SIGNS[chip.mark] if chip.mark else ''}   ")
        star, answer = self.star, self._answer
        if star is not None and answer is not None and ribbon is not None and ribbon.index < len(answer.sequences):
            run = answer.sequences[ribbon.index]
            if len(run.fabrics) == len(star.saved.star.letters):  # else the star has changed, and is asked about anew
                for line in run_lines(star.saved.star, answer, run):
                    text.append(f"\n{one_line(line)}")
        self.query_one("#names", Static).update(text)

    # -- what the maker does

    def on_descendant_focus(self) -> None:
        self._show_names()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action in ("take", "keep") and self.has_class("-none"):
            return None
        if action == "wishes" and self.star is None:
            return None
        return super().check_action(action, parameters)

    def action_move(self, step: int) -> None:
        ribbons = list(self.query(Ribbon))
        if ribbons:
            at = (self.ribbon.index + step) if self.ribbon else self._here()
            ribbons[max(0, min(at, len(ribbons) - 1))].focus()

    def _here(self) -> int:
        return next((ribbon.index for ribbon in self.query(Ribbon) if ribbon.look.here), 0)

    @on(Ribbon.Taken)
    def action_take(self) -> None:
        """Put the ribbon's colouring on the star."""
        star, ribbon = self.star, self.ribbon
        if star is None or ribbon is None or self._answer is None or ribbon.index >= len(self._found):
            return
        uid, saved, chosen = uuid4().hex, star.saved, self._found[ribbon.index]

        def write(store: Store) -> SavedStar:
            if star.number == 0:
                return store.save_star(saved.name, saved.star, chosen, uid=uid)
            return store.replace_colouring(saved.id, star.number, chosen, uid=uid)

        def done(_: SavedStar) -> None:
            self.main.say_done(f"{ribbon.look.title.split(',')[0]} is on the star now")
            self.main.action_go("star")

        self.main.save(write, done)

    def action_keep(self) -> None:
        """Keep the ribbon's colouring beside the others."""
        star, ribbon = self.star, self.ribbon
        if star is None or ribbon is None or ribbon.index >= len(self._found):
            return
        uid, saved, chosen = uuid4().hex, star.saved, self._found[ribbon.index]
        before = len(saved.colourings)

        def done(now: SavedStar) -> None:
            kept = len(now.colourings) > before
            number = now.colourings[-1].number
            same = next((one.number for one in now.colourings if one.colouring == chosen), number)
            said = f"Kept as colouring {number} of {now.name}" if kept else f"This run is colouring {same} already"
            self.main.say(said)
            if star.number == 0:
                self.main.opened = opened(now)

        self.main.save(lambda store: store.save_star(saved.name, saved.star, chosen, uid=uid), done)

    def action_wishes(self) -> None:
        from tui.dialogs.wishes import Wished, WishesDialog

        star = self.star
        if star is None:
            return
        ground = (star.colouring.ground if star.colouring else None) or ""

        def take(wished: Wished | None) -> None:
            if wished is None:
                return
            self.main.desk.wish(star.saved.id, replace(self.wishes, wishes=wished.wishes))
            if wished.ground != ground:
                self._save_ground(star, wished.ground or None)
            self.ask()

        letters = len(star.saved.star.letters)
        self.main.push_screen(WishesDialog(self.wishes.wishes, ground, self.main.loaded.fabrics, letters), take)

    def _save_ground(self, star: OpenStar, ground: str | None) -> None:
        uid, saved = uuid4().hex, star.saved
        colouring = replace(star.colouring or Colouring({}), ground=ground)

        def write(store: Store) -> SavedStar:
            if star.number == 0:
                return store.save_star(saved.name, saved.star, colouring, uid=uid)
            return store.replace_colouring(saved.id, star.number, colouring, uid=uid)

        self.main.save(write)

    def action_cancel(self) -> None:
        """Stop waiting for a search; with none under way go back to the star."""
        if self._asked is not None and self.main.desk.is_asking(self._asked):
            self.main.desk.let_go()
            self._settle()
            self._asked = None
            self._say("The search was stopped.\n\ne  change the wishes\ng  look again")
            return
        self.main.action_go("star")
