"""Which fabrics have enough for a part of the quilt: the mark that a check gives with that fabric chosen."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from stash.match.coverage import check
from stash.match.part_choice import ground_alone, marks_as, needed_of
from stash.match.replan import rest_cover
from stash.model import QUILT_PARTS, Colouring, Coverage, Fabric, Mark, with_part
from tests.engine import by_hand
from tests.engine.begun_star import POND, USES, book, cloth, kept, yards
from tests.engine.random_stars import covered_cases


def mark_in(found: Coverage, part: str) -> Mark:
    if part == "ground":
        assert found.ground is not None
        return found.ground.mark
    return next(one.mark for one in found.quilt if one.what == part)


@pytest.mark.parametrize("part", QUILT_PARTS)
def test_every_mark_is_the_check_s(part: str) -> None:
    """For fabrics of rows and of other parts, for others, for one that is not measured; whatever stood there before."""
    seen = set()
    for number, (star, uses, _) in enumerate(covered_cases(0, 60, (2, 3), 4, 2)):
        rng = random.Random(number)
        others = [Fabric(900 + i, f"Other {i}", (yards(9000 + i, rng.randint(4, 120)),)) for i in range(4)]
        others.append(Fabric(950, "Unknown", (), recorded=False))
        fabrics = [*by_hand.stash_of(uses), *others]
        colouring = Colouring(by_hand.names(uses), ground="Other 0", backing="Other 1")
        marks = dict(marks_as(star, colouring, part, fabrics))
        assert list(marks) == [one.id for one in fabrics]
        for fabric in fabrics:
            expected = mark_in(check(star, with_part(colouring, part, fabric.name), fabrics), part)
            assert marks[fabric.id] is expected
            seen.add(expected)
    assert seen >= {Mark.COVERED, Mark.SHORT, Mark.UNMEASURED}


def test_a_star_that_is_being_cut_asks_for_what_is_left_of_it() -> None:
    """Rust gives the ground beside the one strip that is still to cut, not beside two (derived)."""
    need = float(needed_of(POND, "ground"))
    fabrics = cloth([yards(1, 18)], [yards(2, need + 1 + 5)])
    plan, now = book(kept(POND, USES, fabrics), fabrics, [3])
    (_, rust) = marks_as(POND, USES, "ground", now, plan)
    assert rust[1] is mark_in(rest_cover(POND, replace(USES, ground="Rust"), now, plan), "ground")
    assert rust[1] in (Mark.COVERED, Mark.TIGHT)
    short = [now[0], replace(now[1], pieces=(replace(now[1].pieces[0], length=now[1].pieces[0].length - 8128 * 3),))]
    (_, rust) = marks_as(POND, USES, "ground", short, plan)
    assert rust[1] is Mark.SHORT


def test_a_star_without_all_its_fabrics_is_asked_part_by_part() -> None:
    fabrics = cloth([yards(1, 180)], [yards(2, 6)])
    assert [mark for _, mark in marks_as(POND, Colouring({"A": ("Fern",)}), "ground", fabrics)] == [
        Mark.COVERED, Mark.SHORT,
    ]  # fmt: skip


@pytest.mark.parametrize("part", QUILT_PARTS)
def test_an_archived_fabric_of_the_colouring_leaves_the_others_their_marks(part: str) -> None:
    fern, rust = cloth([yards(1, 72)], [yards(2, 18)])
    fabrics = [fern, replace(rust, archived=True), Fabric(3, "Flax", (yards(3, 2),))]
    marks = dict(marks_as(POND, USES, part, fabrics))
    assert set(marks) == {1, 2, 3}
    assert marks[1] in (Mark.COVERED, Mark.TIGHT)
    assert marks[3] is Mark.SHORT


def test_the_ground_alone_is_what_a_check_says_of_a_fabric_no_row_uses() -> None:
    fabrics = [*cloth([yards(1, 18)], [yards(2, 18)]), Fabric(3, "Flax", (yards(3, 40),))]
    colouring = replace(USES, ground="Flax")
    assert ground_alone(POND, colouring, fabrics) == check(POND, colouring, fabrics).ground
    assert ground_alone(POND, USES, fabrics) is None
    assert ground_alone(POND, replace(USES, ground="Gone"), fabrics) is None
