"""What is to be asked of fabrics not measured yet, one after the other, scarcest first: yes, no, or a length."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar, cast
from uuid import uuid4

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.widgets import Button, Input, Static

from stash.errors import Fault
from stash.lengths import to_ticks
from stash.match.questions import question_text
from stash.model import Kind, NewPiece, Question, Star
from tui.commands import bindings_for
from tui.dialogs.base import Dialog
from tui.fields import all_pieces
from tui.widgets.fabric_lines import one_line
from tui.widgets.key_bar import KeyBar

if TYPE_CHECKING:
    from tui.app import StarcoverApp

YES = "a piece of just that size is booked, as an estimate"
NO = "it is left out of suggestions for every star, until something of it is recorded"
HELP = "y yes, about so much · n no · or type its length, as 3/8 yd, and Enter"


class QuestionsDialog(Dialog[int]):
    """Asks all of `questions`; gives how many were answered. Every answer is saved at once.

    `leave_out` is told the name of a fabric that is not there.
    """

    DEFAULT_CSS = """
    QuestionsDialog { align: center middle; background: $background 60%; }
    QuestionsDialog > Vertical { width: 70; max-width: 100%; height: auto; border: round $primary;
        background: $surface; padding: 0 1; border-title-color: $accent; }
    QuestionsDialog #question { margin: 1 0; }
    QuestionsDialog #fault { color: $text-error; height: auto; }
    QuestionsDialog Horizontal { height: 1; margin: 1 0; }
    QuestionsDialog Button { margin-right: 2; }
    QuestionsDialog .help { color: $text-muted; }
    """
    HERE = "questions"
    TITLE = "Not measured yet"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for(HERE)

    def __init__(self, star: Star, questions: Sequence[Question], leave_out: Callable[[str], None]) -> None:
        super().__init__()
        self._star = star
        self._questions = list(questions)
        self._leave_out = leave_out
        self._at = 0
        self._saving = False

    @property
    def main(self) -> StarcoverApp:
        return cast("StarcoverApp", self.app)

    @property
    def question(self) -> Question:
        return self._questions[self._at]

    @property
    def _over(self) -> bool:
        """All is answered; a key that was pressed before this closed answers nothing more."""
        return self._at >= len(self._questions)

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = "Not measured yet"
            yield Static("", id="question", markup=False)
            yield Input(placeholder="y, n, or a length", id="answer", compact=True)
            yield Static("", id="fault", markup=False)
            with Horizontal():
                yield Button("Yes, about so much", id="yes", compact=True, tooltip=YES)
                yield Button("No", id="no", compact=True, tooltip=NO)
            yield Static(HELP, classes="help", markup=False)
            yield KeyBar(self.HERE)

    def on_mount(self) -> None:
        self._ask()

    def _ask(self) -> None:
        text = Text(f"{self._at + 1} of {len(self._questions)}   ", "dim")
        text.append(one_line(question_text(self._star, self.question)))
        self.query_one("#question", Static).update(text)
        self.query_one("#fault", Static).update("")
        answer = self.query_one("#answer", Input)
        answer.value = ""
        answer.focus()

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        word = event.value.strip().lower()
        self.query_one("#fault", Static).update("")
        if word == "y":
            self.say_yes()
        elif word == "n":
            self.say_no()

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        try:
            pieces = all_pieces(event.value)
            if not pieces:
                raise Fault("nothing is typed", do="type y, n, or a length such as 3/8 yd")
        except Fault as fault:
            self.query_one("#fault", Static).update(fault.line())
            return
        self._record(pieces)

    @on(Button.Pressed, "#yes")
    def say_yes(self) -> None:
        """She has about what is asked for: an estimated piece of just that size."""
        if self._over:
            return
        one = self.question
        self._record((NewPiece(Kind.YARDAGE, to_ticks(one.length), to_ticks(one.width), estimated=True),))

    @on(Button.Pressed, "#no")
    def say_no(self) -> None:
        """It is not there: it is left out of suggestions for every star of this sitting."""
        if self._saving or self._over:
            return
        self._leave_out(self.question.fabric.name)
        self._next()

    def _record(self, pieces: tuple[NewPiece, ...]) -> None:
        if self._saving or self._over:
            return
        self._saving = True
        fabric, uid = self.question.fabric, uuid4().hex

        def failed(fault: Fault) -> None:
            self._saving = False
            self.query_one("#fault", Static).update(fault.line())

        def done(_: object) -> None:
            self._saving = False
            self._next()

        self.main.save(lambda store: store.bought(fabric.id, pieces, uid=uid), done, failed)

    def _next(self) -> None:
        self._at += 1
        if self._at < len(self._questions):
            self._ask()
        else:
            self.dismiss(self._at)

    def action_leave(self) -> None:
        """Leave. While an answer is on its way to the stash, that one still counts, and nothing further is asked."""
        if self._saving:
            del self._questions[self._at + 1 :]
        else:
            self.dismiss(self._at)
