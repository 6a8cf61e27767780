"""A strip set as it is sewn: its strips from the top, each set off to the right of the one above."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from tui.terminal_colours import NONE
from tui.widgets.chip import chip_text
from tui.widgets.fabric_lines import one_line
from tui.widgets.look import Chip

BAR = 12  # cells of a strip


def drawn_set(strips: Sequence[tuple[str, str, Chip | None]], level: bool, in_grey: bool, colours: str) -> Text:
    """One line a strip: its bar with the letter, and its fabric's name. A strip's lean is one cell; none if `level`.

    Without `colours` a bar is its letter and a rule.
    """
    text = Text(no_wrap=True, overflow="ellipsis")
    lean = 0 if level else 1
    for place, (letter, name, chip) in enumerate(strips):
        bar = f" {letter} {'─' * (BAR - 4)} " if colours == NONE else f" {letter}".ljust(BAR)
        segment = chip_text(bar, chip, in_grey, colours)
        text.append(" " * place * lean).append(segment.text, segment.style or "")
        text.append(" " * ((len(strips) - place) * lean + 1))
        text.append(f"{one_line(name)}\n")
    return text
