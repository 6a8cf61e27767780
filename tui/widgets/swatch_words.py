"""What a photograph said of a fabric, in sentences. Pure functions."""

from __future__ import annotations

from stash.colour.words import variety_word
from stash.model import Measured, Reference
from tui.widgets.value_bar import value_text

RELATIVE_WORDS = "relative: no reference in the photograph, good for order within one photo only"
REFERENCES = {
    Reference.PAPER: "measured on paper",
    Reference.WHITE: "measured with a white patch",
    Reference.GREY: "measured with a grey card",
    Reference.NONE: f"~ {RELATIVE_WORDS}",
}


def range_words(measured: Measured) -> str:
    """`value 62, 48 to 71`: the value and the range that most of the cloth lies in."""
    value, low, high = (
        value_text(one, measured.relative) for one in (measured.colour.L, measured.value_low, measured.value_high)
    )
    return f"value {value}, {low} to {high}"


def variety_words(measured: Measured) -> str:
    """`reads as solid, variety 5.2`."""
    return f"{variety_word(measured.variety)}, variety {measured.variety:.1f}"


def swatch_words(measured: Measured) -> str:
    """Range, variety and reference, a line each."""
    return f"{range_words(measured)}\n{variety_words(measured)}\n{REFERENCES[measured.reference]}"
