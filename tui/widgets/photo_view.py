"""A whole photograph in half blocks with its boxes on it, which keys move and the mouse draws."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, ClassVar, cast

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import BindingType
from textual.message import Message
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from stash.model import Box
from tui.commands import bindings_for
from tui.terminal_colours import FEW, NONE, colours_of, shown
from tui.widgets.photo_boxes import (
    CLOTH,
    KINDS,
    LETTERS,
    Boxes,
    Size,
    between,
    box_words,
    holding,
    in_the_middle,
    moved,
    resized,
)
from tui.widgets.picture_pixels import picture_codes
from tui.widgets.star_picture import HalfCell, block_segments
from tui.widgets.swatch_picture import COARSER, NO_COLOURS, UNREADABLE

if TYPE_CHECKING:
    from tui.app import StarcoverApp

HAND, OTHER, DARK = "#ffd800", "#ffffff", "#000000"  # an outline is dashed in two colours: one of them always shows
KEYS = "Tab next box · arrows move · ⇧ arrows size"

Pixels = list[list[str]]


class PhotoView(Widget, can_focus=True):
    """Shows one photograph; while `editing`, one of its boxes is in hand."""

    DEFAULT_CSS = """
    PhotoView { width: 1fr; height: 1fr; color: $text-muted; }
    """
    ALLOW_SELECT = False
    HERE = "boxes"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for(HERE)

    boxes: reactive[Boxes] = reactive(Boxes(), init=False)
    hand: reactive[str] = reactive(CLOTH, init=False)
    editing: reactive[bool] = reactive(False, init=False)

    class Touched(Message):
        """A box was moved, drawn, taken away, or another one taken in hand."""

    class Measure(Message):
        """Enter: the boxes are where they should be."""

    class Begun(Message):
        """The mouse began to draw while nothing was being edited."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._data = b""
        self._counted: Size = (1, 1)
        self._pixels: Pixels = []
        self._said = ""
        self._start: tuple[float, float] | None = None
        self._lines: list[list[Segment]] | None = None

    def show(self, data: bytes, size: Size, boxes: Boxes) -> None:
        """Show a picture (JPEG or PNG) whose boxes are counted on `size`, width and height in px."""
        changed = data != self._data
        self._data, self._counted = data, size
        self.boxes = boxes
        if changed:
            self._pixels = []
            self._draw()
        self._again()

    # -- drawing

    def on_mount(self) -> None:
        self._draw()

    def on_resize(self) -> None:
        self._draw()

    def watch_boxes(self) -> None:
        self._again()

    def watch_hand(self) -> None:
        self._again()

    def watch_editing(self) -> None:
        self._again()

    def _again(self) -> None:
        self._lines = None
        self.refresh()

    def _draw(self) -> None:
        """Ask for the pixels on a thread; the newest question is the one that is answered."""
        data, colours = self._data, colours_of(self.app)
        if not data or not self.is_attached:
            return
        if colours == NONE:
            self._said = NO_COLOURS
            self._again()
            return
        width, height = self.size.width, self.size.height
        jobs = cast("StarcoverApp", self.app).jobs
        jobs.search(lambda: _pixels(data, width, height, colours), self._take, slot=f"photo {id(self)}", owner=self)

    def _take(self, pixels: Pixels | None) -> None:
        self._pixels = pixels or []
        self._said = UNREADABLE if pixels is None else ""
        self._again()

    def render_line(self, y: int) -> Strip:
        width, base = self.size.width, self.rich_style
        if self._lines is None:
            self._lines = self._made()
        left, top = self._corner()
        segments: list[Segment] = []
        if self._said or not self._pixels:
            words = self._words()
            segments = [Segment(words[y], base)] if y < len(words) else []
        elif 0 <= y - top < len(self._lines):
            segments = [Segment(" " * left, base), *self._lines[y - top]]
        return Strip(segments).adjust_cell_length(width, base)

    def _words(self) -> list[str]:
        """In place of a picture: why there is none, and where the boxes lie."""
        if not self._said:
            return []  # the picture is on its way
        boxes = [(kind, box) for kind in KINDS if (box := self.boxes.of(kind)) is not None]
        return [self._said, *(f"{kind} {box_words(box)}"[: self.size.width] for kind, box in boxes)]

    def _corner(self) -> tuple[int, int]:
        """Column and line of the picture's upper left cell."""
        if not self._pixels:
            return 0, 0
        wide, high = len(self._pixels[0]), len(self._pixels) // 2
        return max(0, (self.size.width - wide) // 2), max(0, (self.size.height - high) // 2)

    def _made(self) -> list[list[Segment]]:
        """The picture with the outlines on it, and at each box's corner its letter."""
        if not self._pixels:
            return []
        colours = colours_of(self.app)
        pixels = [list(row) for row in self._pixels]
        letters: dict[tuple[int, int], tuple[str, str]] = {}
        for kind in sorted(KINDS, key=lambda one: one == self.hand):
            box = self.boxes.of(kind)
            if box is None or (not self.editing and self._is_whole(box)):
                continue
            paint = HAND if self.editing and kind == self.hand else OTHER
            edges = self._edges(box)
            for x, y in _outline(*edges):
                pixels[y][x] = paint if (x + y) % 4 < 2 else DARK
            if self.editing:
                letters[edges[0], edges[1] // 2] = (LETTERS[kind], paint)
        lines = []
        for at, (upper, lower) in enumerate(zip(pixels[::2], pixels[1::2], strict=True)):
            cells = [HalfCell(*pair) for pair in zip(upper, lower, strict=True)]
            marks = {x: mark for (x, line), mark in letters.items() if line == at}
            lines.append(_lettered(cells, marks, colours))
        return lines

    def _is_whole(self, box: Box) -> bool:
        return box[2:] == self._counted

    def _edges(self, box: Box) -> tuple[int, int, int, int]:
        """Left, top, right and bottom of a box in pixels of the screen, all inside."""
        wide, high = len(self._pixels[0]), len(self._pixels)
        x, y = wide / self._counted[0], high / self._counted[1]
        left, top = min(wide - 1, int(box[0] * x + 0.5)), min(high - 1, int(box[1] * y + 0.5))
        right = max(left, min(wide, int((box[0] + box[2]) * x + 0.5)) - 1)
        return left, top, right, max(top, min(high, int((box[1] + box[3]) * y + 0.5)) - 1)

    # -- keys

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Its keys work while boxes are edited; otherwise Tab goes on as everywhere."""
        return self.editing if action in ("next", "move", "size", "away", "measure") else True

    def _step(self) -> tuple[int, int]:
        """A pixel of the screen in px of the picture."""
        wide, high = (len(self._pixels[0]), len(self._pixels)) if self._pixels else (40, 40)
        return max(1, round(self._counted[0] / wide)), max(1, round(self._counted[1] / high))

    def action_next(self, by: int) -> None:
        self.hand = KINDS[(KINDS.index(self.hand) + by) % len(KINDS)]
        self.post_message(self.Touched())

    def action_move(self, right: int, down: int) -> None:
        wide, high = self._step()
        self._change(lambda box: moved(box, right * wide, down * high, self._counted))

    def action_size(self, wider: int, higher: int) -> None:
        wide, high = self._step()
        self._change(lambda box: resized(box, wider * wide, higher * high, self._counted))

    def _change(self, change: Callable[[Box], Box]) -> None:
        """Change the box in hand; one that is not there is put down in the middle first."""
        box = self.boxes.of(self.hand)
        self._place(in_the_middle(self._counted) if box is None else change(box))

    def action_away(self) -> None:
        self.boxes = self.boxes.without(self.hand)
        self.post_message(self.Touched())

    def action_measure(self) -> None:
        self.post_message(self.Measure())

    def _place(self, box: Box) -> None:
        self.boxes = self.boxes.placed(self.hand, box)
        self.post_message(self.Touched())

    # -- mouse

    def _point(self, event: events.MouseEvent, far: bool) -> tuple[float, float] | None:
        """Where the mouse is on the picture in px; `far`: the far corner of its cell. None beside the picture."""
        if not self._pixels:
            return None
        left, top = self._corner()
        wide, high = len(self._pixels[0]), len(self._pixels)
        x, y = event.x - left + far, 2 * (event.y - top + far)
        return min(max(x, 0), wide) * self._counted[0] / wide, min(max(y, 0), high) * self._counted[1] / high

    def on_mouse_down(self, event: events.MouseDown) -> None:
        if event.button != 1 or not self._pixels:
            return
        self._start = self._point(event, False)
        self.capture_mouse()
        if not self.editing:
            self.post_message(self.Begun())

    def on_mouse_move(self, event: events.MouseMove) -> None:
        start, end = self._start, self._point(event, True)
        if start is not None and end is not None and self.editing:
            near = self._point(event, False) or end
            end = tuple(n if n < s else e for s, n, e in zip(start, near, end, strict=True))  # type: ignore[assignment]
            self._place(between(start, end, self._counted))

    def on_mouse_up(self, event: events.MouseUp) -> None:
        self.release_mouse()
        start, self._start = self._start, None
        end = self._point(event, False)
        if start is None or end is None:
            return
        if start == end:  # a click takes the box under it in hand
            kind = holding(self.boxes, *start)
            if kind:
                self.hand = kind
                self.post_message(self.Touched())


def _pixels(data: bytes, width: int, height: int, colours: str) -> Pixels | None:
    """The picture in `width` x `height` cells as rows of #rrggbb, two rows a cell; None where it cannot be read."""
    codes = picture_codes(data, width, 2 * height, False)
    if codes is None:
        return None
    if colours == FEW:
        codes &= COARSER
    return [[f"#{red:02x}{green:02x}{blue:02x}" for red, green, blue in row] for row in codes.tolist()]


def _outline(left: int, top: int, right: int, bottom: int) -> Iterator[tuple[int, int]]:
    for x in range(left, right + 1):
        yield x, top
        yield x, bottom
    for y in range(top + 1, bottom):
        yield left, y
        yield right, y


def _lettered(cells: list[HalfCell], marks: dict[int, tuple[str, str]], colours: str) -> list[Segment]:
    """A line of cells, with letters in place of some."""
    segments: list[Segment] = []
    start = 0
    for x in sorted(marks):
        letter, paint = marks[x]
        if x > start:
            segments += block_segments(cells[start:x], colours)
        segments.append(Segment(letter, Style(color=shown(DARK, colours), bgcolor=shown(paint, colours), bold=True)))
        start = x + 1
    return segments + (block_segments(cells[start:], colours) if start < len(cells) else [])
