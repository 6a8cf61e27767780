"""Sizes that only fabrics not measured yet cover are told apart from those that measured cloth covers."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest

import stash.match.sizes
from stash.match.sizes import sizes
from stash.match.wishes import Wishes
from stash.model import Star
from stash.star.chart import make_order
from tests.engine.random_sizes import asked_at_random, found_by_search, random_stash

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine


@pytest.mark.parametrize("seed", range(120))
def test_it_is_just_what_suggest_finds_of_measured_fabrics_alone(seed: int) -> None:
    """A fabric that is fixed or must be used and is not measured leaves no measured run, whatever is asked."""
    rng = random.Random(seed)
    fabrics = random_stash(rng, rng.choice([4, 6, 10]))
    fabrics = [replace(one, pieces=(), recorded=False) if rng.random() < 0.4 else one for one in fabrics]
    wishes = replace(asked_at_random(rng, fabrics), measured=False)
    unmeasured = {one.name for one in fabrics if not one.recorded}
    stars = [Star(grid, Fraction(5, 2), make_order(rng.choice(["none", "mirror"]), grid)) for grid in (2, 3, 4)]
    for found in sizes(stars, fabrics, wishes):
        assert found.covered is found_by_search(found.star, fabrics, wishes)
        named = {name for letter, name in wishes.fixed.items() if letter in found.star.letters} | set(wishes.must)
        measured = not named & unmeasured and found_by_search(found.star, fabrics, replace(wishes, measured=True))
        assert found.unmeasured is (found.covered and not measured)


def test_nothing_is_asked_twice_where_all_is_measured(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    real = stash.match.sizes.Walk

    def counted(*args: object) -> object:
        asked.append(args)
        return real(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(stash.match.sizes, "Walk", counted)
    fabrics = [one for one in random_stash(random.Random(1), 30) if one.recorded]
    stars = [Star(2, Fraction(5, 2), "ABA"), Star(3, Fraction(5, 2), "ABCBA")]
    assert all(one.covered for one in sizes(stars, fabrics, Wishes()))
    assert len(asked) == len(stars)


def test_the_command_line_tells_them_apart(cli: CommandLine) -> None:
    for name, value in (("Ash", 90), ("Birch", 50)):
        cli("add", name, "--colour", f"#{value:02x}{value:02x}{value:02x}")
    others = [one["fabric"] for one in cli.json("list") if one["fabric"] not in ("Ash", "Birch")]
    asked = ("sizes", "--grid", 2, "--strip", "2 1/2", "--order", "mirror")
    without = [word for name in others for word in ("--without", name)]
    assert "counting fabrics not measured yet" in cli(*asked, *without).out
    assert [(one["covered"], one["unmeasured"]) for one in cli.json(*asked, *without)] == [(True, True)]
    assert [(one["covered"], one["unmeasured"]) for one in cli.json(*asked)] == [(True, False)]
