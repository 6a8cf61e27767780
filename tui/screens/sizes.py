"""The Sizes screen: which stars the stash covers, grid by strip width, as the answers come."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import islice
from typing import ClassVar
from uuid import uuid4

from rich.text import Text
from textual import on
from textual.binding import BindingType
from textual.widget import Widget
from textual.widgets import Static

from stash.errors import Fault
from stash.inventory.store import Store
from stash.lengths import show_typed
from stash.match.sizes import GRIDS, STRIPS, sizes
from stash.match.wishes import Wishes
from stash.model import Colouring, Fabric, SavedStar, SizeFit, Star, Suggestions
from stash.star.beds import widest_bed
from stash.star.repeats import REPEAT_WORDS, REPEATS, order_of, repeat_of
from stash.star.yields import segments_per_strip
from tui.commands import bindings_for
from tui.screens import star_words as words
from tui.screens.base import MainScreen
from tui.screens.star_change import of_sequence
from tui.screens.star_runs import no_run_text
from tui.widgets.sizes_grid import Place, SizesGrid

EMPTY = "There is no fabric with a colour yet.\n\nf  goes to the stash: i there takes in photographs, a types a fabric."
AT_A_TIME = len(STRIPS)  # stars asked for in one go: a row of the grid
NO_STAR = -1  # a star that is not saved: every kept plan holds its cloth against it


class SizesScreen(MainScreen):
    """Asks row by row on a thread; Enter opens the star in hand with its first suggestion."""

    HERE = "sizes"
    CSS_PATH = "sizes.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for("sizes")

    def __init__(self) -> None:
        super().__init__()
        self.repeat: str | None = None
        self.busy = ""
        self._fits: dict[Place, SizeFit] = {}
        self._stars: dict[Place, Star] = {}
        self._coming: Iterator[SizeFit] | None = None
        self._asked: object = None
        self._opening = 0  # counts requests, so that one that was stopped opens nothing

    def compose_body(self) -> Iterable[Widget]:
        yield Static("", id="head", markup=False)
        yield SizesGrid(id="grid")
        yield Static("", id="detail", markup=False)
        yield Static(EMPTY, id="empty", markup=False)

    def on_mount(self) -> None:
        self.query_one(SizesGrid).focus()

    # -- what is asked

    @property
    def base(self) -> Star:
        """The star on the table, whose measures all others share; a plain one where there is none."""
        opened = self.main.opened
        return opened.saved.star if opened else Star(4, Fraction(5, 2), order_of("none", 4))

    @property
    def shown_repeat(self) -> str:
        own = repeat_of(self.base)
        return self.repeat or (own if own in REPEATS else REPEATS[0])

    @property
    def wishes(self) -> Wishes:
        """The wishes of the star on the table, its ground among them; locks are of one grid and left out."""
        opened = self.main.opened
        if opened is None:
            return Wishes()
        own = self.main.desk.wishes_for(opened.saved.id).wishes
        ground = opened.colouring.ground if opened.colouring else None
        return replace(own, fixed={}, ground=ground, time_limit=None)

    def cloth(self) -> list[Fabric]:
        opened = self.main.opened
        counts = self.main.desk.wishes_for(opened.saved.id if opened else 0).counts
        return [one for one in self.main.loaded.cloth_for(NO_STAR, counts) if not one.archived]

    def stash_changed(self) -> None:
        if self.is_current:
            self.ask()

    def star_changed(self) -> None:
        self.stash_changed()

    def on_screen_resume(self) -> None:
        self.ask()
        if self.focused is None:
            self.query_one(SizesGrid).focus()

    def ask(self) -> None:
        """Begin anew, unless the answers at hand belong to what would be asked."""
        loaded, opened = self.main.loaded, self.main.opened
        self.set_class(all(one.colour is None for one in loaded.fabrics), "-empty")
        counts = self.main.desk.wishes_for(opened.saved.id if opened else 0).counts
        asked = (loaded.token, self.base, self.shown_repeat, self.wishes, counts)
        if asked == self._asked:
            self.show()
            return
        self._asked = asked
        self._stars = {
            (row, column): replace(self.base, grid=grid, strip=strip, order=order_of(self.shown_repeat, grid))
            for row, grid in enumerate(GRIDS)
            for column, strip in enumerate(STRIPS)
        }
        self._fits = {}
        self._coming = sizes(list(self._stars.values()), self.cloth(), self.wishes)
        self.show()
        self._next_row()

    def _next_row(self) -> None:
        coming = self._coming
        if coming is None:
            return

        def take(found: list[SizeFit]) -> None:
            if self._coming is not coming:
                return
            places = islice(self._stars, len(self._fits), None)
            self._fits |= dict(zip(places, found, strict=False))
            if len(self._fits) == len(self._stars):
                self._coming = None
            self.show()
            self._next_row()

        self.main.jobs.search(
            lambda: list(islice(coming, AT_A_TIME)), take, self._failed, slot="sizes.row", owner=self
        )

    def _failed(self, fault: Fault) -> None:
        self._coming, self.busy = None, ""
        self.show()
        self.main.show_fault(fault)

    # -- showing

    def show(self) -> None:
        self.query_one(SizesGrid).show(self._stars, self._fits)
        self.query_one("#head", Static).update(self._head())
        self.query_one("#detail", Static).update(self._detail())

    def _head(self) -> Text:
        text = Text("Stars your stash covers", "bold", no_wrap=True, overflow="ellipsis")
        text.append(f"  {REPEAT_WORDS[self.shown_repeat]}: finished square, bed as wide", "not bold")
        if self._coming is not None:
            text.append("  asking …", "not bold")
        return text

    def _detail(self) -> Text:
        if self.busy:
            return Text(self.busy)
        place = self.query_one(SizesGrid).cursor
        star, fit = self._stars.get(place), self._fits.get(place)
        if star is None:
            return Text()
        bed = widest_bed(star)
        wide = f", as wide as a {bed}" if bed else ""
        said = f"{words.size_text(star)}, {segments_per_strip(star)} segments a strip{wide}"
        if fit is None:
            return Text(said)
        return Text(f"{said}\n").append(self._fit_text(fit), "bold")

    def _fit_text(self, fit: SizeFit) -> str:
        if fit.covered:
            return "✓ covered. Enter opens it with its first suggestion"
        short = words.plural(fit.letters_short, "letter")
        sure = "" if fit.proven else " (not sure: the time was up)"
        return f"✗ {short} short of cloth{sure}. Enter opens it with what does cover it"

    @on(SizesGrid.Moved)
    def _moved(self) -> None:
        self.show()

    # -- what the maker does

    def action_repeat(self) -> None:
        self.repeat = REPEATS[(REPEATS.index(self.shown_repeat) + 1) % len(REPEATS)]
        self.ask()

    def action_stop(self) -> None:
        """Stop what is under way; else go back to the star."""
        if self.busy:
            self._opening += 1
            self.busy = ""
            self.show()
            self.main.say("Stopped; no star was made")
        elif self._coming is not None:
            self._coming, self._asked = None, None
            self.show()
            self.main.say("Stopped; what is not known yet shows …. r asks again")
        else:
            self.main.action_go("star")

    @on(SizesGrid.Chosen)
    def action_open(self) -> None:
        """Make a star of the cell in hand, in its first suggestion, and go to it."""
        from stash.match.sequence import suggest

        star = self._stars.get(self.query_one(SizesGrid).cursor)
        if star is None or self.busy:
            return
        self._opening += 1
        number, wishes, cloth = self._opening, replace(self.wishes, top=1, time_limit=20.0), self.cloth()
        self.busy = f"{words.star_text(star)}: looking for runs of fabrics …  Esc stops"
        self.show()

        def search() -> tuple[Suggestions, bool]:
            found = suggest(star, cloth, wishes)
            if found.sequences:
                return found, True
            return suggest(star, cloth, replace(wishes, any=True)), False

        def take(answer: tuple[Suggestions, bool]) -> None:
            if number == self._opening and self.busy:
                self.busy = ""
                self._save(star, *answer)

        self.main.jobs.search(search, take, self._failed, slot="sizes.open", owner=self, long=True)

    def _save(self, star: Star, found: Suggestions, covered: bool) -> None:
        opened, uid = self.main.opened, uuid4().hex
        ground = opened.colouring.ground if opened and opened.colouring else None
        colouring = None
        if found.sequences:
            colouring = of_sequence(star, found.sequences[0], Colouring({}, ground), frozenset())
        name = free_name(f"{star.grid} × {star.grid} of {show_typed(star.strip, star.units)}", self._taken())

        def write(store: Store) -> SavedStar:
            return store.save_star(name, star, colouring, uid=uid)

        def done(saved: SavedStar) -> None:
            self.main.open_star(saved)
            if not found.sequences:
                self.main.say(f"{no_run_text(found)} {saved.name} has no fabrics yet")
            elif covered:
                self.main.say(f"{saved.name} is saved with its first suggestion. u takes it back")
            else:
                self.main.say(f"{saved.name} is saved, not covered: what does cover it stands under its rows")

        self.main.save(write, done, self._failed)

    def _taken(self) -> set[str]:
        return {star.name.casefold() for star in self.main.loaded.stars}


def free_name(wanted: str, taken: set[str]) -> str:
    """The name, with a number behind it where it is taken."""
    name, number = wanted, 1
    while name.casefold() in taken:
        number += 1
        name = f"{wanted}, {number}"
    return name
