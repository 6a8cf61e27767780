"""A screen as an SVG picture of our own: one line of it to each line of the terminal, so that two can be compared.

It rests on what stands in the cells only: no fonts, names or numbers of the library that drew them.
"""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from itertools import groupby
from typing import NamedTuple

from rich.color import Color
from rich.segment import Segment
from textual.pilot import Pilot

WIDE, HIGH = 8, 16  # pixels of a cell
UPPER = "▀"  # a half block is drawn as its two halves, for runs of one colour are then one rectangle
INK, PAPER = "#e0e0e0", "#121212"  # where a cell says nothing


class Cell(NamedTuple):
    sign: str
    cells: int
    ink: str
    paper: str
    weight: str


def svg_of(pilot: Pilot[None]) -> str:
    """What stands on the terminal as SVG."""
    width, height = pilot.app.size
    strips = pilot.app.screen._compositor.render_strips()[:height]
    lines = [_line(y, [cell for segment in strip for cell in _cells(segment)]) for y, strip in enumerate(strips)]
    size = f"0 0 {width * WIDE} {height * HIGH}"
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{size}" font-family="monospace" font-size="13"'
    return "\n".join([f'{head} shape-rendering="crispEdges" xml:space="preserve">', *lines, "</svg>", ""])


def _cells(segment: Segment) -> Iterator[Cell]:
    style = segment.style
    if segment.control:
        return
    ink = _code(style.color if style else None, INK)
    paper = _code(style.bgcolor if style else None, PAPER)
    if style and style.reverse:
        ink, paper = paper, ink
    weight = ""
    if style:
        weight += ' font-weight="bold"' if style.bold else ""
        weight += ' font-style="italic"' if style.italic else ""
        weight += ' opacity=".6"' if style.dim else ""
        drawn = " ".join(["underline"] * bool(style.underline) + ["line-through"] * bool(style.strike))
        weight += f' text-decoration="{drawn}"' if drawn else ""
    for sign in segment.text:
        yield Cell(sign, Segment(sign).cell_length, ink, paper, weight)


def _code(color: Color | None, default: str) -> str:
    return default if color is None or color.is_default else color.get_truecolor().hex


def _line(y: int, cells: list[Cell]) -> str:
    """The two halves of the line's paper, then its words."""
    top = [(one.ink if one.sign == UPPER else one.paper, one.cells) for one in cells]
    bottom = [(one.paper, one.cells) for one in cells]
    if top == bottom:
        drawn = list(_rectangles(top, y * HIGH, HIGH))
    else:
        drawn = [*_rectangles(top, y * HIGH, HIGH // 2), *_rectangles(bottom, y * HIGH + HIGH // 2, HIGH // 2)]
    return "".join([*drawn, *_words(cells, y * HIGH + 12)])


def _rectangles(colours: list[tuple[str, int]], y: int, height: int) -> Iterator[str]:
    x = 0
    for colour, run in groupby(colours, key=lambda one: one[0]):
        cells = sum(width for _, width in run)
        yield f'<rect x="{x}" y="{y}" width="{cells * WIDE}" height="{height}" fill="{colour}"/>'
        x += cells * WIDE


def _words(cells: list[Cell], y: int) -> Iterator[str]:
    x = 0
    for (ink, weight), run in groupby(cells, key=lambda one: (one.ink, one.weight)):
        signs = list(run)
        text = "".join(" " if one.sign == UPPER else one.sign for one in signs)
        left = text.lstrip(" ")
        start = x + (len(text) - len(left)) * WIDE
        x += sum(one.cells for one in signs) * WIDE
        word = left.rstrip(" ")
        if word:
            length = sum(one.cells for one in signs[len(text) - len(left) :][: len(word)]) * WIDE
            yield f'<text x="{start}" y="{y}" textLength="{length}" fill="{ink}"{weight}>{escape(word)}</text>'
