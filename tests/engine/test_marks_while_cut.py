"""The marks of a star that is being cut say what a check said before the first cut, of all cloth that nothing was cut
of since."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace

import pytest

from stash.match.coverage import check
from stash.match.replan import rest_cover
from stash.model import Colouring, Coverage, Fabric, LetterCover, Mark, Star
from tests.engine import by_hand
from tests.engine.begun_star import POND, USES, book, cloth, kept, of, yards
from tests.engine.random_stars import covered_cases

Case = tuple[Star, Colouring, list[Fabric], Coverage]


def said(one: LetterCover) -> tuple[object, ...]:
    return one.mark, None if one.spare is None else round(one.spare, 6), one.about, one.missing, one.buy


def cases(first: int, count: int) -> Iterator[Case]:
    """Random stars that are covered, every third with a ground, of a row's fabric or another."""
    for number, (star, uses, found) in enumerate(covered_cases(first, count, (2, 3), 4, 2)):
        fabrics = list(by_hand.stash_of(uses))
        colouring = Colouring(by_hand.names(uses))
        if number % 3 == 0:
            ground = Fabric(900, "Ground", (yards(9000, 70),))
            fabrics.append(ground)
            name = random.Random(number).choice([ground.name, fabrics[0].name])
            colouring = replace(colouring, ground=name)
            found = check(star, colouring, fabrics)
            if not found.covered:
                continue
        yield star, colouring, fabrics, found


@pytest.mark.parametrize("first", range(0, 2000, 100))
def test_what_is_said_of_untouched_cloth_does_not_change_when_other_cloth_is_cut(first: int) -> None:
    asked = 0
    for star, colouring, fabrics, before in cases(first, 100):
        plan = kept(star, colouring, fabrics)
        for name in {strip.cut.fabric for strip in plan.strips}:
            begun, now = book(plan, fabrics, [one.id for one in plan.strips if one.cut.fabric == name])
            after = rest_cover(star, colouring, now, begun)
            for old, new in zip(before.letters, after.letters, strict=True):
                if name not in old.fabrics:
                    asked += 1
                    assert said(new) == said(old), (star, colouring, name, fabrics)
            if before.ground is not None and before.ground.fabric != name:
                assert after.ground is not None
                assert after.ground.mark is before.ground.mark
    assert asked


def test_a_free_piece_is_a_strip_to_spare_though_the_rest_could_not_be_laid_anew() -> None:
    """6 in give two strips; of the 2 1/2 in that the first leaves, straightened anew, the second could not be cut; the
    other piece stays free (derived)."""
    fabrics = cloth([yards(1, 18)], [yards(2, 6), yards(3, 3.5)])
    plan = kept(POND, USES, fabrics)
    rust = [one.id for one in plan.strips if one.cut.fabric == "Rust"]
    assert {one.cut.piece for one in plan.strips if one.id in rust} == {2}
    begun, now = book(plan, fabrics, rust[:1])
    assert of(rest_cover(POND, USES, now, begun).letters, "B").mark is Mark.COVERED
