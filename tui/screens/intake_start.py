"""Where an intake begins: which photographs, and how the light is told from them."""

from __future__ import annotations

import asyncio
from enum import StrEnum
from pathlib import Path

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.suggester import Suggester
from textual.widgets import Button, Input, RadioButton, RadioSet, Static

from stash.errors import UsageFault
from stash.lengths import shown
from tui.commands import BY_ID

MOST_ENTRIES = 2_000  # of a folder, looked through for a completion


class Way(StrEnum):
    """What in the photographs tells the light."""

    PAPER = "paper"
    SHEET = "sheet"
    WHITE = "white"
    GREY = "grey"
    NONE = "none"


WAYS = {
    Way.PAPER: "one fabric on a sheet of paper, with paper to be seen all round it",
    Way.SHEET: "a sheet: many swatches on one sheet of paper",
    Way.WHITE: "a white patch in the picture; you show where",
    Way.GREY: "a grey card in the picture; you show where",
    Way.NONE: "nothing: values are relative, good for order within one photograph",
}
WORDS = (
    "Each photograph becomes a fabric: its colour and value are measured, you say how much there is of it and press "
    "Enter. Photographs that the stash has are passed over."
)
BEGIN = "measure the photographs of that folder, one after the other, and show each that is done"
LEAST_GIVEN = 5  # per cent: what gives back less tells no light
GIVES = "% of the light; empty: white paper (88), grey card (18)"
HINT = "A folder, or one file. → takes the name offered."


class FolderSuggester(Suggester):
    """Offers the rest of a folder's or a photograph's name."""

    def __init__(self) -> None:
        super().__init__(use_cache=False, case_sensitive=True)

    async def get_suggestion(self, value: str) -> str | None:
        return await asyncio.to_thread(completed, value)


def completed(text: str) -> str | None:
    """`text` with the first folder or picture in its place that begins so; None where there is none."""
    from stash.intake.files import SUFFIXES

    head, cut, start = text.rpartition("/")
    if not cut or not start:
        return None
    found = []
    try:
        for at, entry in enumerate(Path(head + "/").expanduser().iterdir()):
            if at > MOST_ENTRIES:
                break
            if entry.name.startswith(start) and (entry.is_dir() or entry.suffix.lower() in SUFFIXES):
                found.append(entry.name + "/" * entry.is_dir())
    except (OSError, ValueError, RuntimeError):
        return None
    return f"{head}/{min(found)}" if found else None


def path_from(text: str) -> Path:
    """The path typed or pasted: quotes round it, as file managers write them, are taken off, and ~ is home."""
    plain = text.strip()
    if len(plain) > 1 and plain[0] == plain[-1] and plain[0] in "'\"":
        plain = plain[1:-1]
    try:
        return Path(plain).expanduser()
    except RuntimeError:  # no such user's home
        return Path(plain)


def part_from(text: str) -> float | None:
    """How much light a sheet or patch gives back, typed as per cent, as a part of 1; None where nothing is typed."""
    plain = text.strip().removesuffix("%").strip()
    if not plain:
        return None
    try:
        percent = float(plain)
    except ValueError:
        percent = 0.0
    if not LEAST_GIVEN <= percent <= 100:
        raise UsageFault(f"{shown(text)} is not how much it gives back", do=f"type {LEAST_GIVEN} to 100, or nothing")
    return percent / 100


class Choice(RadioButton):
    """One of several; the chosen one is told by its sign, not by colour alone."""

    @property
    def BUTTON_INNER(self) -> str:  # type: ignore[override]  # noqa: N802
        return "●" if self.value else " "


class StartPanel(Vertical):
    """Asks; `Begin` is the answer. What was typed stays for the next time."""

    DEFAULT_CSS = """
    StartPanel { align: center middle; height: 1fr; }
    StartPanel > * { width: 72; max-width: 100%; height: auto; }
    StartPanel #words { margin-bottom: 1; }
    StartPanel Horizontal { height: 1; }
    StartPanel .label { width: 15; color: $text-muted; }
    StartPanel Input { width: 1fr; background: $boost; }
    StartPanel Input:focus { background: $primary 30%; }
    StartPanel #hint { color: $text-muted; padding-left: 15; margin-bottom: 1; min-height: 1; }
    StartPanel #hint.fault { color: $text-error; }
    StartPanel RadioSet { width: 72; border: none; background: transparent; padding: 0; }
    StartPanel RadioSet:focus { border: none; background-tint: $foreground 0%; }
    StartPanel #doors { margin-top: 1; }
    StartPanel #doors Button { margin-right: 1; }
    """

    class Begin(Message):
        """The maker said which photographs and how."""

        def __init__(self, path: Path, way: Way, gives: float | None) -> None:
            """`gives`: how much light the paper or the patch gives back, 0 to 1; None: the usual one."""
            self.path = path
            self.way = way
            self.gives = gives
            super().__init__()

    def compose(self) -> ComposeResult:
        yield Static(WORDS, id="words", markup=False)
        with Horizontal():
            yield Static("Photographs", classes="label", markup=False)
            yield Input(id="path", compact=True, suggester=FolderSuggester(), select_on_focus=False)
        yield Static(HINT, id="hint", markup=False)
        yield Static("What tells the light?", classes="quiet", markup=False)
        with RadioSet(id="way", compact=True):
            for way, words in WAYS.items():
                yield Choice(Text(words), way is Way.PAPER, name=way, compact=True)
        with Horizontal():
            yield Static("It gives back", classes="label", markup=False)
            yield Input(id="gives", compact=True, placeholder=GIVES)
        with Horizontal(id="doors"):
            yield Button("Measure", id="begin", variant="primary", compact=True, tooltip=BEGIN)
            yield Button("Leave", id="leave", action="screen.leave", compact=True, tooltip=BY_ID["intake.leave"].help)

    @property
    def way(self) -> Way:
        pressed = self.query_one(RadioSet).pressed_button
        return Way(pressed.name) if pressed is not None and pressed.name else Way.PAPER

    def begin_typing(self) -> None:
        self.query_one("#path", Input).focus()

    def say(self, text: str) -> None:
        """A fault under the path, "" for none."""
        hint = self.query_one("#hint", Static)
        hint.update(f"✗ {text}" if text else HINT)
        hint.set_class(bool(text), "fault")

    @on(Input.Changed)
    def _typed(self) -> None:
        self.say("")

    @on(Input.Submitted)
    @on(Button.Pressed, "#begin")
    def _begin(self) -> None:
        text = self.query_one("#path", Input).value
        if not text.strip():
            self.say("Name the folder your photographs are in")
            self.begin_typing()
            return
        try:
            if self.way is Way.NONE and self.query_one("#gives", Input).value.strip():
                raise UsageFault("nothing tells the light, so nothing gives it back", do="leave that empty")
            gives = part_from(self.query_one("#gives", Input).value)
        except UsageFault as fault:
            self.say(fault.line())
            self.query_one("#gives", Input).focus()
            return
        self.post_message(self.Begin(path_from(text), self.way, gives))
