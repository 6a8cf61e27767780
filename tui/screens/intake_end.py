"""What is said when an intake is over: how many fabrics were saved, and each photograph none was made of."""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Button, Static

from tui.commands import BY_ID
from tui.named_keys import key_of
from tui.screens.intake_queue import Queue

DOORS = (
    ("Which stars?", "stars", "leave", BY_ID["app.sizes"].help),
    ("To the stash", "stash", "to_stash", BY_ID["app.stash"].help),
    ("More photographs", "more", "more", "another folder, or another sheet of swatches"),
)


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
            for words, name, action, help_ in DOORS:
                button = Button(words, id=name, action=f"screen.{action}", compact=True, tooltip=help_)
                button.variant = "primary" if name == "stars" else "default"
                yield button

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
    return f"{queue.saved} {word} saved. On the Stash screen {key_of('app.undo')} takes the newest back."
