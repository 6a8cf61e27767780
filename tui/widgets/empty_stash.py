"""What an empty stash shows: the ways to fill it."""

from __future__ import annotations

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Button, Static

from tui.commands import BY_ID
from tui.named_keys import key_of

WORDS = "Nothing is in this stash yet."


class EmptyStash(Vertical):
    """One key for each way to begin."""

    DEFAULT_CSS = """
    EmptyStash { align: center middle; height: 1fr; }
    EmptyStash Static { width: 72; height: auto; margin-bottom: 1; }
    EmptyStash Button { width: 72; content-align: left middle; text-align: left; }
    """

    def __init__(self, with_demo: bool) -> None:
        super().__init__()
        self._with_demo = with_demo

    def compose(self) -> ComposeResult:
        yield Static(WORDS, markup=False)
        photos = Text(f"{key_of('stash.intake')}  photos: take fabrics in from photographs, colour and value measured")
        yield Button(
            photos, action="screen.intake", compact=True, variant="primary", tooltip=BY_ID["stash.intake"].help
        )
        typed = Text(f"{key_of('stash.add')}  type: record the first fabric")
        yield Button(typed, action="screen.add", compact=True, tooltip=BY_ID["stash.add"].help)
        look_round = Text(f"{key_of('stash.demo')}  demo: look round in a stash that is thrown away")
        demo = Button(look_round, action="screen.demo", compact=True, tooltip=BY_ID["stash.demo"].help)
        demo.display = self._with_demo
        yield demo
        yield Static("A list kept elsewhere comes in with  starcover import FILE.csv", classes="quiet", markup=False)
