"""Pages of paper: their size and margins, a head and a foot, and text that never runs over an edge."""

from __future__ import annotations

from typing import Any, BinaryIO

from stash.errors import UsageFault
from stash.sheets.fonts import page_font, printable, runs, shortened, text_width

INCH = 72.0  # points
SIZES = {"letter": (8.5 * INCH, 11 * INCH), "a4": (210 / 25.4 * INCH, 297 / 25.4 * INCH)}
MARGIN = 0.6 * INCH
BOX = 8.0  # points a side
SMALLEST = 6.0  # points: a line that would need smaller letters is cut, with an ellipsis

Rgb = tuple[int, int, int]


class Paper:
    """A document being drawn. `y` is where the next line stands; `total` pages are said in the foot."""

    def __init__(self, file: BinaryIO, size: str, head: str, foot: str, total: int) -> None:
        """`head` stands on top of every page, `foot` below. Raises UsageFault for a size that is not known."""
        from reportlab.pdfgen.canvas import Canvas

        if size not in SIZES:
            raise UsageFault(f'"{size}" is no paper that is known here', do=f"use one of {', '.join(SIZES)}")
        self.width, self.height = SIZES[size]
        self.canvas: Any = Canvas(file, pagesize=(self.width, self.height), pageCompression=1)
        self.canvas.setTitle(printable(head))
        self.canvas.setCreator("starcover")
        self._head, self._foot, self._total = head, foot, total
        self._title = ""
        self.pages = 0
        self.y = 0.0

    @property
    def left(self) -> float:
        """Where lines begin, points."""
        return MARGIN

    @property
    def right(self) -> float:
        """Where lines end, points."""
        return self.width - MARGIN

    @property
    def bottom(self) -> float:
        """The lowest place for a line, above the foot, points."""
        return MARGIN + 14

    def page(self, title: str) -> None:
        """Begin a page."""
        if self.pages:
            self.canvas.showPage()
        self.pages += 1
        self._title = title
        self.y = self.height - MARGIN
        most = self.right - self.left - text_width(printable(f": {title}"), 13)
        head = shortened(printable(self._head), most, lambda line: text_width(line, 13))
        self.line(f"{head}: {title}", 13)
        self.canvas.setLineWidth(0.5)
        self.canvas.line(self.left, self.y - 2, self.right, self.y - 2)
        self.y -= 10
        number = f"page {self.pages} of {self._total}"
        self.put(self.left, MARGIN - 4, self._foot, 8, self.right - self.left - 70)
        self.put(self.right - text_width(number, 8), MARGIN - 4, number, 8)

    def room(self, height: float) -> bool:
        """Begin a further page with the same title where `height` points are not left on this one; whether it did."""
        if self.y - height >= self.bottom:
            return False
        self.page(self._title)
        return True

    def put(self, x: float, y: float, text: str, size: float = 9, most: float | None = None) -> None:
        """One line of text; smaller letters, and then an ellipsis, where it would be wider than `most` points."""
        text = printable(text)
        if most is not None:
            size = max(SMALLEST, min(size, size * most / max(text_width(text, size), 1)))
            text = shortened(text, most + 0.01, lambda line: text_width(line, size))
        self.canvas.setFillGray(0)
        for name, part in runs(text):
            self.canvas.setFont(page_font(name).fontName, size)
            self.canvas.drawString(x, y, part)
            x += self.canvas.stringWidth(part)

    def line(self, text: str, size: float = 9, indent: float = 0) -> None:
        """A line below the last one."""
        self.room(size * 1.4)
        self.y -= size * 1.4
        self.put(self.left + indent, self.y + size * 0.3, text, size, self.right - self.left - indent)

    def wrapped(self, text: str, size: float = 9, indent: float = 0, right: float = 0) -> None:
        """A paragraph below the last line, as many lines as it needs, `right` points short of the margin."""
        for line in wrap(printable(text), size, self.right - self.left - indent - right):
            self.line(line, size, indent)

    def chip(self, x: float, y: float, wide: float, high: float, colour: Rgb | None) -> None:
        """A patch of colour with a fine edge; crossed out where there is no colour."""
        self.canvas.setLineWidth(0.4)
        if colour is None:
            self.canvas.rect(x, y, wide, high)
            self.canvas.line(x, y, x + wide, y + high)
            return
        self.canvas.setFillColorRGB(*(part / 255 for part in colour))
        self.canvas.rect(x, y, wide, high, fill=1)

    def box(self, x: float, y: float) -> None:
        """An empty box to tick."""
        self.canvas.setLineWidth(0.7)
        self.canvas.rect(x, y, BOX, BOX)

    def close(self) -> None:
        """Write the document."""
        self.canvas.save()


def wrap(text: str, size: float, most: float) -> list[str]:
    """Lines no wider than `most` points: whole words, and parts of a word that is wider than a line."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}".strip()
        if text_width(longer, size) <= most:
            line = longer
            continue
        lines += [line] * bool(line)
        *full, line = _parts(word, size, most)
        lines += full
    return [*lines, line] if line else lines


def _parts(word: str, size: float, most: float) -> list[str]:
    """A word cut where a line is full; scripts without spaces are one long word."""
    parts = [""]
    for c in word:
        if parts[-1] and text_width(parts[-1] + c, size) > most:
            parts.append("")
        parts[-1] += c
    return parts
