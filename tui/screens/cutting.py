"""The Cutting screen: what is cut is ticked, strip by strip, and the stash is brought up to date at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar
from uuid import uuid4

from textual import on
from textual.binding import BindingType

from stash.errors import Conflict, Fault
from stash.inventory.store import Store
from stash.model import Entry, StoredPlan
from stash.sheets.sets import SetSteps
from stash.sheets.steps import PieceSteps, run_length
from tui.commands import bindings_for
from tui.named_keys import key_of, with_keys
from tui.screens import cutting_rows as rows
from tui.screens.cutting_base import CuttingBase, Laid
from tui.screens.star_words import plural
from tui.widgets.cut_list import BoxClicked, CutList
from tui.widgets.line_list import LineList

NEEDS_PLAN = {"tick", "tick_fabric", "tick_all", "offcut", "spoiled", "unspoiled", "let_go", "print"}


class CuttingScreen(CuttingBase):
    """Each tick is one entry of the history, with a mark of its own: pressed twice it books once."""

    HERE = "cutting"
    CSS_PATH = "cutting.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for("cutting")

    def __init__(self) -> None:
        super().__init__()
        self._booking: set[int] = set()  # strips whose booking is under way
        self._warned: tuple[int, frozenset[int]] | None = None  # the plan and the changed pieces that were spoken of

    # -- ticking

    @on(LineList.Chosen, "#cuts")
    def action_tick(self) -> None:
        """Tick the line in hand: a strip, what is left of a piece, or what is left of a set."""
        row = self.query_one(CutList).current
        if row is not None:
            self._tick(row)

    @on(BoxClicked)
    def _box_clicked(self, event: BoxClicked) -> None:
        self._tick(event.row)

    def _tick(self, row: rows.CutRow) -> None:
        laid = self.laid
        if laid is None:
            return
        if isinstance(row, rows.StripRow):
            strips = [row.strip]
        elif isinstance(row, rows.PieceRow):
            strips = list(row.steps.strips)
        elif isinstance(row, rows.SetRow):
            number = row.steps.number
            every = (strip for piece in laid.pieces for strip in piece.strips)
            strips = [strip for strip in every if any(run.set == number for run in strip.runs)]
        else:
            return
        self._book(laid, [strip.id for strip in strips if strip.booked is None])

    def action_tick_fabric(self) -> None:
        """Book all that is left to cut of the fabric in hand, from all its pieces."""
        laid, piece = self.laid, self._piece_in_hand()
        if laid is None or piece is None:
            self.main.say("Take a piece or one of its strips in hand first")
            return
        mine = [one for one in laid.pieces if one.cut.fabric_id == piece.cut.fabric_id]
        self._book(laid, [strip.id for one in mine for strip in one.strips if strip.booked is None])

    def action_tick_all(self) -> None:
        """Book all that is left to cut."""
        if self.laid is not None:
            self._book(self.laid, [strip.id for strip in self.laid.plan.strips if strip.booked is None])

    def _book(self, laid: Laid, strips: Sequence[int]) -> None:
        if not strips:
            self.main.say(with_keys("This is cut and booked already. {app.undo} takes the newest booking back"))
            return
        strips = [strip for strip in strips if strip not in self._booking]
        if not strips:
            return  # pressed twice
        if self._warns(laid, strips):
            return
        self._booking.update(strips)
        ends = rows.last_plannings(laid.pieces)
        uid, to_bin = uuid4().hex, [number for number, piece in ends.items() if not self._keeps(laid, piece)]

        def done(entry: Entry) -> None:
            self._booking.difference_update(strips)
            self.main.say_done(entry.text)

        def refused(fault: Fault) -> None:
            self._booking.difference_update(strips)
            self._refused(fault)

        self.main.save(lambda store: store.book(laid.plan.id, strips, bin_rest=to_bin, uid=uid), done, refused)

    def _warns(self, laid: Laid, strips: Sequence[int]) -> bool:
        """Say once, before strips of another piece are booked, that a piece of the plan was changed since."""
        of_changed = {one.id for one in laid.plan.strips if one.cut.piece in self.changed}
        now = (laid.plan.id, frozenset(self.changed))
        if not self.changed or self._warned == now or of_changed & set(strips):
            return False
        self._warned = now
        self.main.clear_notifications()
        said = f"{rows.broken_text(self.changed)}. {rows.BOOKED_AGAIN}"
        self.main.notify(said, severity="warning", timeout=10, markup=False)
        return True

    def _refused(self, fault: Fault) -> None:
        self.main.clear_notifications()
        again = f"{key_of('cutting.plan_again')} plans again what is left"
        line = f"{fault.what}; {again}" if isinstance(fault, Conflict) else fault.line()
        self.main.notify(line, severity="error", timeout=10, markup=False)

    def _keeps(self, laid: Laid, piece: PieceSteps) -> bool:
        if piece.cut.piece in self.held(laid):
            return True
        return self.keeps.get((laid.plan.id, piece.cut.piece), piece.is_rest_kept)

    # -- offcuts and spoiled segments

    def _piece_in_hand(self) -> PieceSteps | None:
        row = self.query_one(CutList).current
        if isinstance(row, rows.PieceRow):
            return row.steps
        return row.piece if isinstance(row, rows.StripRow) else None

    def action_offcut(self) -> None:
        """Keep what is left of the piece in hand, or bin it."""
        laid, piece = self.laid, self._piece_in_hand()
        if laid is None or piece is None:
            self.main.say("Take a piece or one of its strips in hand first")
            return
        piece = rows.last_plannings(laid.pieces)[piece.cut.piece]
        if not any(piece.rest):
            self.main.say("Nothing is left of this piece")
            return
        number = piece.cut.piece
        other = self.held(laid).get(number)
        if other:
            self.main.say(f"The plan of {other} is to be cut from this offcut: it is kept")
            return
        if not piece.done:
            keep = not self._keeps(laid, piece)
            self.keeps[laid.plan.id, number] = keep
            self.show()
            what = "is kept" if keep else "goes into the bin"
            self.main.say(f"What is left of this piece of {piece.cut.fabric} {what}")
            return
        there = self.main.loaded.by_id.get(piece.cut.fabric_id)
        if there is None or all(one.id != number for one in there.pieces):
            binned = "This offcut is binned already; {app.undo} takes that back while nothing came after it"
            self.main.say(with_keys(binned))
            return
        uid = uuid4().hex

        def done(entry: Entry) -> None:
            self.keeps[laid.plan.id, number] = False
            self.main.say_done(entry.text)
            self.show()

        self.main.save(lambda store: store.bin_offcut(laid.plan.id, number, uid=uid), done, self._refused)

    def action_spoiled(self) -> None:
        """A segment of the set in hand is spoiled: cut another from what it has to spare."""
        laid, row = self.laid, self.query_one(CutList).current
        if laid is None or not isinstance(row, rows.SetRow):
            self.main.say("Take a strip set in hand first: they stand below the pieces")
            return
        one = row.steps
        if not one.could:
            self.main.clear_notifications()
            self.main.notify(self._one_more(laid, one), severity="warning", markup=False, timeout=15)
            return
        said = f"Cut another from its spare: {plural(one.left - 1, 'segment')} left after that"
        if not one.left:
            said = "Cut another from the strips it shares with other sets: they have one less to spare"
        self._spoil(laid, one.number, 1, said)

    def _one_more(self, laid: Laid, one: SetSteps) -> str:
        """What a further segment takes of a set that has none to spare."""
        star, colouring = laid.opened.saved.star, laid.opened.colouring
        size = run_length(star, 1)
        uses = colouring.uses if colouring else {}
        strips = ", ".join(f"{letter} {' or '.join(uses.get(letter, ()))}".strip() for letter in one.letters)
        return (
            f"Set {one.number} has no segment to spare: cut a further strip {size} long of each of {strips} "
            f"({key_of('stash.used')} on the Stash screen books it), sew them in that order and slice one."
        )

    def action_unspoiled(self) -> None:
        """Take one spoiled segment of the set in hand back."""
        laid, row = self.laid, self.query_one(CutList).current
        if laid is not None and isinstance(row, rows.SetRow) and row.steps.spoiled:
            self._spoil(laid, row.steps.number, -1, "Taken back")

    def _spoil(self, laid: Laid, number: int, segments: int, said: str) -> None:
        uid = uuid4().hex

        def write(store: Store) -> Entry:
            return store.spoil(laid.plan.id, number, segments, uid=uid)

        self.main.save(write, lambda _: self.main.say(said), self._refused)

    # -- the plan again, or no longer

    def action_plan_again(self) -> None:
        """Plan again from what is there: all of it where nothing is cut yet, else what is left to cut."""
        from stash.match.replan import Replan, replan

        laid = self.laid
        if laid is None:
            self.make_plan()
            return
        cut = len(laid.plan.strips) - laid.strips_left
        if not cut or not laid.strips_left:
            self.make_plan(again=True)
            return
        now, uid = laid.opened, uuid4().hex
        # what is cut of a plan is cut from cloth as it is, whatever is reckoned with on the Star screen
        counts = replace(self.main.desk.wishes_for(now.saved.id).counts, after_wash=False)
        cloth = [one for one in self.main.loaded.cloth_for(now.saved.id, counts) if not one.archived]
        star, colouring = now.saved.star, now.colouring
        assert colouring is not None

        def keep(again: Replan) -> None:
            if not again.strips:
                self.main.say("Every piece is as it was planned: the plan stands")
                return

            def write(store: Store) -> StoredPlan:
                return store.plan_rest(laid.plan.id, again.strips, again.cuts, uid=uid)

            def done(plan: StoredPlan) -> None:
                left = sum(one.booked is None for one in plan.strips)
                self.main.say(f"Planned again: {plural(left, 'strip')} to cut")

            self.main.save(write, done, self._not_again)

        self.main.jobs.search(
            lambda: replan(star, colouring, cloth, laid.plan), keep, self._not_again, slot="cutting.check", owner=self
        )

    def _not_again(self, fault: Fault) -> None:
        self.main.clear_notifications()
        self.main.notify(fault.line(), severity="error", timeout=10, markup=False)

    def action_let_go(self) -> None:
        """Let go what is not cut yet: its cloth is free for other stars."""
        laid = self.laid
        if laid is None or not laid.strips_left:
            self.main.say("Nothing is held by this plan")
            return
        now, uid = laid.opened, uuid4().hex

        def done(entry: Entry | None) -> None:
            if entry is not None:
                self.main.say_done(entry.text)

        self.main.save(lambda store: store.let_go(now.saved.id, now.number, uid=uid), done, self._not_again)

    # -- paper

    def action_print(self) -> None:
        """Show the pages as they will be printed, and write them, the picture or the shop's list to a file."""
        laid = self.laid
        if laid is not None and laid.opened.colouring is not None:
            self.main.print_star(laid.opened.saved, laid.opened.number, laid.opened.colouring)

    # -- the line in hand

    @on(LineList.Moved, "#cuts")
    def _moved(self) -> None:
        self._show_detail()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action in NEEDS_PLAN and self.laid is None:
            return None
        if action == "plan_again" and self.main.opened is None:
            return None
        return super().check_action(action, parameters)
