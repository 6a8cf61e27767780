"""Ways on where the stash is short: under the rows, each tried live on the star by its number."""

from __future__ import annotations

from dataclasses import replace
from uuid import uuid4

from textual import on

from stash.errors import Fault
from stash.inventory.store import Store
from stash.model import SavedStar, Step
from tui.commands import commands_for
from tui.named_keys import key_of, with_keys
from tui.screens import star_words as words
from tui.screens.star_asked import Fitted, find_ways
from tui.screens.star_change import is_complete
from tui.screens.star_runs import StarRuns, save_changed
from tui.screens.star_table import Table, Ways
from tui.state import Counts
from tui.widgets.ways_list import HaveAsked, WayPicked, WaysList

DETAIL_LINES, CHART_LINES = 7, 8  # what the words on a row take, and the least that shows a chart; as in star.tcss
FEW_ROWS = 8  # up to so many the ways on stand under the rows on a small terminal, above that beside them
RECORD = "{app.stash}, then {stash.bought} on the fabric"
REPLAN = "; then {cutting.plan_again} on Cutting plans the rest again"
WHILE_TRYING = {"keep", "restore", "way", "neighbour", "grey", "view", "chart", "open", "colouring"}
WAITING = {command.action.partition("(")[0] for command in commands_for("star")} - WHILE_TRYING
"""What waits until a way on that is tried is kept or put back."""


class StarWays(StarRuns):
    """Asks for the ways on, lists them, and tries one."""

    def __init__(self) -> None:
        super().__init__()
        self._ways_asked: object = None  # what ways on are being looked for

    def verdict_taken(self) -> None:
        """Look for the ways on of what is shown, unless they are known or being looked for."""
        table = self.table
        if table is None or table.way is not None or table.ways_now is not None:
            return
        coverage, asked = table.coverage, (table.star, table.shown, table.stash, table.without)
        if coverage is None or coverage.covered or asked == self._ways_asked:
            return
        self._ways_asked = asked

        def take(ways: Ways) -> None:
            self._ways_asked = None
            if self.table is not None and self.table.way is None:
                self.table = replace(self.table, ways=ways)
                self.show()

        def failed(fault: Fault) -> None:
            take(Ways(table.star, table.shown, table.stash, (), table.without))
            self.main.show_fault(fault)

        self.main.jobs.search(lambda: find_ways(table), take, failed, slot="star.ways", owner=self, long=True)

    def show(self) -> None:
        super().show()
        table = self.table
        ways = table.ways_now.found if table and table.ways_now else ()
        self.set_class(table is not None and len(table.star.letters) > FEW_ROWS, "-many")
        first = words.have_text(table.to_measure) if table else ""
        self.set_class(bool(ways or first), "-short")
        spare = self._spare_lines(bool(first) + (1 + len(ways) if ways else 0))
        self.set_class(spare < CHART_LINES, "-low")
        self.set_class(spare < 0, "-crowded")
        for listed in self.query(WaysList):
            listed.first = first
            listed.lines = tuple(words.way_line(way) for way in ways)
            listed.tried = ways.index(table.way) + 1 if table and table.way in ways else 0

    def _spare_lines(self, ways: int) -> int:
        """What rows, words and `ways` lines leave of the right side."""
        rows = len(self.table.star.order) if self.table else 0
        return self.query_one("#right").size.height - (1 + rows + DETAIL_LINES + ways)

    def action_way(self, number: int) -> None:
        """Try a way on; the same number again puts it back."""
        table = self.table
        if table is None:
            return
        ways = table.ways_now.found if table.ways_now else ()
        if not 1 <= number <= len(ways):
            self.main.say(self._no_way(table))
            return
        way = ways[number - 1]
        if way.step is Step.BUY:
            self.lay(table.put_back())
            said = f"{way.text[:1].upper()}{way.text[1:]}. Once bought, record it: "
            self.main.say(said + with_keys(RECORD + (REPLAN if table.is_being_cut else "")))
            return
        self.lay(table.put_back() if way == table.way else table.try_way(way))

    def _no_way(self, table: Table) -> str:
        verdict = table.judged
        if verdict is None:
            return "The stash is still being asked"
        if verdict.fault is not None:
            return verdict.fault.line()
        if verdict.coverage is None:
            return "Ways on are looked for once every row has a fabric"
        if verdict.coverage.covered:
            return "The stash covers this star: no way on is needed"
        if table.ways_now is None:
            return "Ways on are still being looked for"
        return "There is no such way on" if table.ways_now.found else with_keys(words.no_way_text(table.is_being_cut))

    @on(HaveAsked)
    def _have_clicked(self) -> None:
        self.action_have()

    @on(WayPicked)
    def _way_clicked(self, event: WayPicked) -> None:
        self.action_way(event.number)

    def action_restore(self) -> None:
        if self.table is not None and self.table.way is not None and not self.busy:
            self.lay(self.table.put_back())
        else:
            super().action_restore()

    def action_keep(self) -> None:
        table = self.table
        if table is None or table.way is None:
            super().action_keep()
            return
        way, uid, before = table.way, uuid4().hex, table.put_back()
        said = f"{way.text[:1].upper()}{way.text[1:]}. {key_of('app.undo')} takes it back"

        def write(store: Store) -> SavedStar:
            if way.star != before.star:
                return save_changed(store, before, Fitted(way.star, way.colouring), uid)
            return store.replace_colouring(before.star_id, before.number, way.colouring, uid=uid)

        self.lay(before)
        self.main.save(write, lambda _: self.main.say(said), self._not_saved)

    # -- what counts, and what is not measured

    def action_after_wash(self) -> None:
        own = self.wishes
        after = not own.counts.after_wash
        self._count(
            replace(own.counts, after_wash=after),
            "Unwashed pieces are reckoned as they will be once washed: 5 % narrower, 3 % shorter"
            if after else "Pieces are reckoned as they are now",
        )  # fmt: skip

    def action_with_held(self) -> None:
        own = self.wishes
        held = not own.counts.with_held
        self._count(
            replace(own.counts, with_held=held),
            "Cloth that plans of other stars hold counts too"
            if held else "Cloth that plans of other stars hold is left to them",
        )  # fmt: skip

    def _count(self, counts: Counts, said: str) -> None:
        if self.table is None:
            return
        self.main.desk.wish(self.table.star_id, replace(self.wishes, counts=counts))
        self.star_changed()
        self.main.say(said)

    def action_have(self) -> None:
        """Ask about the fabrics of what is shown that are not measured yet."""
        from stash.match.questions import questions
        from tui.dialogs.questions import QuestionsDialog

        table = self.table
        if table is None:
            return
        if not is_complete(table.star, table.shown):
            self.main.say("Not every row has a fabric yet")
            return
        try:
            asked = questions(table.star, table.shown, table.in_use())
        except Fault as fault:
            self.main.show_fault(fault)
            return
        if not asked:
            self.main.say("Every fabric of this star is measured")
            return

        def leave_out(name: str) -> None:
            self.main.desk.wish(table.star_id, self.wishes.with_absent(name))
            self.star_changed()

        def said(answered: int | None) -> None:
            if answered:
                out = with_keys("What is not there is left out for every star ({star.ban} on its row lets it in again)")
                self.main.say(f"{words.plural(answered, 'answer')}. {out}")

        self.main.push_screen(QuestionsDialog(table.star, asked, leave_out), said)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if self.table is not None and self.table.way is not None and action in WAITING:
            return None
        return super().check_action(action, parameters)
