"""A way on with a fresh run of fabrics: one without a jump in value comes first, and a jump is said."""

from __future__ import annotations

from stash.match.coverage import check
from stash.match.ways_on import ways_on
from stash.model import Fabric, Step, WayOn
from tests.engine.short_of_cloth import STAR, by_step, cloth, colouring

# Row D needs two strips and has one. Mirrored, the rows need 2, 4 and 3 strips (common practice, no source): of the
# star's own fabrics only those of value 100, 44 and 30 do (derived).
OWN = [cloth(1, 100, 6), cloth(2, 80, 1), cloth(3, 44, 8), cloth(4, 40, 1), cloth(5, 30, 8)]


def repeat(fabrics: list[Fabric]) -> WayOn:
    return by_step(ways_on(STAR, colouring(*OWN), fabrics))[Step.REPEAT]


def test_a_jump_between_neighbours_is_said_where_there_is_no_other_run() -> None:
    assert not check(STAR, colouring(*OWN), OWN).covered
    way = repeat(OWN)
    assert way.colouring.uses == {"A": ("F1",), "B": ("F3",), "C": ("F5",)}
    assert way.note == "a jump in value from 100 to 44, A to B"
    assert way.text.endswith(way.note)


def test_a_run_without_a_jump_is_offered_where_there_is_one() -> None:
    way = repeat([*OWN, cloth(6, 65, 4)])
    assert way.colouring.uses == {"A": ("F1",), "B": ("F6",), "C": ("F5",)}
    assert way.note == ""
    assert "jump" not in way.text
