"""The fields of the fabric on the photograph in hand, and what was measured of it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from uuid import uuid4

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.message import Message
from textual.widgets import Input, Static

from stash.errors import Fault, UsageFault
from stash.lengths import Bare, read_length
from stash.model import Kind, Measured, NewFabric, NewPiece, NewSwatch
from stash.typed import read_pieces
from tui.dialogs.form import FieldLine, Tick
from tui.fields import Field, any_text, name_text, pieces_text
from tui.widgets.palette_bar import PaletteBar

LENGTH_HINT = "fq, 1/2 yd, 2 x fq, 50cm, 18 x 21"
EMPTY_LENGTH = "empty: not measured yet"
EMPTY_WIDTH = "usable width; empty: 40 in"


@dataclass(frozen=True, slots=True)
class Carried:
    """What the next fabric most often shares with the one before."""

    place: str = ""
    width: str = ""
    washed: bool = False


def pieces_from(text: str, width: str) -> tuple[NewPiece, ...]:
    """The pieces typed; `width` is that of yardage whose width is not typed with it, "" for the usual one.

    Raises UsageFault.
    """
    pieces: list[NewPiece] = []
    for group in re.split(r"[+;]", text):
        if group.strip():
            pieces += _group(group, width.strip())
    return tuple(pieces)


def _group(text: str, width: str) -> tuple[NewPiece, ...]:
    plain = read_pieces(text)
    if not width or plain[0].kind is not Kind.YARDAGE:
        return plain
    try:
        return read_pieces(text, width=width)
    except UsageFault:
        return plain  # both sides are typed; the width has its own field to be at fault in


def width_text(text: str) -> str:
    if text.strip():
        read_length(text, bare=Bare.PIECE)
    return ""


class FabricForm(VerticalScroll):
    """One form for all fabrics of an intake: `offer` fills it anew, `Saved` asks for the fabric to be recorded.

    `uid` is made when a fabric is offered, so that a second Enter never books it twice.
    """

    DEFAULT_CSS = """
    FabricForm { height: 1fr; width: 1fr; }
    FabricForm FieldLine .label { width: 8; }
    FabricForm FieldLine .under { padding-left: 8; }
    FabricForm FieldLine Input { background: $surface; }
    FabricForm FieldLine Input:focus { background: $primary 30%; }
    FabricForm #ticks { height: 1; padding-left: 7; }
    FabricForm #measured { margin-top: 1; }
    FabricForm #notes { height: auto; color: $text-muted; }
    """
    can_focus = False

    class Saved(Message):
        """Enter: everything typed is understood."""

        def __init__(self, new: NewFabric) -> None:
            self.new = new
            super().__init__()

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.uid = ""
        self._swatch: NewSwatch | None = None
        self._offered = ""
        self._taken: frozenset[str] = frozenset()

    def compose(self) -> ComposeResult:
        yield FieldLine(Field("name", "Name", self._name_read))
        yield FieldLine(Field("length", "Length", self._pieces, hint=LENGTH_HINT))
        yield FieldLine(Field("place", "Place", any_text))
        yield FieldLine(Field("width", "Width", width_text))
        with Horizontal(id="ticks"):
            yield Tick("washed", False, id="washed")
            yield Tick("one-way print", False, id="directional")
        yield PaletteBar(id="measured")
        yield Static("", id="notes", markup=False)

    def on_mount(self) -> None:
        for name, text in (("length", EMPTY_LENGTH), ("width", EMPTY_WIDTH), ("place", "shelf, box or drawer")):
            self._input(name).placeholder = text

    def _name_read(self, text: str) -> str:
        from stash.names import name_key

        name_text(text)
        if name_key(text) in self._taken:
            raise UsageFault("a fabric of that name is in the stash", do="Give this one another")
        return ""

    def _pieces(self, text: str) -> str:
        if not text.strip():
            return ""
        return pieces_text(pieces_from(text, self._input("width").value))

    def _input(self, name: str) -> Input:
        return self.query_one(f"#{name}", Input)

    # -- filling

    def offer(self, swatch: NewSwatch, name: str, carried: Carried, taken: frozenset[str]) -> None:
        """A fresh form with the cursor in the length. `taken` are the keys of names in the stash."""
        self.uid = uuid4().hex
        self._offered = name
        self._taken = taken
        for field, text in (("name", name), ("length", ""), ("place", carried.place), ("width", carried.width)):
            self._input(field).value = text
        self.query_one("#washed", Tick).value = carried.washed
        self.query_one("#directional", Tick).value = False
        self.show(swatch)
        for line in self.query(FieldLine):
            line.check(quiet=True)
        self.scroll_home(animate=False)
        self._input("length").focus()

    def show(self, swatch: NewSwatch) -> None:
        """What was measured, where it was measured anew: what is typed stays."""
        self._swatch = swatch
        said: Measured = swatch.measured
        self.query_one(PaletteBar).show(said)
        self.query_one("#notes", Static).update("\n".join(f"· {note}" for note in said.notes))

    def rename(self, name: str) -> None:
        """Another name is offered; one that the maker typed stays."""
        if self._input("name").value == self._offered:
            self._offered = name
            self._input("name").value = name

    def know(self, taken: frozenset[str]) -> None:
        """The names in the stash are others now."""
        self._taken = taken

    def refuse(self, fault: Fault) -> None:
        """The stash refused it: said under the name, and nothing is lost."""
        line = self.query(FieldLine).first()
        under = line.query_one(".under", Static)
        under.update(f"✗ {fault.line()}")
        under.display = True
        under.add_class("fault")
        self._input("name").focus()

    @property
    def typed(self) -> bool:
        """Something was typed that is not saved."""
        return bool(self._input("length").value.strip()) or self._input("name").value != self._offered

    @property
    def carried(self) -> Carried:
        return Carried(self._input("place").value, self._input("width").value, self.query_one("#washed", Tick).value)

    # -- what the maker does

    @on(Input.Changed)
    def _changed(self, event: Input.Changed) -> None:
        for line in self.query(FieldLine):
            if line.field.id == event.input.id or (line.field.id == "length" and event.input.id == "width"):
                line.check(quiet=True)

    def on_key(self, event: events.Key) -> None:
        # Enter on a tick saves too, as it does in a field.
        if event.key == "enter" and isinstance(self.screen.focused, Tick):
            event.stop()
            self.save()

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.save()

    def save(self) -> None:
        """Ask for the fabric to be recorded, or stay with the field that is not understood."""
        wrong = [line for line in self.query(FieldLine) if not line.check()]
        if wrong:
            wrong[0].query_one(Input).focus()
            return
        if self._swatch is None:
            return
        new = NewFabric(
            self._input("name").value.strip(),
            pieces_from(self._input("length").value, self._input("width").value),
            directional=self.query_one("#directional", Tick).value,
            washed=self.query_one("#washed", Tick).value,
            place=self._input("place").value.strip(),
            swatch=self._swatch,
        )
        self.post_message(self.Saved(new))
