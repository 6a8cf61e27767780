"""The chart of a large diamond, true to scale for pasting snippets, and the map of the whole star."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from stash.colour.lab import grey_level, srgb8_from_lab
from stash.model import Fabric
from stash.sheets.fonts import text_width
from stash.sheets.job import Job
from stash.sheets.paper import INCH, Paper, Rgb
from stash.star import chart
from stash.star.beds import quilt_size
from stash.star.geometry import finished

DIAMOND = INCH  # a side of a small diamond on the chart
LETTER = 14.0  # points
BAND = 1.25 * INCH  # above the chart, for the words and the test square
HALF = math.pi / 8
UNKNOWN: Rgb = (200, 200, 200)
GROUND: Rgb = (240, 240, 240)  # where no fabric is chosen for it


def chart_pages(paper: Paper, job: Job) -> None:
    """The large diamond in small diamonds of 1 in, lettered and blank, over as many pages as it takes."""
    for lettered in (True, False):
        _chart(paper, job, lettered)


def _chart(paper: Paper, job: Job, lettered: bool) -> None:
    grid = job.star.grid
    whole = 2 * grid * DIAMOND * math.sin(HALF), 2 * grid * DIAMOND * math.cos(HALF)
    room = paper.right - paper.left, paper.height - 2 * paper.bottom - BAND
    across, down = (math.ceil(side / space - 1e-9) for side, space in zip(whole, room, strict=True))
    for row in range(down):
        for column in range(across):
            part = f", part {row * across + column + 1} of {across * down}" if across * down > 1 else ""
            paper.page(f"chart, {'lettered' if lettered else 'blank'}{part}")
            _scale_words(paper, across * down > 1)
            x = paper.left + (room[0] - min(whole[0], room[0])) / 2 - column * room[0]
            y = paper.bottom - (down - 1 - row) * room[1]
            _clipped_diamond(paper, job, (x, y), room, lettered)


def _scale_words(paper: Paper, parts: bool) -> None:
    side, top = INCH, paper.y
    joined = " Parts join edge to edge, left to right and top to bottom." if parts else ""
    paper.wrapped(
        "Small diamonds of 1 in a side, the star's centre at the foot. Print at 100 %, and measure the square."
        f"{joined}", right=side + 12,
    )  # fmt: skip
    paper.canvas.setLineWidth(0.6)
    paper.canvas.rect(paper.right - side, top - side, side, side)
    paper.put(paper.right - side + 8, top - side / 2 - 3, "1 in square", 8)


def _clipped_diamond(
    paper: Paper, job: Job, corner: tuple[float, float], room: tuple[float, float], lettered: bool
) -> None:
    canvas, grid = paper.canvas, job.star.grid
    canvas.saveState()
    path = canvas.beginPath()
    path.rect(paper.left - 0.5, paper.bottom - 0.5, room[0] + 1, room[1] + 1)
    canvas.clipPath(path, stroke=0)
    foot = corner[0] + grid * DIAMOND * math.sin(HALF), corner[1]
    for first in range(grid):
        for second in range(grid):
            points = _diamond(foot, DIAMOND, first, second)
            x, y = (sum(part) / 4 for part in zip(*points, strict=True))
            if not _meets(paper, points, room):
                continue
            _outline(canvas, points)
            if lettered and _holds(paper, (x, y), room):
                letter = job.star.order[first + second]
                wide = text_width(letter, LETTER)
                inside = min(max(x - wide / 2, paper.left + 2), paper.left + room[0] - wide - 2)
                low = min(max(y - 5, paper.bottom + 2), paper.bottom + room[1] - 12)
                paper.put(inside, low, letter, LETTER)
    canvas.restoreState()


def _holds(paper: Paper, place: tuple[float, float], room: tuple[float, float]) -> bool:
    """Whether this part of the chart has a place: the middle of a small diamond, whose letter is written once."""
    right, up = place[0] - paper.left, place[1] - paper.bottom
    return 0 <= right < room[0] and 0 <= up < room[1]


def _meets(paper: Paper, points: Sequence[tuple[float, float]], room: tuple[float, float]) -> bool:
    """Whether something of a small diamond may be seen on this part of the chart."""
    right, up = ([point[axis] for point in points] for axis in (0, 1))
    across = max(right) > paper.left and min(right) < paper.left + room[0]
    return across and max(up) > paper.bottom and min(up) < paper.bottom + room[1]


def _diamond(foot: tuple[float, float], side: float, first: int, second: int) -> list[tuple[float, float]]:
    """The corners of a small diamond of a standing large one: `first` along its left side, `second` along its right."""
    right, up = side * math.sin(HALF), side * math.cos(HALF)
    x, y = foot[0] + (second - first) * right, foot[1] + (first + second) * up
    return [(x, y), (x + right, y + up), (x, y + 2 * up), (x - right, y + up)]


def _outline(canvas: Any, points: list[tuple[float, float]], fill: bool = False, line: float = 0.5) -> None:
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    path.close()
    canvas.setLineWidth(line)
    canvas.drawPath(path, stroke=1, fill=1 if fill else 0)


def map_page(paper: Paper, job: Job) -> None:
    """The star in colour and in grey, and its rows by name."""
    paper.page("map")
    side = (paper.right - paper.left - 18) / 2
    top = paper.y
    for place, grey in enumerate((False, True)):
        _star(paper, job, paper.left + place * (side + 18), top - side, side, grey)
    paper.y = top - side - 6
    paper.line("in colour", 8)
    paper.put(paper.left + side + 18, paper.y + 2.4, "in the grey of its values", 8)
    paper.y -= 6
    for letter in job.star.letters:
        _row(paper, job, letter)


def _row(paper: Paper, job: Job, letter: str) -> None:
    """A letter's fabrics, each on a line with its chips and its value, and the rows it stands in."""
    rows = [row.row for row in chart.rows(job.star) if row.letter == letter]
    where = f"{'row' if len(rows) == 1 else 'rows'} {', '.join(map(str, rows))}"
    far = text_width(where, 9) > 105
    fabrics: list[Fabric | None] = [*job.fabric_at(letter)]
    for fabric in fabrics or [None]:
        paper.room(16)
        paper.y -= 15
        for place, grey in enumerate((False, True)):
            paper.chip(paper.left + 18 * place, paper.y, 16, 11, colour_of(fabric, grey))
        paper.put(paper.left + 40, paper.y + 2, letter, 10)
        name = fabric.name if fabric else "no fabric yet"
        value = f"value {fabric.colour.L:.0f}" if fabric and fabric.colour else "no colour yet"
        paper.put(paper.left + 58, paper.y + 2, name, 10, paper.right - paper.left - 58 - 200)
        paper.put(paper.right - 190, paper.y + 2, value, 9, 80)
        if not far:
            paper.put(paper.right - 105, paper.y + 2, where, 9)
    if far:
        paper.wrapped(where, 9, 58)


