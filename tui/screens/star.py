"""The Star screen: one colouring of one star, tried row by row on what is in the stash."""

from __future__ import annotations

from string import ascii_uppercase
from typing import ClassVar
from uuid import uuid4

from textual import events, on
from textual.binding import Binding, BindingType

from stash.model import Mark, SavedStar, Star
from tui.commands import bindings_for, commands_for
from tui.named_keys import with_keys
from tui.preferences import keep_view, kept_view
from tui.screens import star_words as words
from tui.screens.star_change import is_complete
from tui.screens.star_table import Table
from tui.screens.star_ways import StarWays
from tui.state import opened
from tui.widgets.star_picture import StarPicture
from tui.widgets.star_widget import RowPicked, TryOther

NEEDS_ROW = {"lock", "ban"}
WITHOUT_STAR = {"open"}
ONE_TO_THE_OTHER = "{star.colouring_before} and {star.colouring_after} go from one to the other"
ONCE_MORE = "{star.drop_colouring} again removes both"
ONLY_ONE = "This is the only colouring of the star; {star.open}, then {stars.remove} removes the star"
TRYING = "Something is being tried: keep it ({star.keep}) or restore ({star.restore}) before it is "
WASH_FIRST = (
    "This is reckoned as after washing: wash and measure ({stash.count} on the Stash screen), "
    "then press {star.after_wash} and cut"
)
ACTIONS = {command.action.partition("(")[0]: command for command in commands_for("star")}


