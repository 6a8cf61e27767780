"""The Cutting screen's plan: read or kept when the screen is opened, and shown as lines."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from uuid import uuid4

from rich.text import Text
from textual import on
from textual.containers import Vertical
from textual.widget import Widget
from textual.widgets import Static

from stash.errors import Fault
from stash.inventory.store import Store
from stash.match.coverage import check
from stash.match.part_choice import ground_alone
from stash.match.replan import is_whole, parts_beside
from stash.model import Colouring, Coverage, Fabric, Mark, Star, StoredPlan
from stash.sheets.cautions import cautions
from stash.sheets.keep_uncut import QuiltParts
from stash.sheets.sets import SetSteps, measures, set_steps
from stash.sheets.steps import PieceSteps, steps_of_plan
from tui.named_keys import key_of, with_keys
from tui.screens import cutting_rows as rows
from tui.screens.base import WITH_ROOM_BESIDE, MainScreen
from tui.screens.star_change import is_complete
from tui.screens.star_words import plural, star_text
from tui.state import Counts, OpenStar
from tui.terminal_colours import colours_of
from tui.widgets.cut_list import CutList
from tui.widgets.fabric_lines import one_line
from tui.widgets.look import chip_of
from tui.widgets.set_drawing import drawn_set

NO_STAR = "No star is on the table.\n\n{star.open} on the Star screen ({app.star}) opens one."
NO_PLAN = "No plan is kept for this colouring any longer.\n\n{cutting.plan_again} makes one from what is there."
NO_FABRICS = (
    "Not every row of this star has a fabric yet.\n\n"
    "{app.star} goes to the star; {star.suggestion} there takes a suggestion."
)
AFTER_WASH = (
    "This star is reckoned as after washing, and a plan is made of cloth as it is.\n\n"
    "Wash and press it, measure it ({stash.count} on the Stash screen) and mark it washed ({stash.edit} there); "
    "then {star.after_wash} on the Star screen."
)


@dataclass(frozen=True)
class Laid:
    """The plan that lies on the table for a colouring, as steps."""

    opened: OpenStar
    plan: StoredPlan
    pieces: tuple[PieceSteps, ...]
    sets: tuple[SetSteps, ...]
    parts: QuiltParts

    @property
    def strips_left(self) -> int:
        return sum(strip.booked is None for strip in self.plan.strips)


class CuttingBase(MainScreen):
    """Head, the lines, and what is to be said of the line in hand."""

    HORIZONTAL_BREAKPOINTS = WITH_ROOM_BESIDE

    def __init__(self) -> None:
        super().__init__()
        self.laid: Laid | None = None
        self.keeps: dict[tuple[int, int], bool] = {}  # by plan and piece, where the maker has said it
        self.why = ""
        self.changed: dict[int, str] = {}  # pieces of the plan that are not as they were planned, with their fabrics
        self._width = 0  # of the list when its sentences were broken into lines

    def compose_body(self) -> Iterable[Widget]:
        yield Static("", id="head", markup=False)
        with Vertical(id="body"):
            yield CutList(id="cuts")
            yield Static("", id="detail", markup=False)
        yield Static("", id="empty", markup=False)

    def on_mount(self) -> None:
        self.query_one(CutList).focus()

    # -- the plan

    def stash_changed(self) -> None:
        if self.is_current:
            self.open_plan(make=False)

    def on_screen_resume(self) -> None:
        self.open_plan(make=True)

    def open_plan(self, *, make: bool) -> None:
        """Show the kept plan of the colouring on the table; where there is none, make one and keep it if `make`.

        A plan that is undone or let go while it is looked at is not made again by itself.
        """
        now = self.main.opened
        if now is None or not now.number:
            self.show_why(with_keys(NO_STAR if now is None else NO_FABRICS))
            return
        star_id, number = now.saved.id, now.number
        cloth = self.main.loaded.cloth_for(star_id, Counts())

        def read(store: Store) -> tuple[StoredPlan, QuiltParts] | None:
            done = store.cut_plan(star_id, number)
            plan = store.open_plan(star_id, number) or (done if done and is_whole(now.saved.star, done) else None)
            return (plan, parts_of(now, cloth, plan)) if plan else None

        def take(found: tuple[StoredPlan, QuiltParts] | None) -> None:
            if found is not None:
                self.lay(now, *found)
            elif make:
                self.make_plan()
            else:
                self.show_why(self.why or with_keys(NO_PLAN))

        self.main.jobs.store(read, take, self._unread, slot="cutting.plan", owner=self)

    def _unread(self, fault: Fault) -> None:
        self.show_why(fault.line())

    def make_plan(self, *, again: bool = False) -> None:
        """Plan from what the stash holds for this star, and keep the plan. `again`: though one is kept already."""
        now = self.main.opened
        colouring = now.colouring if now else None
        if now is None or colouring is None or not is_complete(now.saved.star, colouring):
            self.show_why(with_keys(NO_STAR if now is None else NO_FABRICS))
            return
        counts = self.main.desk.wishes_for(now.saved.id).counts
        if counts.after_wash:
            self.show_why(with_keys(AFTER_WASH))
            return
        cloth = [one for one in self.main.loaded.cloth_for(now.saved.id, counts) if not one.archived]
        if not again:
            self.show_why("Planning the cuts …")

        def take(found: Coverage) -> None:
            if not found.covered:
                self.show_why(refusal(now.saved.star, found))
            elif self.main.loaded.read_only:
                self.show_why("This stash is read only: a plan cannot be kept. starcover check prints it.")
            else:
                self._keep(now, found)

        star = now.saved.star
        self.main.jobs.search(
            lambda: check(star, colouring, cloth), take, self._unread, slot="cutting.check", owner=self
        )

    def _keep(self, now: OpenStar, found: Coverage) -> None:
        uid = uuid4().hex

        def done(plan: StoredPlan) -> None:
            strips, lets_go = plural(len(plan.strips), "strip"), key_of("cutting.let_go")
            held = "is kept, and holds its cloth against other stars"
            self.main.say(f"The plan of {strips} {held}. {lets_go} lets it go")
            self.lay(now, plan, QuiltParts(found.ground, found.quilt))

        self.main.save(
            lambda store: store.keep_plan(now.saved.id, now.number, found.cuts, uid=uid), done, self._unread
        )

    # -- showing

    def lay(self, now: OpenStar, plan: StoredPlan, parts: QuiltParts) -> None:
        colouring = now.colouring or Colouring({})
        star = now.saved.star
        pieces = steps_of_plan(star, colouring, plan)
        sets = set_steps(star, colouring, [piece.cut for piece in pieces], plan.spoiled)
        self.laid, self.why = Laid(now, plan, pieces, sets, parts), ""
        self.show()

    def show_why(self, text: str) -> None:
        """Say why there is no plan to show."""
        self.laid, self.why = None, text
        self.show()

    def show(self) -> None:
        laid = self.laid
        self.set_class(laid is None, "-empty")
        self.query_one("#empty", Static).update(self.why)
        self.refresh_bindings()
        listed = self.query_one(CutList)
        if laid is None:
            listed.show(None, (), 0)
            self.query_one("#head", Static).update("")
            return
        star, colouring = laid.opened.saved.star, laid.opened.colouring or Colouring({})
        by_name = {fabric.name: fabric for fabric in self.main.loaded.by_id.values()}
        said = cautions(star, colouring, by_name, laid.parts)
        self._width = width = listed.size.width or self.size.width
        keeps = {piece: keep for (plan, piece), keep in self.keeps.items() if plan == laid.plan.id}
        keeps |= dict.fromkeys(self.held(laid), True)
        lines = rows.rows_of(star, laid.pieces, laid.sets, self.main.loaded.by_id, keeps, said, width)
        self.changed = rows.changed_pieces(lines)
        listed.show(star, lines, rows.place_of(lines, listed.current))
        if self.focused is None:
            listed.focus()
        self.query_one("#head", Static).update(self._head(laid))
        self._show_detail()

    def held(self, laid: Laid) -> dict[int, str]:
        """Pieces that another star's plan is to be cut from, each with that star's name."""
        names = {star.id: star.name for star in self.main.loaded.stars}
        return {
            strip.cut.piece: names.get(plan.star_id, "another star")
            for plan in self.main.loaded.plans for strip in plan.strips
            if plan.id != laid.plan.id and strip.booked is None
        }  # fmt: skip

    def _head(self, laid: Laid) -> Text:
        saved, cut = laid.opened.saved, len(laid.plan.strips) - laid.strips_left
        first = Text(one_line(saved.name), "bold", no_wrap=True, overflow="ellipsis")
        first.append(f"  {star_text(saved.star)}, colouring {laid.opened.number}, plan {laid.plan.id}", "not bold")
        left = "all cut" if not laid.strips_left else f"{plural(laid.strips_left, 'strip')} still to cut"
        if not is_whole(saved.star, laid.plan):
            keys = with_keys("{cutting.let_go}, then {cutting.plan_again}")
            left += f"; its other strips were let go: {keys} plans the whole star anew"
        second = Text(f"{plural(cut, 'strip')} cut, {left}", no_wrap=True, overflow="ellipsis")
        broken = Text(rows.broken_text(self.changed), "bold", no_wrap=True, overflow="ellipsis")
        return Text("\n").join([first, second, *([broken] if broken else [])])

    def _show_detail(self) -> None:
        laid, row = self.laid, self.query_one(CutList).current
        if laid is None or row is None:
            return
        star = laid.opened.saved.star
        said: list[str] = []
        if isinstance(row, rows.PieceRow):
            said = rows.piece_sentence(star, row)
        elif isinstance(row, rows.StripRow):
            said = rows.strip_sentence(star, row)
        elif isinstance(row, rows.SetRow):
            uses = laid.opened.colouring.uses if laid.opened.colouring else {}
            said = rows.set_sentence(star, row, measures(star), uses)
        text = Text("\n".join(map(one_line, said)))
        if isinstance(row, rows.SetRow) and self.has_class("-wide"):
            text.append("\n\n").append_text(self._drawn(laid, row.steps))
        self.query_one("#detail", Static).update(text)

    def _drawn(self, laid: Laid, steps: SetSteps) -> Text:
        """The strip set as it is sewn, where there is room for it."""
        fabrics = {fabric.name: fabric for fabric in self.main.loaded.by_id.values()}
        strips = []
        for letter in steps.letters:
            names = laid.opened.colouring.uses.get(letter, ()) if laid.opened.colouring else ()
            first = fabrics.get(names[0]) if names else None
            strips.append((letter, " + ".join(names), chip_of(first.colour if first else None)))
        level = not measures(laid.opened.saved.star).stagger
        return drawn_set(strips, level, self.query_one(CutList).in_grey, colours_of(self.app))

    @on(CutList.Sized)
    def _sized(self) -> None:
        """The list has room, or other room than before: its sentences are broken to its width."""
        if self.laid is not None and self.query_one(CutList).size.width != self._width:
            self.show()


def parts_of(now: OpenStar, cloth: Sequence[Fabric], plan: StoredPlan) -> QuiltParts:
    """What the cloth gives the quilt round the star beside the plan's strips; nothing where that cannot be asked."""
    try:
        return QuiltParts(*parts_beside(now.saved.star, now.colouring or Colouring({}), cloth, plan))
    except Fault:  # of a fabric of a row; the ground can still be asked alone
        return QuiltParts(ground_alone(now.saved.star, now.colouring or Colouring({}), cloth))


def refusal(star: Star, found: Coverage) -> str:
    """Why there is nothing to cut yet."""
    short = [one.letter for one in found.letters if one.mark is Mark.SHORT]
    unmeasured = [one.letter for one in found.letters if one.mark is Mark.UNMEASURED]
    said = [f"short at {', '.join(short)}"] if short else []
    said += [f"not measured yet: {', '.join(unmeasured)}"] if unmeasured else []
    return (
        f"The stash does not cover this star ({'; '.join(said)}), so there is nothing to cut yet.\n\n"
        f"{key_of('app.star')} goes to the star: what does cover it stands under its rows."
    )


