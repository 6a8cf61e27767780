"""Plain words for colours, held against the names that web pages give to colours, and against what words promise."""

from __future__ import annotations

import pytest

from stash.colour.lab import HUES, hue_word, lab_from_hex
from stash.colour.words import colour_words, variety_word
from stash.model import Colour

# Named colours of CSS Color Module Level 4, section 6.1 (hex as given there), and a word that must be in ours.
NAMED = [
    ("black", "#000000", "black"), ("white", "#ffffff", "white"), ("ivory", "#fffff0", "cream"),
    ("snow", "#fffafa", "white"), ("gray", "#808080", "grey"), ("dimgray", "#696969", "dark grey"),
    ("silver", "#c0c0c0", "light grey"), ("red", "#ff0000", "bright red"), ("crimson", "#dc143c", "red"),
    ("maroon", "#800000", "dark red"), ("brown", "#a52a2a", "red"), ("saddlebrown", "#8b4513", "brown"),
    ("sienna", "#a0522d", "brown"), ("tan", "#d2b48c", "tan"), ("wheat", "#f5deb3", "cream"),
    ("orange", "#ffa500", "bright orange"), ("darkorange", "#ff8c00", "orange"), ("coral", "#ff7f50", "orange"),
    ("gold", "#ffd700", "bright yellow"), ("yellow", "#ffff00", "bright yellow"), ("khaki", "#f0e68c", "yellow"),
    ("olive", "#808000", "olive"), ("green", "#008000", "green"), ("darkgreen", "#006400", "dark green"),
    ("lightgreen", "#90ee90", "green"), ("teal", "#008080", "teal"), ("darkslategray", "#2f4f4f", "dark teal"),
    ("lightblue", "#add8e6", "blue"), ("skyblue", "#87ceeb", "pale blue"), ("navy", "#000080", "very dark blue"),
    ("midnightblue", "#191970", "very dark blue"), ("purple", "#800080", "purple"), ("indigo", "#4b0082", "purple"),
    ("plum", "#dda0dd", "light purple"), ("pink", "#ffc0cb", "pale pink"), ("lightpink", "#ffb6c1", "pink"),
    ("rosybrown", "#bc8f8f", "dusty pink"), ("salmon", "#fa8072", "pink"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "code", "word"), NAMED, ids=[row[0] for row in NAMED])
def test_words_agree_with_named_colours(name: str, code: str, word: str) -> None:
    assert word in colour_words(lab_from_hex(code))


def test_value_words_go_from_pale_to_very_dark() -> None:
    """A green of C* 27 (derived: a = -20, b = 18) at falling values; the limits are our own."""
    words = [colour_words(Colour(L, -20, 18)) for L in (85, 72, 55, 30, 10)]
    assert words == ["pale green", "light green", "medium green", "dark green", "very dark green"]


def test_greys_are_in_order() -> None:
    words = [colour_words(Colour(L, 0, 0)) for L in (97, 80, 60, 40, 30, 10)]
    assert words == ["white", "light grey", "medium grey", "dark grey", "charcoal", "black"]


def test_every_colour_has_words_and_a_hue_that_agrees() -> None:
    """Over the whole solid: one to three small words, and where a hue is named it is the angle's or beside it."""
    near = dict(zip(HUES, [*list(HUES)[1:], "red"], strict=True))  # each hue and the next one round
    for L in range(0, 101, 5):
        for a in range(-100, 101, 10):
            for b in range(-100, 101, 10):
                colour = Colour(L, a, b)
                words = colour_words(colour).split()
                assert 1 <= len(words) <= 3
                assert all(word.isalpha() and word.islower() for word in words)
                if words[-1] in HUES:
                    assert words[-1] in (hue_word(colour), near[hue_word(colour)]) or (
                        near[words[-1]] == hue_word(colour)
                    )


@pytest.mark.parametrize(
    ("variety", "word"),
    [(0, "solid"), (2.9, "solid"), (3, "reads as solid"), (7.9, "reads as solid"), (8, "print"), (15, "busy")],
)
def test_variety_in_words(variety: float, word: str) -> None:
    """Under 3 solid, to 8 reads as solid, to 15 print, above busy: limits of our own, none are published."""
    assert variety_word(variety) == word
