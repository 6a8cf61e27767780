"""Real pixels, where the extra `pictures` is installed and the terminal shows them; half blocks do without either."""

from __future__ import annotations

import logging
import sys
from importlib import import_module
from typing import Any

log = logging.getLogger(__name__)
_CELL = (10, 20)  # pixels of a cell where the terminal does not tell

_found: tuple[type[Any], tuple[int, int]] | None = None


def ask_terminal() -> None:
    """Find out what the terminal can do. It must be asked before the interface takes its keyboard over."""
    global _found
    if sys.__stdout__ is None or not sys.__stdout__.isatty():
        return
    try:
        renderable = import_module("textual_image.renderable")
        widget = import_module("textual_image.widget")
        size = import_module("textual_image._terminal").get_cell_size()
    except ImportError:
        return
    except Exception:  # whatever a terminal answers, half blocks still do
        log.warning("the terminal could not be asked for pictures", exc_info=True)
        return
    if renderable.Image in (renderable.TGPImage, renderable.SixelImage):
        _found = widget.Image, (size.width, size.height)


def sharp_widget() -> type[Any] | None:
    """The widget that shows an image in real pixels; None for half blocks."""
    return None if _found is None else _found[0]


def cell_pixels() -> tuple[int, int]:
    """Pixels of one cell of the terminal, width and height."""
    return _CELL if _found is None else _found[1]
