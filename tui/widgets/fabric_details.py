"""All that is known of one fabric: its colour in figures, its photograph, its pieces, and what happened to it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, cast

from rich.console import Group
from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Container, VerticalScroll
from textual.widgets import Static

from stash.colour.lab import hex_from_lab
from stash.colour.words import colour_words
from stash.model import Entry, Fabric
from stash.shelf import on_hand
from tui.fields import piece_text
from tui.terminal_colours import NONE, colours_of
from tui.when import local_time
from tui.widgets.chip import chip_segment, colour_figures
from tui.widgets.fabric_lines import one_line
from tui.widgets.look import chip_of
from tui.widgets.swatch_view import SwatchView
from tui.widgets.swatch_words import RELATIVE_WORDS
from tui.widgets.value_bar import bar, value_text

if TYPE_CHECKING:
    from tui.app import StarcoverApp

PATCH = 12
MOST_PIECES = 12
HISTORY_SHOWN = 20


class FabricDetails(VerticalScroll):
    """The details of a fabric; empty where there is none. Its picture and its history are fetched from the stash."""

    DEFAULT_CSS = """
    FabricDetails { padding: 0 1; background: $surface; scrollbar-size-vertical: 1; }
    FabricDetails:focus { background: $boost; }
    FabricDetails Static { height: auto; }
    FabricDetails #top { height: auto; }
    """

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._fabric: Fabric | None = None

    def compose(self) -> ComposeResult:
        with Container(id="top"):
            yield Static(id="facts", markup=False)
            yield SwatchView()
        yield Static(id="pieces", markup=False)
        yield Static(id="events", markup=False)

    def show(self, fabric: Fabric | None, mark: str = "") -> None:
        """Show a fabric as it is now."""
        if fabric is None or self._fabric is None or fabric.id != self._fabric.id:
            self.query_one("#events", Static).update("")
            self.scroll_home(animate=False)
        self._fabric = fabric
        colours = colours_of(self.app)
        self.query_one("#facts", Static).update(Group(facts(fabric, mark, colours)) if fabric else "")
        self.query_one(SwatchView).show(fabric)
        self.query_one("#pieces", Static).update(
            Group(palette_lines(fabric, colours).append_text(pieces(fabric)).append_text(words(fabric)))
            if fabric
            else ""
        )
        if fabric is not None:
            self._ask_history(fabric.id)

    def _ask_history(self, fabric_id: int) -> None:
        def show(entries: list[Entry]) -> None:
            if self._fabric is not None and self._fabric.id == fabric_id:
                self.query_one("#events", Static).update(history_text(entries))

        cast("StarcoverApp", self.app).jobs.store(
            lambda store: list(store.history(limit=HISTORY_SHOWN, fabric_id=fabric_id)),
            show,
            slot=f"history {id(self)}",
            owner=self,
        )


def history_text(entries: Sequence[Entry]) -> Text:
    """The newest entries of a fabric."""
    text = Text()
    if entries:
        text.append("History\n", "bold")
    for entry in entries:
        line = Text(f"{local_time(entry.at)}  {one_line(entry.text)}")
        if entry.undone:
            line.append("  undone", "italic")
        text.append_text(line).append("\n")
    return text


def facts(fabric: Fabric, mark: str, colours: str) -> Text:
    """The fabric's name, chips and figures, and what the star on the table says to it."""
    text = Text()
    text.append(one_line(fabric.name), "bold")
    if fabric.archived:
        text.append("  archived", "italic")
    text.append("\n")
    if fabric.colour is None:
        text.append("no colour yet\n")
    elif colours != NONE:
        _patches(text, fabric, colours)
    _figures(text, fabric)
    if mark:
        text.append(f"\nIn the star on the table: {mark}\n")
    return text


def _patches(text: Text, fabric: Fabric, colours: str) -> None:
    """Two lines of chip: the colour, and beside it the grey of its value."""
    chip = chip_of(fabric.colour)
    for label in ("", "value") if chip else ():
        left, right = chip_segment(chip, PATCH, colours), chip_segment(chip, PATCH, colours, grey=True, label=label)
        text.append(left.text, left.style or "").append(right.text, right.style or "").append("\n")


def _figures(text: Text, fabric: Fabric) -> None:
    colour = fabric.colour
    if colour is None:
        return
    text.append(f"{bar(colour.L, 2 * PATCH)} {value_text(colour.L, colour.relative)}\n")
    text.append(colour_figures(colour) + f"\n{colour_words(colour)}, {colour.source}")
    seen = fabric.measured
    if fabric.value_by_eye is not None:
        text.append(f"\n* value by eye {fabric.value_by_eye:.1f}")
        if seen is not None:
            text.append(f", {seen.source} {'~' if seen.relative else ''}{seen.L:.1f}  (= goes back)")
    if fabric.swatch is None and seen is not None and seen.relative:
        text.append(f"\n~ {RELATIVE_WORDS}")
    text.append("\n")


def palette_lines(fabric: Fabric, colours: str) -> Text:
    """The main colours of the cloth in figures and words, a line each, as its photograph has them."""
    text = Text()
    if fabric.swatch is None:
        return text
    text.append("\nMain colours\n", "bold")
    for one in fabric.swatch.palette:
        text.append(f"{round(100 * one.share):>4} %  ")
        if colours != NONE:
            patch = chip_segment(chip_of(one.colour), 3, colours)
            text.append(patch.text, patch.style or "").append(" ")
        value = value_text(one.colour.L, fabric.swatch.relative)
        text.append(f"{hex_from_lab(one.colour)}  {value:>3}  {colour_words(one.colour)}\n")
    for note in fabric.swatch.notes:
        text.append(f"{one_line(note)}\n")
    return text


def pieces(fabric: Fabric) -> Text:
    """What is on hand, and the pieces one by one."""
    text = Text().append("\nOn hand  ", "bold").append(on_hand(fabric) + "\n")
    for piece in fabric.pieces[:MOST_PIECES]:
        text.append(f"  {piece.id:>4}  {piece_text(piece)}\n")
    if len(fabric.pieces) > MOST_PIECES:
        text.append(f"        and {len(fabric.pieces) - MOST_PIECES} more\n")
    return text


def words(fabric: Fabric) -> Text:
    """Place, note, price and the like."""
    facts_known = [
        ("Place", fabric.place),
        ("Note", fabric.note),
        ("Price", f"{fabric.price} a yard" if fabric.price else ""),
        ("Washed", "yes" if fabric.washed else "no"),
        ("One-way print", "yes, cut across only" if fabric.directional else ""),
    ]
    text = Text("\n")
    for label, said in facts_known:
        if said:
            text.append(f"{label}  ", "bold").append(one_line(said) + "\n")
    return text
