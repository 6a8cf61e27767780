"""What a cutting page says of cloth that is to stay whole, and of what is not there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from stash.match.coverage import check
from stash.match.replan import parts_beside
from stash.model import Colouring, Fabric, Hold, Kind, Piece, Star, StoredPlan, StoredStrip, Way
from stash.sheets.job import make_job
from stash.sheets.keep_uncut import QuiltParts, kept_uncut
from tests.engine.by_hand import inch

# a ground of a triangle square of 9 1/2 in with the corner squares beside it (see test_cautions.py)
STAR = Star(2, Fraction(5, 2), "ABA")
USES = {"A": ("Fern",), "B": ("Rust",)}


def cloth(**lengths: Iterable[float]) -> dict[str, Fabric]:
    """Yardage 42 in wide of each fabric, in pieces of these lengths; no length at all: not measured yet."""
    found = {}
    for number, (name, each) in enumerate(lengths.items(), 1):
        pieces = tuple(Piece(number * 10 + i, Kind.YARDAGE, inch(one), inch(42)) for i, one in enumerate(each))
        found[name] = Fabric(number, name, pieces, recorded=bool(pieces))
    return found


def said(colouring: Colouring, fabrics: dict[str, Fabric], star: Star = STAR) -> list[str]:
    found = check(star, colouring, fabrics.values())
    return list(kept_uncut(star, colouring, QuiltParts(found.ground, found.quilt), fabrics))


def test_a_short_ground_says_what_is_there_and_what_to_buy() -> None:
    """5 in of 6 are left when straightened: no shelf of 9 1/2, so 9 1/2 and 1 in of straightening are to buy, which is
    3/8 yd [derived]."""
    fabrics = cloth(Fern=[18], Rust=[18], Flax=[3, 3])
    (ground,) = said(Colouring(USES, "Flax"), fabrics)
    assert ground == (
        "Flax is short for the setting pieces: they take 9 1/2 in, 6 in are there in 2 pieces; buy 3/8 yd. Keep it "
        "uncut: they are cut last, from measured points."
    )
    (ground,) = said(Colouring(USES, "Flax"), fabrics, replace(STAR, units="cm"))
    assert "they take 24.1 cm, 15.2 cm are there in 2 pieces; buy 30 cm" in ground


def test_one_that_is_not_measured_and_one_that_is_scraps() -> None:
    (ground,) = said(Colouring(USES, "Flax"), cloth(Fern=[18], Rust=[18], Flax=[]))
    assert ground.startswith("Flax for the setting pieces is not measured yet: they take 9 1/2 in. Keep it uncut")
    scraps = cloth(Fern=[18], Rust=[18], Flax=[8])
    scraps["Flax"] = replace(scraps["Flax"], pieces=(replace(scraps["Flax"].pieces[0], kind=Kind.SCRAP),))
    (ground,) = said(Colouring(USES, "Flax"), scraps)
    assert "they take 9 1/2 in, no yardage is there; buy 3/8 yd" in ground


def test_binding_and_backing_are_named_where_they_are_short_or_rows_are_cut_of_them() -> None:
    fabrics = cloth(Fern=[72], Rust=[6], Flax=[20], Cloud=[2])
    binding, backing = said(Colouring(USES, binding="Fern", backing="Cloud"), fabrics)
    # round a 17 in star 3 strips of 2 1/2 in at 42 (common practice, no source)
    assert binding == "Keep 7 1/2 in of Fern uncut for the binding."
    assert backing.startswith("Cloud is short for the backing: it takes ")
    assert "2 in are there; buy " in backing
    assert said(Colouring(USES, binding="Flax"), fabrics) == []


def test_the_page_and_a_kept_plan_say_the_same() -> None:
    """Before the first cut, whichever asks; Rust gives its strips and the ground from 2 x 2 1/2 + 1 + 9 1/2 = 15 1/2
    on, and only its strips from less than 10 1/2 [derived]."""
    for length, short in ((15.5, False), (10.25, True)):
        fabrics, colouring = cloth(Fern=[18], Rust=[length]), Colouring(USES, "Rust")
        job = make_job("Pond", 1, STAR, colouring, list(fabrics.values()))
        single = [replace(cut, strips=(one,)) for cut in job.coverage.cuts for one in cut.strips]
        plan = StoredPlan(1, 1, 1, tuple(StoredStrip(i, cut) for i, cut in enumerate(single, 1)))
        parts = QuiltParts(*parts_beside(STAR, colouring, fabrics.values(), plan))
        (ground,) = kept_uncut(STAR, colouring, parts, fabrics)
        assert ground == job.cautions[-1]
        assert ground.startswith("Rust is short" if short else "Keep 9 1/2 in of Rust uncut")


def test_cloth_that_is_held_or_too_narrow_is_not_said_to_be_there() -> None:
    fabrics = cloth(Fern=[18], Rust=[18], Flax=[80])
    (piece,) = fabrics["Flax"].pieces
    held = replace(piece, hold=Hold(Way.ACROSS, inch(75)))
    fabrics["Flax"] = replace(fabrics["Flax"], pieces=(held,))
    assert "they take 9 1/2 in, 5 in are there; buy 3/8 yd" in said(Colouring(USES, "Flax"), fabrics)[0]
    fabrics["Flax"] = replace(fabrics["Flax"], pieces=(replace(piece, width=inch(12)),))
    assert "no yardage is there that is free and wide enough; buy" in said(Colouring(USES, "Flax"), fabrics)[0]
