"""The Sizes screen: which stars the stash covers, grid by strip width, as the answers come."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
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
from stash.match.best_run import BestRun, best_run
from stash.match.wishes import Wishes
from stash.model import Colouring, Fabric, SavedStar, Sequence, SizeFit, Star
from stash.names import name_key
from stash.star.repeats import REPEAT_WORDS, REPEATS, order_of, repeat_of
from stash.star.yields import segments_per_strip
from tui.commands import bindings_for
from tui.named_keys import key_of, with_keys
from tui.screens import star_words as words
from tui.screens.base import MainScreen
from tui.screens.made_names import free_name, made_name
from tui.screens.sizes_asked import answers, some_of, stars_like
from tui.screens.sizes_opened import opened_text, staying_note
from tui.screens.star_change import of_sequence
from tui.screens.star_desk import LONGEST_SEARCH, StarWishes
from tui.screens.star_runs import no_run_text
from tui.widgets.sizes_grid import Place, SizesGrid, bed_text

EMPTY = (
    "There is no fabric with a colour yet.\n\n"
    "{app.stash}  goes to the stash: {stash.intake} there takes in photographs, {stash.add} types a fabric."
)
COVERED = "✓ covered. {sizes.open} opens it in its first suggestion that is all measured"
UNMEASURED = "? covered only with fabrics not measured yet. {sizes.open} opens it; {star.have} asks of them"
HELD = "Cloth held by plans of other stars is not counted ({star.with_held} on the Star screen)"
NO_STAR = -1  # a star that is not saved: every kept plan holds its cloth against it


class SizesScreen(MainScreen):
    """Asks on a thread, some stars in one go; Enter opens the star in hand with the best run there is."""

    HERE = "sizes"
    CSS_PATH = "sizes.tcss"
    VERTICAL_BREAKPOINTS = [(0, "-short"), (38, "-tall"), (56, "-high")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = bindings_for("sizes")

    def __init__(self) -> None:
        super().__init__()
        self.repeat: str | None = None
        self.busy = ""
        self._fits: dict[Place, SizeFit] = {}
        self._stars: dict[Place, Star] = {}
        self._coming: Iterator[SizeFit] | None = None
        self._waiting = False  # for answers of a thread
        self._stopped = False
        self._asked: object = None
        self._refused: dict[Place, str] = {}  # why no star could be made
        self._opening = 0  # counts requests, so that one that was stopped opens nothing

    def compose_body(self) -> Iterable[Widget]:
        yield Static("", id="head", markup=False)
        yield SizesGrid(id="grid")
        yield Static("", id="detail", markup=False)
        yield Static(with_keys(EMPTY), id="empty", markup=False)

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
    def own(self) -> StarWishes:
        """What is wished for the star on the table."""
        opened = self.main.opened
        return self.main.desk.wishes_for(opened.saved.id if opened else NO_STAR)

    @property
    def wishes(self) -> Wishes:
        """As Suggestions asks, with the ground and the locked letters; a letter counts in every grid that has it."""
        opened = self.main.opened
        asked = self.own.asked(self.base, opened.colouring if opened else None)
        return replace(asked, top=1, any=False, apart=None, time_limit=None)

    def cloth(self) -> Callable[[], list[Fabric]]:
        """What tells on a thread which cloth counts."""
        loaded, counts = self.main.loaded, self.own.counts
        return lambda: [one for one in loaded.cloth_for(NO_STAR, counts) if not one.archived]

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
        loaded = self.main.loaded
        self.set_class(all(one.colour is None for one in loaded.fabrics), "-empty")
        self.refresh_bindings()
        asked = (loaded.token, self.base, self.shown_repeat, self.wishes, self.own.counts)
        if asked != self._asked:
            self._asked, self._fits, self._refused = asked, {}, {}
            self._stars = stars_like(self.base, self.shown_repeat)
            self._coming = answers(list(self._stars.values()), self.cloth(), self.wishes)
            self._waiting = self._stopped = False
        self.show()
        self._go_on()

    def _go_on(self) -> None:
        """Ask for what is not known yet, while the screen is seen."""
        coming = self._coming
        if coming is None or self._waiting or self._stopped or not self.is_current:
            return

        def take(found: list[SizeFit]) -> None:
            if self._coming is not coming:
                return
            places = islice(self._stars, len(self._fits), None)
            self._fits |= dict(zip(places, found, strict=False))
            self._waiting = False
            if len(self._fits) == len(self._stars):
                self._coming = None
            self.show()
            self._go_on()

        self._waiting = True
        self.main.jobs.search(
            lambda: some_of(coming), take, self._failed, slot="sizes.some", owner=self
        )

    def _failed(self, fault: Fault) -> None:
        self._coming, self.busy = None, ""
        self.show()
        self.main.show_fault(fault)

    # -- showing

    def show(self) -> None:
        self.query_one(SizesGrid).show(self._stars, self._fits)
        self.query_one("#head", Static).update(self._head())
        detail = self.query_one("#detail", Static)
        detail.set_class(self.query_one(SizesGrid).cursor in self._refused, "-refused")
        detail.update(self._detail())

    def _head(self) -> Text:
        text = Text("Stars your stash covers", "bold", no_wrap=True, overflow="ellipsis")
        text.append(f"  {REPEAT_WORDS[self.shown_repeat]}: finished square, bed as wide", "not bold")
        if self._coming is not None:
            left = len(self._stars) - len(self._fits)
            text.append(f"  {left} not asked" if self._stopped else "  asking …", "not bold")
        return text

    def _detail(self) -> Text:
        if self.busy:
            return Text(self.busy)
        place = self.query_one(SizesGrid).cursor
        star, fit = self._stars.get(place), self._fits.get(place)
        if star is None:
            return Text()
        if place in self._refused:
            return Text(self._refused[place], "bold")
        bed = bed_text(star)
        wide = f", {bed} bed" if bed else ""
        said = f"{words.size_text(star)}, {segments_per_strip(star)} segments a strip{wide}"
        if fit is None:
            return Text(said)
        if not fit.covered and self.main.loaded.plans and not self.own.counts.with_held:
            said = with_keys(HELD)  # it may have been covered until a plan was kept
        return Text(f"{said}\n").append(self._fit_text(fit), "bold")

    def _fit_text(self, fit: SizeFit) -> str:
        if fit.covered:
            return with_keys(UNMEASURED if fit.unmeasured else COVERED)
        sure = "" if fit.proven else " (not sure: the time was up)"
        short = words.plural(fit.letters_short, "letter")
        return with_keys(f"✗ at least {short} short of cloth or value steps{sure}. {{sizes.open}} opens its best run")

    @on(SizesGrid.Moved)
    def _moved(self) -> None:
        self.show()

    # -- what the maker does

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action in ("open", "repeat", "ask_on") and self.has_class("-empty"):
            return None
        return super().check_action(action, parameters)

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
        elif self._coming is not None and not self._stopped:
            self._stopped = True
            self.show()
            self.main.say("Stopped. Space goes on")
        else:
            self.main.action_go("star")

    def action_ask_on(self) -> None:
        """Go on with what was stopped."""
        self._stopped = False
        self.show()
        self._go_on()

    @on(SizesGrid.Chosen)
    def action_open(self) -> None:
        """Make a star of the cell in hand, with the best run there is, and go to it."""
        place = self.query_one(SizesGrid).cursor
        star = self._stars.get(place)
        if star is None or self.busy:
            return
        self._opening += 1
        number, wishes, cloth = self._opening, replace(self.wishes, time_limit=LONGEST_SEARCH), self.cloth()
        wishes = replace(wishes, fixed={one: name for one, name in wishes.fixed.items() if one in star.letters})
        listed = self.own.wishes.top
        self.busy = f"{words.star_text(star)}: looking for runs of fabrics …  {key_of('sizes.stop')} stops"
        self.show()

        def take(found: BestRun) -> None:
            if number == self._opening and self.busy:
                self.busy = ""
                if found.run is None:
                    self._refused[place] = f"✗ No star was made. {no_run_text(found.answer)}"
                self.show()
                if found.run is not None and self.main.current_mode == self.HERE:
                    self._save(star, found, found.run)

        def search() -> BestRun:
            return best_run(star, cloth(), wishes, listed)

        self.main.jobs.search(search, take, self._failed, slot="sizes.open", owner=self, long=True)

    def _save(self, star: Star, found: BestRun, run: Sequence) -> None:
        opened, uid, own = self.main.opened, uuid4().hex, self.own
        locked = frozenset(self.wishes.fixed) & frozenset(star.letters)
        now = opened.colouring if opened else None
        kept = Colouring(now.uses if now else {}, now.ground if now else None)
        colouring = of_sequence(star, run, kept, locked)
        name = free_name(made_name(star), self._taken())

        def write(store: Store) -> SavedStar:
            return store.save_star(name, star, colouring, uid=uid)

        def done(saved: SavedStar) -> None:
            self.main.desk.wish(saved.id, replace(own, wishes=replace(own.wishes, apart=None), locked=locked))
            self.main.desk.note(saved.id, star, colouring, staying_note(found))
            self.main.open_star(saved)
            self.main.say(f"{saved.name} {opened_text(found)}")

        self.main.save(write, done, self._failed)

    def _taken(self) -> set[str]:
        return {name_key(star.name) for star in self.main.loaded.stars}
