"""A colouring that the stash does not cover, and what every way on needs to know of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cached_property

from stash.match.coverage import Colours, covers, look_up, ways_of_sewing
from stash.match.joint import Joint
from stash.match.service import Servant
from stash.match.supply import offers
from stash.match.trials import NO_CHANGE, Option, Use, nearest_covered
from stash.model import Colour, Colouring, Coverage, Fabric, Mark, Star
from stash.star import chart
from stash.star.yields import strips_of_letter


class Situation:
    """The star, its colouring and the stash.

    `lacking` are the letters that are short or not measured.
    """

    def __init__(self, star: Star, colouring: Colouring, fabrics: Iterable[Fabric], coverage: Coverage) -> None:
        self.star = star
        self.colouring = colouring
        self.fabrics = tuple(fabrics)
        self.coverage = coverage
        self.colours: Colours = look_up(star, colouring, self.fabrics)
        self.lacking = [one.letter for one in coverage.letters if one.mark in (Mark.SHORT, Mark.UNMEASURED)]
        self.strips = {letter: strips_of_letter(star, letter) for letter in star.letters}
        self.in_use = {fabric.id for fabric in (*self.colours.fabrics(), *self.colours.parts.values())}

    def colour(self, letter: str) -> Colour | None:
        """The colour of a letter's fabric; of two look-alikes the first one's."""
        return self.colours.letters[letter][0].colour

    @cached_property
    def values(self) -> Mapping[str, float]:
        """L* by letter, of those that have a colour."""
        colours = {letter: self.colour(letter) for letter in self.star.letters}
        return {letter: colour.L for letter, colour in colours.items() if colour is not None}

    @cached_property
    def _stock(self) -> tuple[Joint, dict[int, int]]:
        measured = [fabric for fabric in self.fabrics if fabric.recorded and not fabric.archived]
        supplies = [(offers(fabric, self.star),) for fabric in measured]
        joint = Joint(self.star, Servant(self.star), supplies, frozenset(), ways_of_sewing(self.star))
        return joint, {fabric.id: number for number, fabric in enumerate(measured)}

    def covers_alone(self, fabric: Fabric, letter: str) -> bool:
        """Whether the fabric serves the letter by itself: where it does not, no colouring with it there is covered."""
        joint, numbers = self._stock
        number = numbers.get(fabric.id)
        return number is not None and joint.serves(number, self.star.letters.index(letter), joint.open)

    def covers_half(self, fabric: Fabric, letter: str) -> bool:
        """Whether the fabric by itself gives four points of the letter: a run of four for each small diamond."""
        joint, numbers = self._stock
        number = numbers.get(fabric.id)
        if number is None:
            return False
        servant, (offered,) = joint.servant, joint.supplies[number] or ((),)
        return servant.serves(servant.ways(offered), (0, 0, 0, 0, chart.cells(self.star, letter)))

    def may_stay(self, letter: str) -> bool:
        """Whether the letter's fabric could be enough when only other letters change."""
        mine = self.colours.letters[letter]
        return len(mine) == 1 and self.covers_alone(mine[0], letter)

    def options(self, letter: str, able: Sequence[Option]) -> list[Option]:
        """What may be done with a lacking letter, nearest first: nothing, where that can be, and `able`."""
        return [NO_CHANGE, *able] if self.may_stay(letter) else list(able)

    def others(self) -> list[Fabric]:
        """Measured fabrics with a colour that the colouring does not use yet."""
        return [
            fabric
            for fabric in self.fabrics
            if fabric.colour and fabric.recorded and fabric.pieces and not fabric.archived
            and fabric.id not in self.in_use
        ]  # fmt: skip

    def with_use(self, use: Mapping[str, tuple[str, ...]]) -> Colouring:
        """The colouring with other fabrics at some letters."""
        return replace(self.colouring, uses={**self.colouring.uses, **use})

    def nearest_covered(self, choices: Mapping[str, Sequence[Option]]) -> Use | None:
        """One of the options of each lacking letter, together the nearest with which the stash covers the star."""
        return nearest_covered(choices, self._covers)

    def _covers(self, use: Use, without: frozenset[str]) -> bool:
        return covers(self.star, self.with_use(use), self.fabrics, without)
