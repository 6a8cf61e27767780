"""What is typed for a star and for wishes: read as it was meant, or refused in one line."""

from __future__ import annotations

from fractions import Fraction

import pytest

from stash.errors import Fault, UsageFault
from stash.model import Fabric
from tests.engine.stars import star
from tui.dialogs import wishes as typed
from tui.dialogs.star_settings import NEW_STAR, read_grid, star_fields, star_of


def test_the_settings_of_a_star_come_back_as_they_were_typed() -> None:
    for one in (NEW_STAR, star(3, "AABCA", stagger=Fraction(2)), star(units="cm", strip=Fraction(5, 2))):
        values = {field.id: field.value for field in star_fields(one)}
        assert star_of(values, False, one) == one


@pytest.mark.parametrize("text", ["", "0", "14", "4 x 5", "four", "4x4x4", "-4", "١٢"])
def test_a_grid_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(Fault):
        star_of({field.id: field.value for field in star_fields(NEW_STAR)} | {"grid": text}, False, NEW_STAR)


def test_a_grid_may_be_typed_as_a_square() -> None:
    assert read_grid("4 × 4") == read_grid(" 4x4") == read_grid("4") == 4


@pytest.mark.parametrize("text", ["101", "1e1", "nan", "-5", "half", "5" * 5000])
def test_a_value_that_is_none_is_refused_in_one_short_line(text: str) -> None:
    with pytest.raises(UsageFault) as refused:
        typed.number(text)
    assert len(refused.value.line()) < 200


def test_names_in_wishes_are_found_in_any_case_and_may_hold_commas() -> None:
    names = typed.Names([Fabric(1, "Moss"), Fabric(2, "Milk, skimmed"), Fabric(3, "Ink")])
    assert names.several("moss, INK") == ("Moss", "Ink")
    assert names.several("milk, skimmed") == ("Milk, skimmed",)
    assert names.several("") == ()
