"""All that is known of one fabric: its colour in figures, its pieces, and what happened to it."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.text import Text
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from stash.colour.lab import hue_word
from stash.model import Entry, Fabric
from stash.shelf import on_hand
from tui.fields import piece_text
from tui.when import local_time
from tui.widgets.chip import chip_segment, colour_words, shows_colours
from tui.widgets.fabric_lines import one_line
from tui.widgets.look import chip_of
from tui.widgets.value_bar import bar

PATCH = 12
MOST_PIECES = 12


class FabricDetails(VerticalScroll):
    """The details of a fabric; empty where there is none."""

    DEFAULT_CSS = """
    FabricDetails { padding: 0 1; background: $surface; scrollbar-size-vertical: 1; }
    FabricDetails:focus { background: $boost; }
    FabricDetails Static { height: auto; }
    """

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._fabric: Fabric | None = None

    def compose(self) -> ComposeResult:
        yield Static(id="facts", markup=False)
        yield Static(id="events", markup=False)

    def show(self, fabric: Fabric | None, mark: str = "") -> None:
        """Show a fabric; its history is given apart, with `show_history`."""
        if fabric is None or self._fabric is None or fabric.id != self._fabric.id:
            self.query_one("#events", Static).update("")
            self.scroll_home(animate=False)
        self._fabric = fabric
        self.query_one("#facts", Static).update(facts(fabric, mark, shows_colours(self.app)) if fabric else "")

    def show_history(self, fabric_id: int, entries: Sequence[Entry]) -> None:
        """Its newest entries, if that fabric is still the one shown."""
        if self._fabric is None or self._fabric.id != fabric_id:
            return
        text = Text().append("History\n", "bold")
        for entry in entries:
            line = Text(f"{local_time(entry.at)}  {one_line(entry.text)}")
            if entry.undone:
                line.append("  undone", "italic")
            text.append_text(line).append("\n")
        self.query_one("#events", Static).update(text if entries else "")


def facts(fabric: Fabric, mark: str = "", chips: bool = True) -> RenderableType:
    """The fabric's name, chips, figures and pieces."""
    text = Text()
    text.append(one_line(fabric.name), "bold")
    if fabric.archived:
        text.append("  archived", "italic")
    text.append("\n")
    if fabric.colour is None:
        text.append("no colour yet\n")
    elif chips:
        _patches(text, fabric)
    _figures(text, fabric)
    if mark:
        text.append(f"\nIn the star on the table: {mark}\n")
    text.append("\nOn hand  ", "bold").append(on_hand(fabric) + "\n")
    for piece in fabric.pieces[:MOST_PIECES]:
        text.append(f"  {piece.id:>4}  {piece_text(piece)}\n")
    if len(fabric.pieces) > MOST_PIECES:
        text.append(f"        and {len(fabric.pieces) - MOST_PIECES} more\n")
    return Group(text, _words(fabric))


def _patches(text: Text, fabric: Fabric) -> None:
    """Two lines of chip: the colour, and beside it the grey of its value."""
    chip = chip_of(fabric.colour)
    for label in ("", "value") if chip else ():
        left, right = chip_segment(chip, PATCH), chip_segment(chip, PATCH, grey=True, label=label)
        text.append(left.text, left.style or "").append(right.text, right.style or "").append("\n")


def _figures(text: Text, fabric: Fabric) -> None:
    colour = fabric.colour
    if colour is None:
        return
    text.append(f"{bar(colour.L, 2 * PATCH)} {colour.L:.0f}\n")
    text.append(colour_words(colour) + f"\n{hue_word(colour)}, {colour.source}")
    if fabric.value_by_eye is not None:
        text.append(f"\n* value by eye {fabric.value_by_eye:.1f}")
        if fabric.measured is not None:
            text.append(f", {fabric.measured.source} {fabric.measured.L:.1f}  (= goes back)")
    text.append("\n")


def _words(fabric: Fabric) -> Text:
    facts_known = [
        ("Place", fabric.place),
        ("Note", fabric.note),
        ("Price", f"{fabric.price} a yard" if fabric.price else ""),
        ("Washed", "yes" if fabric.washed else "no"),
        ("One-way print", "yes, cut across only" if fabric.directional else ""),
    ]
    text = Text()
    for label, said in facts_known:
        if said:
            text.append(f"{label}  ", "bold").append(one_line(said) + "\n")
    return text