class StarScreen(StarWays):
    """What the maker does on the table. Capital letters pick rows; every other key is in the commands table."""

    HERE = "star"
    _sure: tuple[int, int] | None = None  # star and colouring that the next press removes with its plan
    CSS_PATH = "star.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings_for("star"),
        *(Binding(letter, f"pick('{letter}')", show=False) for letter in ascii_uppercase[:25]),
        *(Binding(str(number), f"way({number})", show=False) for number in range(2, 10)),
    ]

    def on_mount(self) -> None:
        self._view(kept_view() or "fit")

    # -- colourings and stars

    def action_colouring(self, step: int) -> None:
        table, now = self.table, self.main.opened
        if table is None or now is None or len(table.numbers) < 2:
            self.main.say(with_keys("This star has one colouring; {star.keep_new} keeps what is shown as another"))
            return
        at = (table.numbers.index(table.number) + step) % len(table.numbers)
        self.main.opened = opened(now.saved, table.numbers[at])

    def action_keep_new(self) -> None:
        """Keep what is shown as a further colouring; the one it came from stays."""
        table = self.table
        if table is None:
            return
        uid, shown = uuid4().hex, table.shown

        def done(saved: SavedStar) -> None:
            number = next((one.number for one in saved.colourings if one.colouring == shown), None)
            said = f"Kept as colouring {number} of {saved.name}. {with_keys(ONE_TO_THE_OTHER)}"
            self.main.say(said if number != table.number else with_keys(words.kept_already(table.number)))
            self.main.opened = opened(saved, number)

        self.main.save(lambda store: store.save_star(table.name, table.star, shown, uid=uid), done)

    def action_drop_colouring(self) -> None:
        """Remove the colouring on the table, where the star has another."""
        table = self.table
        if table is None:
            return
        if len(table.numbers) < 2:
            self.main.say(with_keys(ONLY_ONE))
            return
        if table.trying:
            self.main.say(with_keys(TRYING + "removed"))
            return
        asked = (table.star_id, table.number)
        plan = words.plan_of(self.main.loaded.plans, *asked)
        if plan is not None and self._sure != asked:
            self._sure = asked
            self.main.say(f"Its plan goes with this colouring ({words.plan_text(plan)}): {with_keys(ONCE_MORE)}")
            return
        self._sure = None
        uid, said = uuid4().hex, f"Colouring {table.number} of {table.name} is removed"
        self.main.save(
            lambda store: store.drop_colouring(table.star_id, table.number, uid=uid),
            lambda _: self.main.say_done(said),
        )

    def action_save_as(self) -> None:
        from tui.dialogs.text_prompt import TextPrompt

        table = self.table
        if table is None:
            return

        def take(name: str | None) -> None:
            if name and name.strip():
                uid = uuid4().hex
                shown = table.shown if table.shown.uses else None
                self.main.save(lambda store: store.save_star(name, table.star, shown, uid=uid), self.main.open_star)

        self.main.push_screen(TextPrompt("Save this star under another name", "name", table.name), take)

    def action_settings(self) -> None:
        from tui.dialogs.star_settings import StarSettings

        if self.table is None:
            return

        def take(star: Star | None) -> None:
            if star is not None and self.table is not None and star != self.table.star:
                self._change(lambda _: star)

        self.main.push_screen(StarSettings(self.table.star), take)

    def action_open(self) -> None:
        from tui.dialogs.star_choice import NEW, StarChoice
        from tui.dialogs.star_settings import NewStar

        def take(saved: SavedStar | None) -> None:
            if saved is not None:
                self.main.open_star(saved)

        def chosen(star_id: int | None) -> None:
            if star_id == NEW:
                self.main.push_screen(NewStar(self.main.loaded.stars), take)
            elif star_id is not None:
                take(next((star for star in self.main.loaded.stars if star.id == star_id), None))

        here = self.table.star_id if self.table else None
        loaded = self.main.loaded
        begun = {
            plan.star_id: words.plan_text(plan)
            for plan in loaded.plans if any(strip.booked is not None for strip in plan.strips)
        }  # fmt: skip
        self.main.push_screen(StarChoice(loaded.stars, here, begun), chosen)

    def action_print(self) -> None:
        """Show what is on the table as it will be printed."""
        table = self.table
        if table is None:
            return
        saved = next((star for star in self.main.loaded.stars if star.id == table.star_id), None)
        if saved is None or not is_complete(table.saved_star, table.colouring):
            self.main.say("Not every row has a fabric yet, so there is nothing to print")
            return
        if table.trying:
            self.main.say(with_keys(TRYING + "printed"))
            return
        self.main.print_star(saved, table.number, table.colouring)

    def action_cut(self) -> None:
        """Go to the plan of cuts of what is on the table."""
        table = self.table
        if table is None:
            return
        if table.trying:
            self.main.say(with_keys(TRYING + "cut"))
            return
        why = "" if words.plan_of(self.main.loaded.plans, table.star_id, table.number) else refusal(table)
        if why:
            self.main.notify(why, severity="warning", markup=False, timeout=8)
            return
        self.main.switch_mode("cutting")

    # -- views

    def action_grey(self) -> None:
        self.in_grey = not self.in_grey
        self.show()

    def action_view(self) -> None:
        """The whole star or one point enlarged."""
        picture = self.query_one("#picture", StarPicture)
        view = "star" if picture.one_point else "point"
        self._view(view)
        keep_view(view)
        self.remove_class("-chart")
        self.show()

    def _view(self, view: str) -> None:
        for one in self.query(StarPicture):
            one.view = view

    def action_chart(self) -> None:
        """The chart in place of the picture, where there is no room for both."""
        self.toggle_class("-chart")
        self.show()

    # -- keys and the mouse

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        command = ACTIONS.get(action)
        if command is not None:
            if self.table is None and action not in WITHOUT_STAR:
                return None
            if action in NEEDS_ROW and self.table is not None and self.table.picked is None:
                return None
            if command.writes and self.main.loaded.read_only:
                return None
        return super().check_action(action, parameters)

    def on_key(self, event: events.Key) -> None:
        """Whoever types a small letter for a row is told how rows are picked."""
        letter = event.character or ""
        if event.key in self.active_bindings:
            return
        if self.table is not None and letter.upper() in self.table.star.letters and letter.islower():
            self.main.say(f"Rows are picked by capital letters: Shift+{letter.upper()}")

    @on(RowPicked)
    def _row_clicked(self, event: RowPicked) -> None:
        self.action_pick(event.letter)

    @on(TryOther)
    def _wheel_turned(self, event: TryOther) -> None:
        if self.table is not None and self.table.picked is not None:
            self.action_step(event.step)

    def on_resize(self) -> None:
        self.call_after_refresh(self.show)


def refusal(table: Table) -> str:
    """Why what is on the table cannot be cut, "" where it can."""
    verdict = table.judged
    if verdict is None:
        return "The stash is still being asked; try again in a moment"
    away = table.put_away()
    if away:
        return f"{', '.join(away)} in the archive: choose other fabrics, or bring them back, before it is cut"
    if verdict.fault is not None:
        return verdict.fault.line()
    if table.counts.after_wash:
        return with_keys(WASH_FIRST)
    if verdict.coverage is None:
        return "Not every row has a fabric yet, so there is nothing to cut"
    if verdict.coverage.covered:
        return ""
    rows = table.look().by_letter
    lacking = [
        f"{letter} {rows[letter].name} {words.mark_sentence(table.star, rows[letter])}"
        for letter in table.star.letters
        if rows[letter].mark in (Mark.SHORT, Mark.UNMEASURED)
    ]
    return "The stash does not cover this star, so there is nothing to cut yet. " + "; ".join(lacking)
