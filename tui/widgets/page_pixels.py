"""A part of a printed page as a picture. Pure functions; call them on a thread."""

from __future__ import annotations

from dataclasses import dataclass, replace
from io import BytesIO
from typing import NamedTuple

LARGEST = 8  # times
STEP = 0.4  # of what is seen, that it moves by
FINER = 2  # pixels drawn for one shown, which are averaged: thin lines and letters then stay grey and do not vanish


class Region(NamedTuple):
    """A part of a page in points, from its left and its upper edge."""

    left: float
    top: float
    width: float
    height: float


@dataclass(frozen=True)
class Sight:
    """What is looked at: a page (from 0), how many times larger than whole, and the middle of what is seen, in parts
    of the page's width and height."""

    page: int = 0
    times: int = 1
    across: float = 0.5
    down: float = 0.5

    def region(self, page: tuple[float, float], pane: tuple[int, int]) -> Region:
        """What is seen of a page of this width and height in points, in a pane of so many pixels."""
        wide, high = page
        height = high / self.times
        width = min(wide, height * pane[0] / pane[1])
        height = min(high, width * pane[1] / pane[0]) if self.times > 1 else height
        left = min(max(self.across * wide - width / 2, 0), wide - width)
        top = min(max(self.down * high - height / 2, 0), high - height)
        return Region(left, top, width, height)

    def moved(self, across: int, down: int) -> Sight:
        """What lies beside, -1 or 1 step to the right and down."""
        seen, edge = STEP / self.times, 0.5 / self.times
        return replace(
            self,
            across=min(max(self.across, edge) + across * seen, 1 - edge) if across else self.across,
            down=min(max(max(self.down, edge) + down * seen, edge), 1 - edge),
        )

    def enlarged(self, times: int) -> Sight:
        """So many times larger than whole; from the whole page it goes to where one begins to read."""
        return replace(self, times=times) if self.times > 1 else replace(self, times=times, across=0.0, down=0.0)


def page_texts(pdf: bytes) -> tuple[str, ...]:
    """What is written on each page of a document, line by line; the first line is its head."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    try:
        return tuple(page.get_textpage().get_text_bounded().replace("\r\n", "\n") for page in document)
    finally:
        document.close()


def page_png(pdf: bytes, sight: Sight, pane: tuple[int, int]) -> bytes:
    """What is seen of the document's page, in about `FINER` times the pixels of `pane` (width, height), as PNG."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    try:
        page = document[sight.page]
        wide, high = page.get_size()
        seen = sight.region((wide, high), pane)
        scale = FINER * min(pane[0] / seen.width, pane[1] / seen.height)
        cut = (seen.left, high - seen.top - seen.height, wide - seen.left - seen.width, seen.top)
        file = BytesIO()
        page.render(scale=scale, crop=cut).to_pil().save(file, "PNG")
        return file.getvalue()
    finally:
        document.close()
