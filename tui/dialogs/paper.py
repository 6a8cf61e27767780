"""What is to be written to a file, shown as it will be: pages one by one, the star, or the list for the shop."""

from __future__ import annotations

import os
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Button, Input, Static

from stash.errors import Fault
from stash.files import expanded, refuse_target, try_target, write_whole
from stash.inventory.store import Store
from tui.commands import BY_ID, bindings_for
from tui.dialogs.base import Dialog
from tui.named_keys import key_of
from tui.screens.printing import (
    KINDS,
    PAPERS,
    Printed,
    Ready,
    contents,
    keep_plan,
    kind_of,
    make_ready,
    not_drawn,
    offered_path,
)
from tui.terminal_colours import NONE, colours_of
from tui.widgets.fabric_lines import one_line
from tui.widgets.key_bar import KeyBar
from tui.widgets.page_pixels import LARGEST, Sight, page_png, page_texts
from tui.widgets.sharp_picture import cell_pixels, sharp_widget
from tui.widgets.swatch_picture import SwatchPicture

if TYPE_CHECKING:
    from tui.app import StarcoverApp

BUTTONS = {
    "before": ("‹", "page_before"), "after": ("›", "page_after"), "larger": ("+", "larger"),
    "smaller": ("−", "smaller"), "write": ("Write", "write"),
}  # fmt: skip
"""Label and command of each, by id."""
DRAWING = "Drawing the pages …"
WRITING = "The file is being written …"
KEEPS = ". Its cuts are kept as plan {}: their cloth is held for this star until it is cut or let go on Cutting"