def _star(paper: Paper, job: Job, x: float, y: float, side: float, grey: bool) -> None:
    """The quilt top in a square of `side` points with its lower left corner at x, y."""
    canvas, star = paper.canvas, job.star
    size = quilt_size(star)
    longer = max(float(size.width), float(size.length))
    scale = side / longer
    wide, high = float(size.width) * scale, float(size.length) * scale
    left, low = x + (side - wide) / 2, y + (side - high) / 2
    ground = colour_of(job.fabrics.get(job.colouring.ground or ""), grey) or GROUND
    paper.chip(left, low, wide, high, ground)
    centre = left + wide / 2, low + high / 2
    step = float(finished(star).large_side) * scale / star.grid
    for turn in range(8):
        canvas.saveState()
        canvas.translate(*centre)
        canvas.rotate(45 * turn - 90 + 22.5)
        for first in range(star.grid):
            for second in range(star.grid):
                fabrics = job.fabric_at(star.order[first + second])
                one = fabrics[turn % len(fabrics)] if fabrics else None
                canvas.setFillColorRGB(*(part / 255 for part in colour_of(one, grey) or UNKNOWN))
                _outline(canvas, _diamond((0, 0), step, first, second), fill=True, line=min(0.5, step / 30))
        canvas.restoreState()


def colour_of(fabric: Fabric | None, grey: bool = False) -> Rgb | None:
    """A fabric's colour as codes, or the true grey of its value; None where it has none."""
    if fabric is None or fabric.colour is None:
        return None
    if grey:
        level = grey_level(fabric.colour.L)
        return level, level, level
    red, green, blue = srgb8_from_lab(fabric.colour)
    return red, green, blue
