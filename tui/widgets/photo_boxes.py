"""The boxes on a photograph: cloth, white patch, grey card; moved, resized and drawn. Pure functions and records."""

from __future__ import annotations

from dataclasses import dataclass, replace

from stash.model import Box

CLOTH, WHITE, GREY = "cloth", "white patch", "grey card"
KINDS = (CLOTH, WHITE, GREY)
LETTERS = {CLOTH: "C", WHITE: "W", GREY: "G"}
LEAST = 8  # px; a smaller box holds too little to be seen

Size = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Boxes:
    """Where cloth and reference lie, in px of the picture as seen. There is a white patch or a grey card, never both.

    `cloth_set` says that the maker placed the cloth's box; else it is where the cloth was found.
    """

    cloth: Box | None = None
    white: Box | None = None
    grey: Box | None = None
    cloth_set: bool = False

    def of(self, kind: str) -> Box | None:
        return {CLOTH: self.cloth, WHITE: self.white, GREY: self.grey}[kind]

    def placed(self, kind: str, box: Box) -> Boxes:
        """With this box; a white patch takes the grey card's place and the other way about."""
        if kind == CLOTH:
            return replace(self, cloth=box, cloth_set=True)
        return replace(self, white=box if kind == WHITE else None, grey=box if kind == GREY else None)

    def without(self, kind: str) -> Boxes:
        """Without this box; the cloth's is then found anew."""
        if kind == CLOTH:
            return replace(self, cloth=None, cloth_set=False)
        return replace(self, white=None if kind == WHITE else self.white, grey=None if kind == GREY else self.grey)


def in_the_middle(size: Size, part: float = 1 / 4) -> Box:
    """A box of `part` of the picture's sides in its middle."""
    width, height = max(LEAST, round(size[0] * part)), max(LEAST, round(size[1] * part))
    return within((size[0] - width) // 2, (size[1] - height) // 2, width, height, size)


def within(x: int, y: int, width: int, height: int, size: Size) -> Box:
    """A box moved and, where it is larger than the picture, made smaller until it lies inside."""
    width, height = max(1, min(width, size[0])), max(1, min(height, size[1]))
    return max(0, min(x, size[0] - width)), max(0, min(y, size[1] - height)), width, height


def moved(box: Box, right: int, down: int, size: Size) -> Box:
    return within(box[0] + right, box[1] + down, box[2], box[3], size)


def resized(box: Box, wider: int, higher: int, size: Size) -> Box:
    """Its right and lower edge moved; the upper left corner stays."""
    x, y, width, height = box
    width = max(min(LEAST, size[0]), min(width + wider, size[0] - x))
    height = max(min(LEAST, size[1]), min(height + higher, size[1] - y))
    return within(x, y, width, height, size)


def between(start: tuple[float, float], end: tuple[float, float], size: Size) -> Box:
    """The box drawn from one point to another, in px."""
    left, right = sorted((start[0], end[0]))
    top, bottom = sorted((start[1], end[1]))
    x, y = max(0, round(left)), max(0, round(top))
    return within(x, y, max(1, round(right) - x), max(1, round(bottom) - y), size)


def holding(boxes: Boxes, x: float, y: float) -> str:
    """The smallest box that holds a point, "" for none."""
    found = [(box[2] * box[3], kind) for kind in KINDS if (box := boxes.of(kind)) is not None and _holds(box, x, y)]
    return min(found)[1] if found else ""


def _holds(box: Box, x: float, y: float) -> bool:
    return box[0] <= x < box[0] + box[2] and box[1] <= y < box[1] + box[3]


def box_words(box: Box) -> str:
    """`400 × 300 px at 120, 80`."""
    return f"{box[2]} × {box[3]} px at {box[0]}, {box[1]}"
