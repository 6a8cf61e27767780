"""What the Stash screen shows: the fabrics that match, in the order chosen, and the details of one."""

from __future__ import annotations

from collections.abc import Iterable

from textual import on
from textual.containers import Horizontal, Vertical
from textual.reactive import var
from textual.timer import Timer
from textual.widget import Widget
from textual.widgets import Input

from stash.model import Fabric
from stash.shelf import Order
from tui.named_keys import key_of, with_keys
from tui.screens.base import WITH_ROOM_BESIDE, MainScreen
from tui.screens.details import DetailsScreen
from tui.widgets.empty_stash import EmptyStash
from tui.widgets.fabric_details import FabricDetails
from tui.widgets.fabric_lines import EMPTY, ORDER_WORDS, ORDERS, Lines, index_of, make_lines, one_line
from tui.widgets.fabric_list import FabricHeader, FabricList
from tui.widgets.fabric_marks import marks_of
from tui.widgets.filter_line import FilterLine
from tui.widgets.line_list import LineList
from tui.widgets.swatch_view import SwatchView

RESTED = 0.06  # seconds the cursor rests before details are shown beside the list


class StashBase(MainScreen):
    """The fabrics in a list; details beside it where the terminal is wide."""

    HORIZONTAL_BREAKPOINTS = WITH_ROOM_BESIDE

    order: var[Order] = var(Order.VALUE)  # none of these draws the whole screen anew, as `reactive` would
    words: var[str] = var("")
    grey: var[bool] = var(False, init=False)
    away: var[bool] = var(False, init=False)
    """The archived fabrics are shown, not the others."""

    def __init__(self) -> None:
        super().__init__()
        self._lines: Lines = EMPTY
        self._marks: dict[int, str] = {}
        self._wanted: int | None = None
        self._rest: Timer | None = None
        self._nothing = True

    def compose_body(self) -> Iterable[Widget]:
        yield FilterLine()
        with Horizontal(id="middle"):
            with Vertical(id="fabrics"):
                yield FabricHeader()
                yield FabricList(id="list")
            yield FabricDetails(id="details")
        yield EmptyStash(self.main.make_demo is not None)

    def on_mount(self) -> None:
        self.query_one(FabricList).focus()

    # -- what is shown

    @property
    def fabric(self) -> Fabric | None:
        """The fabric under the cursor, as last read."""
        line = self.query_one(FabricList).current
        return self.main.loaded.by_id.get(line.id) if line else None

    def find(self, fabric_id: int) -> None:
        """Put the cursor on a fabric, with the filter cleared."""
        self.away = False
        self.follow(fabric_id)
        self.query_one(FilterLine).clear()
        self._show()

    def follow(self, fabric_id: int) -> None:
        """Keep the cursor on a fabric when the list is next shown."""
        self._wanted = fabric_id

    def stash_changed(self) -> None:
        loaded = self.main.loaded
        self.set_class(loaded.ready and not loaded.fabrics and not loaded.archived, "-empty")
        self._ask_lines()
        self._ask_marks()

    def _ask_lines(self) -> None:
        fabrics = self.main.loaded.archived if self.away else self.main.loaded.fabrics
        before = self._lines
        self.main.jobs.search(lambda: make_lines(fabrics, before), self.take_lines, slot="stash.lines", owner=self)

    def star_changed(self) -> None:
        self._ask_marks()

    def take_lines(self, lines: Lines) -> None:
        """Show the fabrics as last read."""
        self._lines = lines
        self._show()

    def _ask_marks(self) -> None:
        from stash.match.replan import cover

        opened, loaded = self.main.opened, self.main.loaded
        colouring = opened.colouring if opened else None
        if opened is None or colouring is None:
            self._take_marks({})
            return
        counts = self.main.desk.wishes_for(opened.saved.id).counts
        plan = loaded.plan_in_hand(opened.saved, opened.number)
        star, ids = opened.saved.star, {name: fabric.id for name, fabric in loaded.by_name.items()}
        self.main.jobs.search(
            lambda: marks_of(cover(star, colouring, loaded.cloth_for(opened.saved.id, counts), plan), ids),
            self._take_marks,
            lambda fault: self._take_marks({}),
            slot="stash.marks",
            owner=self,
        )

    def _take_marks(self, marks: dict[int, str]) -> None:
        if marks != self._marks:
            self._marks = marks
            self.query_one(FabricList).set_marks(marks)
            self._show_details()

    def _show(self) -> None:
        """List what matches, in the order chosen, with the cursor on the same fabric as before."""
        listed = self.query_one(FabricList)
        keep = self._wanted if self._wanted is not None else (listed.current.id if listed.current else None)
        lines = self._lines.matching(self.order, self.words)
        at = index_of(lines, keep)
        if self._wanted is not None and at is not None:
            self._wanted = None
        cursor = min(listed.cursor, max(len(lines) - 1, 0)) if at is None else at
        listed.show(lines, cursor, self._nothing_here())
        everything = len(self._lines.orders[self.order])
        number = f"{len(lines)} of {everything}" if self.words else str(everything)
        self.query_one(FilterLine).say(f"{number} {'archived' if self.away else 'fabrics'}, {ORDER_WORDS[self.order]}")
        self._show_details()

    def _nothing_here(self) -> str:
        """What stands in the list where it is empty."""
        if self._lines is EMPTY:
            return ""
        if not self._lines.made:
            here = "No fabric is archived. {stash.away} goes back."
            return with_keys(here if self.away else "Every fabric is archived. {stash.away} shows them.")
        return f"No fabric holds {one_line(self.words)}. {key_of('stash.clear')} shows all of them."

    def _show_details(self) -> None:
        """Details follow when the cursor rests, so that a held key or fast typing never waits for them."""
        nothing = self.fabric is None
        if nothing != self._nothing:
            self._nothing = nothing
            self.refresh_bindings()
        if self._rest is not None:
            self._rest.stop()
        if self.has_class("-wide"):
            self._rest = self.set_timer(RESTED, self._rested)

    def _rested(self) -> None:
        fabric = self.fabric
        self.query_one(FabricDetails).show(fabric, self._marks.get(fabric.id, "") if fabric else "")

    def on_resize(self) -> None:
        self._show_details()

    def watch_order(self) -> None:
        self.query_one(FabricHeader).order = self.order
        self.refresh_bindings()
        self._show()

    def watch_words(self) -> None:
        self._show()
        self.refresh_bindings()

    def watch_away(self) -> None:
        self._ask_lines()
        self.refresh_bindings()

    def watch_grey(self) -> None:
        self.query_one(FabricList).set_grey(self.grey)
        self.query_one(SwatchView).in_grey = self.grey

    # -- finding

    @on(Input.Changed, "#filter")
    def _filter_typed(self, event: Input.Changed) -> None:
        self.words = event.value

    @on(FilterLine.Left)
    @on(Input.Submitted, "#filter")
    def _filter_left(self) -> None:
        self.query_one(FabricList).focus()

    @on(LineList.Moved, "#list")
    def _moved(self) -> None:
        self._show_details()

    @on(LineList.Chosen, "#list")
    def action_details(self) -> None:
        fabric = self.fabric
        if fabric is None:
            return
        details = self.query_one(FabricDetails)
        if not self.has_class("-wide"):
            details_screen = DetailsScreen(fabric, self._marks.get(fabric.id, ""), self.grey)
            self.app.push_screen(details_screen, self._after_details)
        elif details.has_focus:
            self.query_one(FabricList).focus()
        else:
            details.focus()

    async def _after_details(self, wanted: str | None) -> None:
        """Do what was asked for at the details of a fabric."""
        if wanted and self.check_action(wanted, ()):
            await self.run_action(wanted)

    @on(FabricHeader.Clicked)
    def _head_clicked(self, event: FabricHeader.Clicked) -> None:
        self.order = event.order

    def action_filter(self) -> None:
        self.query_one(FilterLine).query_one(Input).focus()

    def action_clear(self) -> None:
        self.query_one(FilterLine).clear()
        self.query_one(FabricList).focus()

    def action_sort(self) -> None:
        self.order = ORDERS[(ORDERS.index(self.order) + 1) % len(ORDERS)]

    def action_away(self) -> None:
        self.away = not self.away

    def action_grey(self) -> None:
        self.grey = not self.grey
