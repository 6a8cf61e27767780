"""The picture of a fabric in half blocks, two pixels a cell; in real pixels where the terminal has them."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from rich.segment import Segment
from textual.app import ComposeResult
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from stash.model import Colour
from tui.terminal_colours import FEW, NONE, colours_of
from tui.widgets.picture_pixels import picture_codes, picture_image
from tui.widgets.sharp_picture import cell_pixels, sharp_widget
from tui.widgets.star_picture import HalfCell, block_segments

if TYPE_CHECKING:
    from PIL import Image

    from tui.app import StarcoverApp
    from tui.widgets.picture_pixels import Codes

Lines = list[list[Segment]]
NO_COLOURS = "no picture: too few colours"
UNREADABLE = "the picture cannot be read"
COARSER = 0xFC  # 64 steps a channel: among 256 colours nobody sees finer ones, and there are fewer to look up


class SwatchPicture(Widget, can_focus=False):
    """Shows one JPEG or PNG as large as it goes, centred; in colour or, `in_grey`, in the grey of its values.

    What takes time (decoding, scaling) is done on a thread.
    """

    DEFAULT_CSS = """
    SwatchPicture { height: 8; width: 1fr; color: $text-muted; align-horizontal: center; }
    SwatchPicture.-words { height: 1; }
    SwatchPicture > * { width: auto; height: auto; }
    """
    ALLOW_SELECT = False

    in_grey: reactive[bool] = reactive(False, init=False)

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._data: bytes | None = None
        self._colour: Colour | None = None
        self._lines: Lines = []
        self._said = ""
        sharp = sharp_widget()
        self._sharp = sharp() if sharp is not None else None

    def compose(self) -> ComposeResult:
        if self._sharp is not None:
            yield self._sharp

    def show(self, data: bytes | None, colour: Colour | None = None) -> None:
        """Show this picture, None for nothing. With `colour`, what was measured, its mean light is made that colour."""
        if (data, colour) == (self._data, self._colour):
            return
        self._data, self._colour = data, colour
        self._set([], "")
        self._draw()

    def on_mount(self) -> None:
        self._draw()

    def on_resize(self) -> None:
        self._draw()

    def watch_in_grey(self) -> None:
        self._draw()

    def _draw(self) -> None:
        """Ask for the pixels; the newest question is the one that is answered."""
        colours, data, colour = colours_of(self.app), self._data, self._colour
        self.set_class(colours == NONE, "-words")
        if data is None or not self.is_attached:
            return
        if colours == NONE:
            self._set([], NO_COLOURS)
            return
        width, height, grey = self.size.width, self.size.height, self.in_grey
        jobs, slot = cast("StarcoverApp", self.app).jobs, f"swatch {id(self)}"
        if self._sharp is not None:
            wide, high = cell_pixels()
            jobs.search(
                lambda: picture_image(data, width * wide, height * high, grey, colour),
                self._take_image,
                slot=slot,
                owner=self,
            )
        else:
            jobs.search(
                lambda: half_lines(data, width, height, grey, colours, colour), self._set, slot=slot, owner=self
            )

    def _take_image(self, image: Image.Image | None) -> None:
        if self._sharp is not None:
            self._sharp.image = image
        self._set([], "" if image is not None else UNREADABLE)

    def _set(self, lines: Lines | None, said: str = "") -> None:
        self._lines = lines or []
        self._said = UNREADABLE if lines is None else said
        self.refresh()

    def render_line(self, y: int) -> Strip:
        width, base = self.size.width, self.rich_style
        top = max(0, (self.size.height - len(self._lines)) // 2)
        if self._said:
            segments = [Segment(self._said, base)] if y == 0 else []
        elif 0 <= y - top < len(self._lines):
            line = self._lines[y - top]
            left = max(0, (width - sum(len(segment.text) for segment in line)) // 2)
            segments = [Segment(" " * left, base), *line]
        else:
            segments = []
        return Strip(segments).adjust_cell_length(width, base)


def half_lines(
    data: bytes, columns: int, lines: int, in_grey: bool, colours: str, colour: Colour | None = None
) -> Lines | None:
    """A picture in at most `columns` x `lines` cells; None where it cannot be read. Call it on a thread."""
    codes = picture_codes(data, columns, 2 * lines, in_grey, colour)
    if codes is None:
        return None
    if colours == FEW:
        codes &= COARSER
    return [block_segments(line, colours) for line in _cells(codes)]


def _cells(codes: Codes) -> list[list[HalfCell]]:
    pixels = [[f"#{red:02x}{green:02x}{blue:02x}" for red, green, blue in row] for row in codes.tolist()]
    return [
        [HalfCell(*pair) for pair in zip(upper, lower, strict=True)]
        for upper, lower in zip(pixels[::2], pixels[1::2], strict=True)
    ]
