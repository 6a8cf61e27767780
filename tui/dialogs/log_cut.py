"""After cutting: what will be booked, piece by piece. Enter books the plan and the stash goes down."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, ClassVar, cast
from uuid import uuid4

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Button, Static

from stash.errors import Fault
from stash.inventory.store import Store
from stash.lengths import show_inches, to_inches
from stash.model import Coverage, Entry, Fabric, PieceCut, Star, Way
from tui.screens.star_words import plural, star_text
from tui.widgets.fabric_lines import one_line

if TYPE_CHECKING:
    from tui.app import StarcoverApp

CAUTIONS = (
    "Rotary cutter: close the guard after every cut, cut away from the body, fingers off the ruler's edge.",
    "Local rules come first.",
)


def left_over(cut: PieceCut) -> tuple[int, int]:
    """What a piece keeps once straightening and all its strips are off: length, width in ticks, 0 x 0 for nothing."""
    length, width = cut.piece_length - cut.trim_length, cut.piece_width - cut.trim_width
    taken = sum(strip.width for strip in cut.strips)
    if cut.way is Way.ACROSS:
        length -= taken
    else:
        width -= taken
    return (length, width) if min(length, width) > 0 else (0, 0)


def size_words(length: int, width: int) -> str:
    """`18 × 21 in`, ticks in."""
    return f"{show_inches(to_inches(length), 64)} × {show_inches(to_inches(width), 64)} in"


def cut_lines(cut: PieceCut, star: Star, letters: str, kind: str) -> list[str]:
    """One piece: what it is, how it is cut, what is left."""
    lengths = Counter(strip.length for strip in cut.strips)
    strips = plural(len(cut.strips), "strip")
    longest = show_inches(to_inches(max(lengths)), 64)
    left = left_over(cut)
    rest = f"{size_words(*left)} left" if any(left) else "used up"
    return [
        f"{letters}  {one_line(cut.fabric)}, {kind} {size_words(cut.piece_length, cut.piece_width)}",
        f"   {strips} {show_inches(star.strip, 64)} in wide, {cut.way}, {longest} in long; {rest}",
    ]


class LogCut(ModalScreen[str | None]):
    """Books the whole plan as one entry. The answer is the entry's sentence, None where nothing was booked."""

    DEFAULT_CSS = """
    LogCut { align: center middle; background: $background 60%; }
    LogCut > Vertical { width: 78; max-width: 100%; height: auto; max-height: 100%; border: round $primary;
        background: $surface; padding: 0 1; border-title-color: $accent; }
    LogCut VerticalScroll { height: auto; scrollbar-size-vertical: 1; }
    LogCut VerticalScroll Static, LogCut #caution { height: auto; }
    LogCut #caution { color: $text-warning; margin-top: 1; }
    LogCut #said { height: auto; color: $text-error; }
    LogCut Horizontal { height: 1; }
    LogCut Horizontal Static { width: 1fr; color: $text-muted; }
    LogCut Button { margin-left: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "book", "Book", show=False),
        Binding("escape", "leave", "Leave", show=False),
        Binding("up", "scroll(-1)", "Up", show=False),
        Binding("down", "scroll(1)", "Down", show=False),
    ]

    def __init__(
        self,
        star_id: int,
        name: str,
        number: int,
        star: Star,
        coverage: Coverage,
        fabrics: Mapping[str, Fabric],
    ) -> None:
        super().__init__()
        self.uid = uuid4().hex
        self._star_id = star_id
        self._star_name = name
        self._number = number
        self._star = star
        self._coverage = coverage
        self._fabrics = fabrics
        self._booking = False

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = Text(f"Log the cut: {one_line(self._star_name)}").markup
            with VerticalScroll(can_focus=False):
                yield Static(self._text(), id="cuts", markup=False)
            yield Static(" ".join(CAUTIONS), id="caution", markup=False)
            yield Static("", id="said", markup=False)
            with Horizontal():
                yield Static("Enter books it · ↑ ↓ scroll · Esc leaves", markup=False)
                yield Button("Book", id="book", variant="primary", compact=True)
                yield Button("Leave", id="leave", compact=True)

    def on_mount(self) -> None:
        for button in self.query(Button):
            button.can_focus = False  # the keys are the screen's; the buttons are for the mouse

    def on_resize(self) -> None:
        # The list scrolls in what the cautions and the buttons leave.
        self.query_one(VerticalScroll).styles.max_height = max(3, self.size.height - 9)

    def _text(self) -> Text:
        cuts = self._coverage.cuts
        strips = sum(len(cut.strips) for cut in cuts)
        text = Text(f"{star_text(self._star)}: {plural(strips, 'strip')} from {plural(len(cuts), 'piece')}.\n")
        for cut in cuts:
            letters = " ".join(one.letter for one in self._coverage.letters if cut.fabric in one.fabrics)
            head, rest = cut_lines(cut, self._star, letters, self._kind(cut))
            text.append(f"{head}\n", "bold").append(f"{rest}\n")
        text.rstrip()
        return text

    def _kind(self, cut: PieceCut) -> str:
        fabric = self._fabrics.get(cut.fabric)
        piece = next((one for one in fabric.pieces if one.id == cut.piece), None) if fabric else None
        if piece is None:
            return ""
        return f"about {piece.kind}" if piece.estimated else str(piece.kind)

    def action_scroll(self, by: int) -> None:
        self.query_one(VerticalScroll).scroll_relative(y=3 * by, animate=False)

    @on(Button.Pressed, "#book")
    def action_book(self) -> None:
        if self._booking:
            return
        self._booking = True
        cast("StarcoverApp", self.app).save(self._write(), self._booked, self._refused)

    def _write(self) -> Callable[[Store], Entry]:
        cuts = self._coverage.cuts

        def write(store: Store) -> Entry:
            plan = store.keep_plan(self._star_id, self._number, cuts, uid=f"{self.uid}-plan")
            return store.book(plan.id, None, uid=self.uid)

        return write

    def _booked(self, entry: Entry) -> None:
        if self.is_attached:
            self.dismiss(entry.text)

    def _refused(self, fault: Fault) -> None:
        self._booking = False
        self.query_one("#said", Static).update(fault.line())

    @on(Button.Pressed, "#leave")
    def action_leave(self) -> None:
        if not self._booking:
            self.dismiss(None)
