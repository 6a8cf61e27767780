"""The Star screen's picture of what is on the table: it draws, asks the stash and the search, and takes answers."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from rich.text import Text
from textual.containers import Horizontal, Vertical
from textual.reactive import var
from textual.widget import Widget
from textual.widgets import Static

from stash.model import Colouring
from tui.named_keys import with_keys
from tui.screens import star_words as words
from tui.screens.base import MainScreen
from tui.screens.star_asked import judge, run_targets
from tui.screens.star_change import is_dark_first
from tui.screens.star_desk import Asked, StarWishes
from tui.screens.star_table import Table, Verdict
from tui.state import OpenStar
from tui.terminal_colours import NONE, colours_of
from tui.widgets.chart import Chart, chart_layout
from tui.widgets.fabric_lines import one_line
from tui.widgets.look import RowLook
from tui.widgets.rows import RowsTable
from tui.widgets.sharp_star import SharpStar, star_picture
from tui.widgets.star_picture import StarPicture
from tui.widgets.star_widget import StarWidget
from tui.widgets.swatch_view import SwatchView
from tui.widgets.ways_list import WaysList

EMPTY = "No star is on the table.\n\n{star.open}  open a saved star or lay out a new one"
HINT = "A capital letter picks its row (Shift+D: row D), ← → the next one. ↑ ↓ try fabrics on it."
SWATCH_FROM = 120  # columns of the terminal from which a swatch may stand beside the chart
SWATCH_WIDTH, SWATCH_LINES = 28, 9  # as in star.tcss; the least that shows a picture and what is said of it


class StarBase(MainScreen):
    """Head, picture or chart, rows, and the words on the row in hand."""

    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide"), (160, "-vast")]  # noqa: RUF012

    in_grey: var[bool] = var(False, init=False)
    chart_first: var[bool] = var(False, init=False)

    def __init__(self) -> None:
        super().__init__()
        self.table: Table | None = None
        self.busy = ""
        self._targets_asked: Asked | None = None

    def compose_body(self) -> Iterable[Widget]:
        yield Static("", id="head", markup=False)
        with Horizontal(id="body"):
            with Vertical(id="left"):
                yield star_picture(id="picture")
                yield Chart(id="left-chart")
                yield WaysList(id="left-ways")
                yield Static("", id="caption", markup=False)
            with Vertical(id="right"):
                yield RowsTable(id="rows")
                with Horizontal(id="told"):
                    with Vertical(id="words"):
                        yield Static("", id="detail", markup=False)
                        yield WaysList(id="right-ways")
                    yield SwatchView(id="beside")
                with Horizontal(id="below"):
                    yield Chart(id="right-chart")
                    yield star_picture(counterpart=True, id="counterpart")
                    yield SwatchView(id="swatch")
        yield Static(with_keys(EMPTY), id="empty", markup=False)

    # -- what is on the table

    def star_changed(self) -> None:
        self.lay(self._laid(self.main.opened))

    def stash_changed(self) -> None:
        self.lay(self._laid(self.main.opened))

    @property
    def wishes(self) -> StarWishes:
        return self.main.desk.wishes_for(self.table.star_id if self.table else 0)

    def _laid(self, opened: OpenStar | None) -> Table | None:
        """The open star as a table. The row in hand and a trial stay while the star is the same."""
        if opened is None:
            return None
        saved, old = opened.saved, self.table
        own = self.main.desk.wishes_for(saved.id)
        table = Table(
            saved.id,
            saved.name,
            saved.star,
            opened.number,
            tuple(one.number for one in saved.colourings),
            opened.colouring or Colouring({}),
            {fabric.name: fabric for fabric in self.main.loaded.cloth_for(saved.id, own.counts)},
            (self.main.loaded.token, own.counts),
            locked=own.locked,
            counts=own.counts,
            without=own.wishes.without,
            plan=self.main.loaded.plan_in_hand(saved, opened.number),
        )
        if old is None or old.star_id != saved.id:
            self._targets_asked = None
            return table
        if old.saved_star != saved.star:
            self._targets_asked = None
            return table.pick(old.picked)
        same = old.colouring == table.colouring and old.number == table.number
        trial = old.trial if same else None
        table = replace(
            table, picked=old.picked, trial=trial, verdict=old.verdict, targets=old.targets, ways=old.ways
        )
        return table.try_way(old.way) if same and old.way is not None and old.stash == table.stash else table

    def lay(self, table: Table | None) -> None:
        """Put a table on the screen and ask the stash about it."""
        self.table = table
        self.set_class(table is None, "-empty")
        self.show()
        self._ask_stash()

    def show(self) -> None:
        """Draw what is on the table."""
        look = self.table.look() if self.table else None
        for widget in self.query(StarWidget):
            widget.look = look
            widget.in_grey = self.in_grey
        if self.table is not None:
            for sharp in self.query(SharpStar):
                sharp.show(self.table.star, self.table.shown, self.table.fabrics)
        self.query_one("#head", Static).update(self._head())
        self.query_one("#detail", Static).update(self._detail())
        self.query_one("#caption", Static).update(self._caption())
        self._show_swatch()
        rows = self.query_one(RowsTable)
        rows.styles.height = len(look.rows) + 1 if look else 1

    def _show_swatch(self) -> None:
        """The photograph of the fabric in hand: beside the words on it, on a screen not that wide beside the chart."""
        table, vast = self.table, self.has_class("-vast")
        fabric = table.in_hand() if table else None
        by_chart = table is not None and not vast and self._swatch_has_room(table.star.order)
        for name, shown in (("#beside", vast), ("#swatch", by_chart)):
            swatch = self.query_one(name, SwatchView)
            swatch.in_grey = self.in_grey
            swatch.show(fabric if shown else None)

    def _swatch_has_room(self, order: str) -> bool:
        """Whether it stands beside the chart without making it smaller."""
        wide, high = self.query_one("#below").size
        if self.size.width < SWATCH_FROM or high < SWATCH_LINES:
            return False
        alone, beside = chart_layout(order, wide, high), chart_layout(order, wide - SWATCH_WIDTH, high)
        return (alone.columns, alone.lines) == (beside.columns, beside.lines)

    # -- asking

    def _ask_stash(self) -> None:
        """Ask about what is shown, unless the answer is there, and for the targets of the run."""
        table, stand_off = self.table, self.wishes.wishes.stand_off
        if table is None:
            return

        def take(verdict: Verdict) -> None:
            if self.table is not None:
                self.table = replace(self.table, verdict=verdict)
                self.show()
                self.verdict_taken()

        if table.judged is None:
            self.main.jobs.search(lambda: judge(table, stand_off), take, slot="star.check", owner=self)
        else:
            self.verdict_taken()
        self._ask_targets(table)

    def verdict_taken(self) -> None:
        """What the stash says to what is shown is known (said just now, or before)."""

    def asked(self) -> Asked | None:
        """The question to the search that belongs to the saved colouring on the table."""
        table = self.table
        if table is None:
            return None
        wishes = self.wishes.asked(table.star, table.colouring)
        return Asked(table.star, wishes, table.stash)

    def _ask_targets(self, table: Table) -> None:
        asked, fabrics = self.asked(), table.in_use()
        if asked is None or asked == self._targets_asked:
            return
        self._targets_asked = asked

        def take(targets: tuple[float, ...]) -> None:
            if self.table is not None and asked == self.asked():
                self.table = replace(self.table, targets=targets)
                self.show()

        self.main.jobs.search(
            lambda: run_targets(asked.star, fabrics, asked.wishes),
            take,
            lambda fault: take(()),  # wishes that clash: the search itself will say so
            slot="star.targets",
            owner=self,
        )

    # -- words

    def _head(self) -> Text:
        table = self.table
        if table is None:
            return Text()
        run = "dark to light" if is_dark_first(table.star, table.shown, table.fabrics) else "light to dark"
        first = Text()
        first.append(one_line(table.name), "bold")
        first.append(f"  {words.star_text(table.star)}, {run}")
        first.append(words.counts_text(table.counts))
        if len(table.numbers) > 1:
            first.append(f"  [{table.numbers.index(table.number) + 1} of {len(table.numbers)} colourings]")
        second = Text(self.busy)
        if not self.busy:
            second.append(self._answer_text(table), "bold").append(f"  {words.size_text(table.star)}")
        return Text("\n").join([first, second])

    def _answer_text(self, table: Table) -> str:
        verdict = table.judged
        if verdict is None:
            return "Asking the stash …"
        away = table.put_away()
        if away:
            return f"✗ {', '.join(away)} in the archive: choose other fabrics, or bring them back in the stash"
        if verdict.fault is not None:
            return f"✗ {verdict.fault.line()}"
        if verdict.coverage is None:
            return "Rows without a fabric: " + ", ".join(
                letter for letter in table.star.letters if not table.shown.uses.get(letter)
            )
        begun = f"; {words.plan_text(table.plan)}" if table.plan is not None and not table.trying else ""
        return words.cover_text(table.star, verdict.coverage) + begun

    def _detail(self) -> Text:
        table = self.table
        if table is None:
            return Text()
        look = table.look()
        row = look.by_letter.get(table.picked or "")
        if table.way is not None:
            return Text(f"{table.way.text[:1].upper()}{table.way.text[1:]}.")
        terse = self.has_class("-narrow") and not self.has_class("-many") and table.ways_now is not None
        text = self._row_text(table, row, terse) if row else Text("" if terse else HINT)
        if terse and row:
            return text
        verdict = table.judged
        ground = words.ground_text(
            table.star,
            verdict.coverage.ground if verdict and verdict.coverage else None,
            verdict.near_ground if verdict else (),
            table.shown.ground,
        )
        quilt = words.quilt_text(table.star, verdict.coverage.quilt if verdict and verdict.coverage else ())
        note = self.main.desk.note_for(table.star_id, table.star, table.shown)
        text.append("\n" if text and note else "").append(note)
        said = f"{ground[:1].upper()}{ground[1:]}{'; ' if quilt else ''}{quilt}"
        return text.append("\n" if text else "").append(one_line(said))

    def _row_text(self, table: Table, row: RowLook, terse: bool) -> Text:
        text = Text()
        locked = ", locked" if row.locked else ""
        text.append(f"{row.letter} {one_line(row.name)}", "bold").append(f"  {words.rows_text(row.rows)}{locked}\n")
        if table.trying and table.trial is not None:
            count = len(table.trial.ring) - 1
            keys = with_keys("{star.keep} keeps, {star.restore} restores")
            text.append(f"trying {table.trial.at} of {count}: {keys}\n", "reverse")
        value = words.value_sentence(row)
        text.append(f"{value}\n" if value else "")
        return text.append(words.mark_sentence(table.star, row, terse))

    def _caption(self) -> Text:
        picture = self.query_one("#picture", StarPicture)
        part = "one point" if picture.one_point else "the whole star"
        tone = "as grey values" if self.in_grey else "in colour"
        if colours_of(self.app) == NONE:
            tone = "shaded by value"
        if self.has_class("-narrow") and self.has_class("-chart"):
            part, tone = "one large diamond", "centre on top"
        return Text(f"{part}, {tone}", no_wrap=True, overflow="ellipsis")
