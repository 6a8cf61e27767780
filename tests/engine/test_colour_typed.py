"""A colour as it is typed: words, a value alone, L*a*b*, a code."""

from __future__ import annotations

import pytest

from stash.colour.lab import HUES, delta_e_2000
from stash.colour.typed import _middles, read_colour
from stash.colour.words import colour_words
from stash.errors import UsageFault
from stash.model import Colour


@pytest.mark.parametrize("words", sorted(_middles()))
def test_a_word_is_a_colour_that_is_called_so(words: str) -> None:
    assert colour_words(read_colour(words)) == words
    assert read_colour(words.upper()) == read_colour(words)


def test_every_hue_has_a_word_alone_and_light_and_pale_ones() -> None:
    for hue in HUES:
        assert colour_words(read_colour(hue)) == f"medium {hue}"
    for hue in ("yellow", "green", "teal", "blue", "purple", "pink", "orange"):
        assert read_colour(f"light {hue}").L > read_colour(hue).L
        assert read_colour(f"pale {hue}").chroma < read_colour(f"light {hue}").chroma


@pytest.mark.parametrize(("words", "code"), [
    # CSS Color Module Level 4, section 6.1, named colours: what screens call by such words
    ("white", "#ffffff"), ("black", "#000000"), ("dark green", "#006400"), ("light yellow", "#f0e68c"),
    ("tan", "#d2b48c"), ("olive", "#808000"), ("dark red", "#8b0000"), ("light pink", "#ffb6c1"), ("beige", "#f5f5dc"),
])  # fmt: skip
def test_words_lie_near_what_others_call_so(words: str, code: str) -> None:
    """`khaki` stands for light yellow: their lightyellow is what a quilter calls cream."""
    assert delta_e_2000(read_colour(words), [read_colour(code)])[0] < 25


def test_a_value_alone_is_a_grey_of_that_value() -> None:
    assert read_colour("85") == read_colour(" 85.0 ") == Colour(85.0, 0.0, 0.0)
    assert str(read_colour("-0").L) == "0.0"
    assert read_colour("gray") == read_colour("grey")
    assert read_colour("62 10 -4") == read_colour("62, 10,-4") == Colour(62.0, 10.0, -4.0)


@pytest.mark.parametrize(("text", "told"), [
    ("101", "0 to 100"), ("50 60", "light yellow"), ("#12345", "#7a4b2c"), ("zebra", "light yellow"),
    ("dark yellow", "light yellow, medium yellow"), ("50 200 0", "-128 to 128"), ("[red]", "light yellow"),
])  # fmt: skip
def test_what_is_no_colour_is_told_with_what_is(text: str, told: str) -> None:
    with pytest.raises(UsageFault) as caught:
        read_colour(text)
    assert told in caught.value.line()


def test_what_the_command_line_took_before_is_still_taken() -> None:
    assert read_colour("50.,0,.5") == Colour(50.0, 0.0, 0.5)
    assert read_colour("facade") == read_colour("#FACADE")
    with pytest.raises(UsageFault):
        read_colour("85" + " " * 70 + "junk")
