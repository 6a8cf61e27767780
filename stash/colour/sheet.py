"""Swatches lying on paper, found by what is not paper."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.light import Bools
from stash.colour.photo import PhotoFault
from stash.colour.reference import Paper
from stash.colour.space import Photo
from stash.model import Box

AWAY = 2.0  # times what the paper strays: from there on it is something else
SMALL = 0.004  # share of the picture under which something is no swatch
GAP = 0.012  # of the short side: parts of a print so close together are one swatch
INSET = 0.07  # of its side: a swatch is measured that far inside its edge, clear of pinking and shadow

ALIKE = 0.2  # of the largest: something so large is another piece of cloth
FILLS = 0.15  # of its own extent, at least, is the box of a swatch that was seen whole
MOSTLY_PAPER = 0.5
LINES = 40  # rows of blocks in a swatch where a box may end

VANISHES = "nearly white cloth vanishes on white paper, or part of it does: lay it on a grey sheet, or draw a box"


def the_swatches(photo: Photo, paper: Paper) -> list[Box]:
    """The boxes inside all swatches on the paper, left to right and top to bottom. Raises PhotoFault where there is
    none."""
    boxes = in_reading_order(swatch_boxes(paper))
    if not boxes:
        raise _none_found(photo)
    return boxes


def the_swatch(photo: Photo, paper: Paper) -> Box:
    """The box inside the one swatch on the paper. Raises PhotoFault where there is none and where there may be many:
    a motif on a paper-white ground must not stand for the cloth."""
    boxes = sorted(swatch_boxes(paper), key=lambda box: -box[2] * box[3])
    if not boxes:
        raise _none_found(photo)
    areas = [box[2] * box[3] for box in boxes]
    if len(areas) > 1 and areas[1] > ALIKE * areas[0]:
        raise PhotoFault(
            f"{sum(area > ALIKE * areas[0] for area in areas)} pieces were found on the paper, or the parts of a print"
            " on a ground as white as it",
            photo.name, "take them as a sheet (--sheet), or draw a box round one cloth (--box)",
        )  # fmt: skip
    return boxes[0]


def _none_found(photo: Photo) -> PhotoFault:
    return PhotoFault("no cloth was found on the paper", photo.name, VANISHES)


def swatch_boxes(paper: Paper) -> list[Box]:
    """A box well inside each swatch, in pixels, in no order."""
    from scipy import ndimage

    found = []
    labels, _ = ndimage.label(_patches(paper))
    for i, where in enumerate(ndimage.find_objects(labels), start=1):
        patch = labels[where] == i
        if patch.sum() < SMALL * labels.size or not _on_the_sheet(paper.is_paper, where):
            continue
        box = _inside(_hull(patch))
        if box is not None and box[2] * box[3] > FILLS * patch.size:
            box = _trimmed(box, paper.is_paper[where])
            if box[2] * box[3] >= SMALL / 2 * labels.size:
                found.append(_in_pixels(box, where, paper.blocks.size))
    return found


def _patches(paper: Paper) -> Bools:
    """Blocks of whatever lies on the paper: parts of a print joined, holes filled, specks gone; not the table round
    the paper, nor a shadow that comes in from the edge."""
    from scipy import ndimage

    other = (ndimage.uniform_filter(paper.away, 3) > AWAY) & paper.blocks.there
    labels, _ = ndimage.label(other)
    at_edge = set(np.unique(np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]]))) - {0}
    for i, where in enumerate(ndimage.find_objects(labels), start=1):
        if i in at_edge and not _on_the_sheet(paper.is_paper, where):
            other[where] &= labels[where] != i
    reach = max(1, round(GAP * min(other.shape)))
    joined = ndimage.binary_closing(np.pad(other, reach), np.ones((3, 3)), iterations=reach)
    filled = ndimage.binary_fill_holes(joined[reach:-reach, reach:-reach])
    return np.asarray(ndimage.binary_opening(filled, np.ones((3, 3))))


def _on_the_sheet(is_paper: Bools, where: tuple[slice, slice]) -> bool:
    """Whether paper lies at three sides of it or more: the table round a sheet is no swatch."""
    rows, columns = where
    sides = (
        is_paper[max(0, rows.start - 4) : rows.start, columns],
        is_paper[rows.stop : rows.stop + 4, columns],
        is_paper[rows, max(0, columns.start - 4) : columns.start],
        is_paper[rows, columns.stop : columns.stop + 4],
    )
    return sum(bool(side.size) and float(side.mean()) > 0.3 for side in sides) >= 3


def _hull(patch: Bools) -> Bools:
    """The patch with bites filled: what lies between two of its blocks both in its row and in its column."""

    def between(mask: Bools, axis: int) -> Any:
        ahead = np.logical_or.accumulate(mask, axis=axis)
        behind = np.flip(np.logical_or.accumulate(np.flip(mask, axis), axis=axis), axis)
        return ahead & behind

    return np.asarray(between(patch, 0) & between(patch, 1))


def _inside(patch: Bools) -> tuple[int, int, int, int] | None:
    """The largest upright box of blocks (x, y, width, height) inside the patch, set in from its edge."""
    from scipy import ndimage

    inset = max(1, round(INSET * float(np.sqrt(patch.sum()))))
    core = ndimage.binary_erosion(np.pad(patch, 1), np.ones((3, 3)), iterations=inset)[1:-1, 1:-1]
    every = max(1, patch.shape[0] // LINES)
    best: tuple[int, int, int, int] | None = None
    heights: NDArray[np.int64] = np.zeros(patch.shape[1], dtype=np.int64)
    for row in range(patch.shape[0]):
        heights = np.where(core[row], heights + 1, 0)
        if row % every:
            continue
        for x, width, height in _under(heights.tolist()):
            if best is None or width * height > best[2] * best[3]:
                best = (x, row - height + 1, width, height)
    return best


def _trimmed(box: Box, is_paper: Bools) -> Box:
    """The box without lines along its sides that are nearly all paper: a pencil beside the cloth takes some in."""
    x, y, width, height = box
    inner = is_paper[y : y + height, x : x + width]
    cloth = [np.flatnonzero(inner.mean(axis=axis) < MOSTLY_PAPER) for axis in (0, 1)]
    if not all(len(lines) for lines in cloth):
        return (x, y, 0, 0)
    (left, right), (top, bottom) = ((int(lines[0]), int(lines[-1]) + 1) for lines in cloth)
    left, top = left + (left > 0), top + (top > 0)  # the line next to paper is part of both
    right, bottom = right - (right < width), bottom - (bottom < height)
    return (x + left, y + top, right - left, bottom - top)


def _under(heights: list[int]) -> list[tuple[int, int, int]]:
    """The widest boxes under a skyline: (x, width, height) for each height that ends somewhere."""
    found, rising = [], list[tuple[int, int]]()  # (where it begins, height)
    for x, height in enumerate([*heights, 0]):
        begins = x
        while rising and rising[-1][1] >= height:
            begins, tall = rising.pop()
            if tall:
                found.append((begins, x - begins, tall))
        rising.append((begins, height))
    return found


def _in_pixels(box: tuple[int, int, int, int], where: tuple[slice, slice], size: int) -> Box:
    x, y, width, height = box
    return ((x + where[1].start) * size, (y + where[0].start) * size, width * size, height * size)


def in_reading_order(boxes: list[Box]) -> list[Box]:
    """Left to right, top to bottom: a box whose middle lies beside the first of a row belongs to that row."""
    rows: list[list[Box]] = []
    for box in sorted(boxes, key=lambda one: one[1] + one[3] / 2):
        middle = box[1] + box[3] / 2
        if rows and middle < rows[-1][0][1] + rows[-1][0][3]:
            rows[-1].append(box)
        else:
            rows.append([box])
    return [box for row in rows for box in sorted(row)]
