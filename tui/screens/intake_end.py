"""What is said when an intake is over: how many fabrics were saved, and each photograph none was made of."""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Button, Static

from tui.screens.intake_queue import Queue


class EndPanel(Vertical):
    """A sentence, a line for each photograph passed over, and three doors."""

    DEFAULT_CSS = """
    EndPanel { height: 1fr; padding: 1 2; }
    EndPanel > Static { height: auto; margin-bottom: 1; }
    EndPanel VerticalScroll { height: 1fr; }
    EndPanel #lines { height: auto; }
    EndPanel #doors { height: 1; }
    EndPanel Button { margin-right: 1; }
    """

    def compose(self) -> ComposeResult:
        yield Static("", id="sum", markup=False)
        with VerticalScroll(can_focus=False):
            yield Static("", id="lines", markup=False)
        with Horizontal(id="doors"):
            yield Button("Which stars?", id="stars", action="screen.leave", variant="primary", compact=True)
            yield Button("To the stash", id="stash", action="screen.to_stash", compact=True)
            yield Button("More photographs", id="more", action="screen.more", compact=True)

    def on_key(self, event: events.Key) -> None:
        """A length typed ahead of a last photograph that never came (fq!) must not quit the program."""
        if event.is_printable and event.key not in ("u", "question_mark"):
            event.stop()

    def show(self, queue: Queue) -> None:
        self.query_one("#sum", Static).update(summary(queue))
        self.query_one("#lines", Static).update("\n".join(queue.lines()))
        self.query_one("#stars" if queue.saved else "#stash", Button).focus()


def summary(queue: Queue) -> str:
    """`5 fabrics were saved; u takes back the newest.`"""
    if not queue.saved:
        return "No fabric was saved."
    word = "fabric was" if queue.saved == 1 else "fabrics were"
    return f"{queue.saved} {word} saved. On the Stash screen u takes the newest back."
