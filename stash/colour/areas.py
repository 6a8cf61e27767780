"""Mean light over areas that need not begin and end where pixels do: pictures made smaller, in light."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.space import Floats

Light = NDArray[Any]  # float32 or float64


def scaled(light: Light, width: int, height: int) -> Light:
    """The mean light under each of `width` x `height` pixels of a picture, shape (height, width, 3); a pixel that is
    cut in two counts by its parts."""
    rows, columns = light.shape[:2]
    down = averaged(light, np.arange(rows + 1.0), np.linspace(0, rows, height + 1), axis=0)
    return averaged(down, np.arange(columns + 1.0), np.linspace(0, columns, width + 1), axis=1)


def averaged(light: Light, edges: Floats, wanted: Floats, axis: int) -> Light:
    """The mean between each two `wanted` edges along an axis (0 or 1) of cells with these `edges`, by how much of
    each cell lies between them."""
    if np.array_equal(edges[: len(wanted)], wanted):  # each cell is a pixel
        return light[: len(wanted) - 1] if axis == 0 else light[:, : len(wanted) - 1]
    first = np.searchsorted(edges, wanted[:-1], side="right") - 1
    last = np.searchsorted(edges, wanted[1:], side="left")  # one past
    shape = [1, 1, 1]
    shape[axis] = len(first)
    total = np.zeros([len(first) if k == axis else n for k, n in enumerate(light.shape)], dtype=light.dtype)
    for step in range(int((last - first).max())):
        cell = np.minimum(first + step, len(edges) - 2)
        overlap = np.minimum(edges[cell + 1], wanted[1:]) - np.maximum(edges[cell], wanted[:-1])
        weight = np.where(first + step < last, np.maximum(overlap, 0), 0) / np.diff(wanted)
        total += light.take(cell, axis=axis) * weight.astype(light.dtype).reshape(shape)
    return total