class PaperDialog(Dialog[str | None]):
    """The answer is what was written, as a sentence; None where the maker left."""

    DEFAULT_CSS = """
    PaperDialog { align: center middle; background: $background 60%; }
    PaperDialog > Vertical { width: 100%; height: 100%; border: round $primary; background: $surface; padding: 0 1;
        border-title-color: $accent; }
    PaperDialog #page { height: 1fr; }
    PaperDialog #text { height: 1fr; display: none; }
    PaperDialog.-text #page { display: none; }
    PaperDialog.-text #text { display: block; }
    PaperDialog #which { height: 1; color: $text-muted; text-align: center; text-wrap: nowrap;
        text-overflow: ellipsis; }
    PaperDialog .row { height: 1; }
    PaperDialog .label { width: 6; color: $text-muted; }
    PaperDialog Input { width: 1fr; background: $boost; }
    PaperDialog Input:focus { background: $primary 30%; }
    PaperDialog Button { min-width: 4; margin-left: 1; }
    PaperDialog #fault { color: $text-error; height: auto; max-height: 2; display: none; }
    PaperDialog.-fault #fault { display: block; }
    """
    HERE = "paper"
    TITLE = "Print"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for(HERE)

    def __init__(self, printed: Printed) -> None:
        super().__init__()
        self._printed = printed
        self._ready: Ready | None = None
        self._pdf = b""
        self._texts: tuple[str, ...] = ()
        self._sight = Sight()
        self._kind = ".pdf"
        self._replace = ""  # the file that Enter, pressed again, writes over
        self._writing = False

    @property
    def main(self) -> StarcoverApp:
        return cast("StarcoverApp", self.app)

    def compose(self) -> ComposeResult:
        path = offered_path(self._printed.saved.name)
        with Vertical() as box:
            box.border_title = Text(f"Print {one_line(self._printed.saved.name)}").markup
            yield SwatchPicture(id="page")
            with VerticalScroll(id="text"):
                yield Static("", id="list", markup=False)
            yield Static(DRAWING, id="which", markup=False)
            with Horizontal(classes="row"):
                yield Static("file", classes="label", markup=False)
                yield Input(path.name if self.app.is_web else str(path), id="path", compact=True, select_on_focus=False)
                for name, (label, command) in BUTTONS.items():
                    yield Button(label, id=name, compact=True, tooltip=BY_ID[f"paper.{command}"].help)
            yield Static("", id="fault", markup=False)
            yield KeyBar(self.HERE)

    def on_mount(self) -> None:
        field = self.query_one("#path", Input)
        field.focus()
        field.cursor_position = len(field.value)
        self.main.jobs.store(lambda store: make_ready(store, self._printed), self._begin, self._refused, owner=self)

    def _begin(self, ready: Ready) -> None:
        self._ready = ready
        self._show()

    # -- what is seen

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        self._say("")
        if event.value.strip() != self._replace:
            self._replace = ""  # another name: that file is asked about again
        try:
            kind = kind_of(event.value)
        except Fault:
            return
        if kind != self._kind:
            self._kind, self._sight = kind, Sight()
            self._show()

    def on_resize(self) -> None:
        self.call_after_refresh(self._show)

    def _show(self) -> None:
        """Ask for what is seen of the file that the path's ending stands for."""
        ready, kind, sight = self._ready, self._kind, self._sight
        if ready is None:
            return
        pdf, texts = self._pdf, self._texts
        pane = self._pane()

        def draw() -> tuple[bytes, bytes, tuple[str, ...]]:
            if kind != ".pdf":
                return pdf, contents(ready, kind), texts
            pages = pdf or contents(ready, kind)
            return pages, page_png(pages, sight, pane), texts or page_texts(pages)

        def take(drawn: tuple[bytes, bytes, tuple[str, ...]]) -> None:
            self._pdf, data, self._texts = drawn
            words = data.decode() if kind == ".txt" else self._texts[sight.page] if kind == ".pdf" else ""
            in_words = kind == ".txt" or (kind == ".pdf" and colours_of(self.app) == NONE)
            self.set_class(in_words, "-text")
            if in_words:
                self.query_one("#list", Static).update(words)
            else:
                self.query_one("#page", SwatchPicture).show(data)
            self.query_one("#which", Static).update(self._which(kind))

        self.main.jobs.search(draw, take, self._refused, slot="paper", owner=self, long=True)

    def _pane(self) -> tuple[int, int]:
        """Pixels of the pane: half blocks are two a cell, real ones as many as the terminal has."""
        wide, high = self.query_one("#page", SwatchPicture).size
        across, down = cell_pixels() if sharp_widget() is not None else (1, 2)
        return max(8, wide * across), max(8, high * down)

    def _which(self, kind: str) -> str:
        if kind == ".txt":
            return "the shop's list"
        if kind == ".png":
            return "the star as a picture"
        page = self._sight.page
        larger = f", {self._sight.times} times as large" if self._sight.times > 1 else ""
        title = self._texts[page].partition("\n")[0].rpartition(": ")[2]
        return f"page {page + 1} of {len(self._texts)}, {PAPERS[self._printed.paper]}: {title}{larger}"

    def action_size(self) -> None:
        """The pages on the other paper, and so all that is printed until the program is closed."""
        if self._ready is None or self._kind != ".pdf" or self._writing:
            return
        other = self.main.desk.paper = next(one for one in PAPERS if one != self._printed.paper)
        self._printed = replace(self._printed, chosen=other)
        self._ready = replace(self._ready, paper=other)
        self._pdf, self._texts, self._sight = b"", (), Sight()
        self.query_one("#which", Static).update(DRAWING)
        self._show()

    def action_turn(self, step: int) -> None:
        """Another page, looked at whole."""
        page = self._sight.page + step
        if self._kind == ".pdf" and 0 <= page < len(self._texts):
            self._sight = replace(self._sight, page=page, across=0.0, down=0.0)
            self._show()

    def action_larger(self) -> None:
        self._enlarge(min(LARGEST, self._sight.times * 2))

    def action_smaller(self) -> None:
        self._enlarge(max(1, self._sight.times // 2))

    def _enlarge(self, times: int) -> None:
        if self._kind == ".pdf" and times != self._sight.times:
            self._sight = self._sight.enlarged(times)
            self._show()

    def action_move(self, across: int, down: int) -> None:
        """Look at what is beside."""
        if self.has_class("-text"):
            self.query_one("#text", VerticalScroll).scroll_relative(y=down * 3, animate=False)
            return
        self._sight = self._sight.moved(across, down)
        self._show()

    @on(Button.Pressed)
    def _pressed(self, event: Button.Pressed) -> None:
        if event.button.id == "write":
            self.action_write()
        elif event.button.id in ("before", "after"):
            self.action_turn(1 if event.button.id == "after" else -1)
        elif event.button.id == "larger":
            self.action_larger()
        else:
            self.action_smaller()

    # -- writing

    @on(Input.Submitted)
    def action_write(self) -> None:
        ready, text = self._ready, self.query_one("#path", Input).value.strip()
        if ready is None or self._writing:
            self._say("The pages are still being drawn" if ready is None else WRITING)
            return
        try:
            kind = kind_of(text)
            if not self.app.is_web and not self._may_write(text):
                return
        except Fault as fault:
            self._say(fault.line())
            return
        self._writing = True
        self._say(WRITING)

        def write(store: Store) -> tuple[str, bytes]:
            if not self.app.is_web:
                try_target(text, overwrite=self._replace == text)  # no plan is kept for a page that cannot be written
            kept = keep_plan(store, self._printed, ready) if kind == ".pdf" else ready
            data = contents(kept, kind)
            if self.app.is_web:
                return f"{Path(text).name} goes to your browser{not_drawn(kept, kind)}", data
            path = write_whole(text, lambda file: file.write(data), overwrite=self._replace == text).absolute()
            keeps = KEEPS.format(kept.job.plan) if kept.job.plan != ready.job.plan else ""
            return f"Wrote {path}{not_drawn(kept, kind)}{keeps}", b""

        def done(written: tuple[str, bytes]) -> None:
            said, data = written
            if data:
                self.app.deliver_binary(BytesIO(data), save_filename=Path(text).name, mime_type=KINDS[kind])
            self.dismiss(said)

        self.main.save(write, done, self._not_written)

    def _may_write(self, text: str) -> bool:
        """Whether the file is a new one, or Enter was pressed again on one that is there. Raises Fault for what is
        never written over."""
        path = expanded(Path(text))
        refuse_target(path, overwrite=True)
        if os.path.lexists(path) and self._replace != text:
            self._replace = text
            self._say(f"{path.name} is there already: {key_of('paper.write')} again writes over it")
            return False
        return True

    def _not_written(self, fault: Fault) -> None:
        self._writing = False
        self._say(fault.line())

    def _refused(self, fault: Fault) -> None:
        self._say(fault.line())

    def _say(self, text: str) -> None:
        self.query_one("#fault", Static).update(text)
        self.set_class(bool(text), "-fault")

    def action_leave(self) -> None:
        if self._writing:
            self._say(WRITING)
        else:
            self.dismiss(None)
