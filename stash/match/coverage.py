"""Does the stash cover this colouring? Marks, the choice of sewing, strips to buy, and the cuts."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from stash.errors import Fault, UsageFault
from stash.lengths import TICKS_PER_INCH
from stash.match.buying import to_buy
from stash.match.choice import Chooser, Modes, Part, needed
from stash.match.cuts import piece_cuts
from stash.match.ground import OnPieces, lay_parts, supplies
from stash.match.packing import SIZES
from stash.match.parts import Laid, ground_cover, quilt_covers
from stash.match.service import Servant, Service, runs_of
from stash.match.spares import spare_segments
from stash.match.supply import Offer, Supply
from stash.model import (
    QUILT_PARTS,
    Colouring,
    Coverage,
    Fabric,
    LetterCover,
    Mark,
    PieceCut,
    SetSewn,
    Sewn,
    Star,
    Way,
)
from stash.names import name_key, not_found
from stash.star import chart
from stash.star.yields import RUNS, most_on_paper, strips_of_letter


def ways_of_sewing(star: Star) -> Modes:
    """The ways of sewing a set that a star allows, most wanted first."""
    modes: Modes = (Sewn.WHOLE, Sewn.SEVEN_ONE, Sewn.HALVED)
    return (*modes, Sewn.QUARTERED) if star.small_runs else modes


@dataclass(frozen=True, slots=True)
class Colours:
    """A colouring looked up in the stash: the fabrics at each letter, and those of the quilt round the star."""

    letters: Mapping[str, tuple[Fabric, ...]]
    parts: Mapping[str, Fabric]

    @property
    def ground(self) -> Fabric | None:
        """The fabric of the ground, if one is named."""
        return self.parts.get("ground")

    def names(self) -> dict[str, tuple[str, ...]]:
        """The names of each letter's fabrics."""
        return {letter: tuple(fabric.name for fabric in used) for letter, used in self.letters.items()}

    def parts_of(self, fabric: Fabric) -> tuple[str, ...]:
        """Which parts of the quilt a fabric makes."""
        return tuple(part for part in QUILT_PARTS if part in self.parts and self.parts[part].id == fabric.id)

    def fabrics(self) -> tuple[Fabric, ...]:
        """Each fabric once, in the order of its first letter."""
        return tuple({fabric.id: fabric for used in self.letters.values() for fabric in used}.values())


def find_fabric(name: str, by_name: Mapping[str, Fabric]) -> Fabric:
    """The fabric of that name (`by_name`: by name key). Raises NotFound, and Fault for one that is put away."""
    found = by_name.get(name_key(name))
    if found is None:
        raise not_found("fabric", name, (fabric.name for fabric in by_name.values() if not fabric.archived))
    if found.archived:
        raise Fault("this fabric is archived, and is not counted as cloth", found.name, "bring it back or use another")
    return found


def look_up(star: Star, colouring: Colouring, fabrics: Iterable[Fabric]) -> Colours:
    """Find the fabrics of a colouring. Raises NotFound for a name, UsageFault for letters that do not fit."""
    by_name = {name_key(fabric.name): fabric for fabric in fabrics}
    letters = star.letters
    lacking = [letter for letter in letters if not colouring.uses.get(letter)]
    unknown = sorted(set(colouring.uses) - set(letters))
    if lacking or unknown:
        wrong = f"no fabric is named for {', '.join(lacking)}" if lacking else f"no row has {', '.join(unknown)}"
        raise UsageFault(wrong, do=f"name a fabric for each of {', '.join(letters)}, as A=NAME")
    found: dict[str, tuple[Fabric, ...]] = {}
    for letter in letters:
        each = {fabric.id: fabric for fabric in (find_fabric(name, by_name) for name in colouring.uses[letter])}
        if len(each) > 2:
            raise UsageFault(f"{letter} has {len(each)} fabrics", do="name one, or two look-alikes as D=Moss+Fern")
        found[letter] = tuple(each.values())
    return Colours(found, {part: find_fabric(name, by_name) for part, name in colouring.parts.items()})


def check(star: Star, colouring: Colouring, fabrics: Iterable[Fabric]) -> Coverage:
    """Whether the stash covers `colouring`, how each set is sewn, and the cuts.

    Raises NotFound for a fabric that is not in the stash and UsageFault for letters or a star that cannot be.
    """
    chart.check_star(star)
    return _Check(star, look_up(star, colouring, fabrics)).answer()


def covers(
    star: Star, colouring: Colouring, fabrics: Iterable[Fabric], without: Collection[str] = ()
) -> bool:
    """Whether `check` would find the colouring covered: the bare answer, several times as fast. Nothing is asked for
    the letters in `without`.

    Raises as `check` does.
    """
    chart.check_star(star)
    colours = look_up(star, colouring, fabrics)
    asked = {letter: used for letter, used in colours.letters.items() if letter not in without}
    return _Asked(star, replace(colours, letters=asked)).possible()


def services(star: Star, colouring: Colouring, fabrics: Iterable[Fabric]) -> dict[int, Service]:
    """How each measured fabric of the letters serves them in the choice that `check` takes, by fabric id. Raises as
    `check` does."""
    chart.check_star(star)
    return _Check(star, look_up(star, colouring, fabrics)).services


def parts_of(
    star: Star, letters: Mapping[str, tuple[Fabric, ...]], supply: Mapping[int, Supply]
) -> dict[int, Part]:
    """Each fabric's part of the star, by fabric id; fabrics without a supply (unmeasured) are left out."""
    sets = chart.strip_sets(star)
    parts: dict[int, Part] = {}
    for used in letters.values():
        for fabric in used:
            if fabric.id in supply and fabric.id not in parts:
                mine = {letter: names for letter, names in letters.items() if fabric in names}
                count = [[sum(len(mine[x]) == n for x in one.letters if x in mine) for one in sets] for n in (1, 2)]
                parts[fabric.id] = Part(supply[fabric.id], tuple(count[0]), tuple(count[1]))
    return parts


class _Asked:
    """A colouring as the stash is asked about it: what each fabric offers, and its part of the star."""

    def __init__(self, star: Star, colours: Colours) -> None:
        self.star = star
        self.colours = colours
        self.servant = Servant(star)
        makers = {fabric.id: fabric for fabric in colours.parts.values()}
        self.laid = {key: lay_parts(fabric, star, colours.parts_of(fabric)) for key, fabric in makers.items()}
        measured = [fabric for fabric in colours.fabrics() if fabric.recorded]
        self.supply = {fabric.id: supplies(fabric, star, self.laid.get(fabric.id)) for fabric in measured}
        self.parts = parts_of(star, colours.letters, self.supply)
        self.fabrics = {fabric.id: fabric for fabric in measured}

    def possible(self) -> bool:
        """Whether some choice of sewing needs nothing bought, every fabric being measured."""
        measured = all(fabric.recorded for fabric in self.colours.fabrics())
        return measured and self.chooser().possible()

    def chooser(self) -> Chooser:
        """Finds the best choice; a set with look-alikes in it is always halved."""
        modes = ways_of_sewing(self.star)
        paired = {letter for letter, used in self.colours.letters.items() if len(used) == 2}
        allowed = [
            (Sewn.HALVED,) if paired & set(one.letters) else modes for one in chart.strip_sets(self.star)
        ]
        return Chooser(self.servant, list(self.parts.values()), allowed)


class _Check(_Asked):
    """One check: the choice first, then what follows from it."""

    def __init__(self, star: Star, colours: Colours) -> None:
        super().__init__(star, colours)
        choice = self.chooser().best()
        if choice is None:
            raise UsageFault("strips this wide do not give the runs", do="use narrower strips or wider cloth")
        self.choice = choice
        self.needs = {key: needed(part, self.choice) for key, part in self.parts.items()}
        self.services = {key: self._service(key) for key in self.parts}

    def _service(self, key: int) -> Service:
        """The best service; its cloth may ask for another layout of the parts that the fabric makes."""
        if key not in self.laid or not self.laid[key].others:
            return self._best(key, self.parts[key].supply)
        laid = self.laid[key]
        found: list[tuple[int, int, Service, OnPieces]] = []
        for one in (laid, *laid.others):
            service = self._best(key, supplies(self.fabrics[key], self.star, replace(one, others=())))
            found.append((service.cost.missing, len(found), service, one))
        _, _, best, self.laid[key] = min(found, key=lambda each: each[:2])
        return best

    def _best(self, key: int, variants: Iterable[tuple[Offer, ...]]) -> Service:
        found = (self.servant.best(supply, self.needs[key]) for supply in variants)
        return min((service for service in found if service is not None), key=lambda service: service.cost)

    def answer(self) -> Coverage:
        """Marks, sets, cuts where the star is covered, and the parts of the quilt round it."""
        letters = tuple(self._letter(letter) for letter in self.star.letters)
        covered = all(letter.mark in (Mark.COVERED, Mark.TIGHT) for letter in letters)
        cuts = tuple(self._cuts()) if covered else ()
        laid, sets = self._laid_parts(), tuple(self._sets(cuts))
        ground, quilt = ground_cover(self.star, laid), tuple(quilt_covers(self.star, laid))
        return Coverage(covered, letters, sets, cuts, ground, quilt=quilt)

    def _letter(self, letter: str) -> LetterCover:
        used = self.colours.letters[letter]
        if any(not fabric.recorded for fabric in used):
            return replace(plain_cover(self.star, letter, used), strips_on_hand=0, mark=Mark.UNMEASURED, held_for=())
        services = [self.services[fabric.id] for fabric in used]
        missing = sum(service.cost.missing for service in services)
        about = any(self._rests_on_estimate(fabric) for fabric in used)
        cover = replace(plain_cover(self.star, letter, used), about=about)
        if missing:
            return short_of(self.star, cover, missing)
        spare = self._spare(services)
        roomy = spare is None and all(self._lane_to_spare(fabric, letter) for fabric in used)
        return replace(cover, mark=Mark.COVERED if roomy else Mark.TIGHT, spare=spare)

    def _spare(self, services: Sequence[Service]) -> float | None:
        """The least length left on a lane, inches, where it is under 1/2."""
        tight = [service for service in services if service.cost.tight]
        return min((self.servant.least_left(piece) for one in tight for piece in one.pieces), default=None)

    def _lane_to_spare(self, fabric: Fabric, letter: str) -> bool:
        runs = runs_of(self.needs[fabric.id])
        longest = self._longest_run(fabric, letter)
        return any(self.servant.has_lane_to_spare(supply, runs, longest) for supply in self.supply[fabric.id])

    def _longest_run(self, fabric: Fabric, letter: str) -> int:
        alone = parts_of(self.star, {letter: self.colours.letters[letter]}, self.supply)[fabric.id]
        runs = runs_of(needed(alone, self.choice))
        return next(size for size, count in zip(SIZES, runs, strict=True) if count)

    def _rests_on_estimate(self, fabric: Fabric) -> bool:
        service = self.services[fabric.id]
        used = fabric.pieces if service.cost.missing else tuple(one.offer.piece for one in service.pieces)
        return any(piece.estimated for piece in used)

    def _cuts(self) -> Iterable[PieceCut]:
        for key, part in self.parts.items():
            yield from piece_cuts(self.star, self.fabrics[key], part, self.choice, self.services[key])

    def _sets(self, cuts: Sequence[PieceCut]) -> Iterable[SetSewn]:
        on_paper = most_on_paper(self.star, self.star.width, 1)
        spares = spare_segments(self.star, self.colours.names(), cuts) if cuts else {}
        for number, sewn in enumerate(self.choice, start=1):
            spare = spares[number].together if cuts else max(0, on_paper - max(RUNS[sewn]))
            yield SetSewn(number, sewn, spare)

    def _laid_parts(self) -> dict[str, Laid]:
        """Ground, binding and backing: how each lies beside the letters."""
        return {
            part: Laid(fabric, self.laid[fabric.id], self._taken(fabric))
            for part, fabric in self.colours.parts.items()
        }

    def _taken(self, fabric: Fabric) -> dict[int, int]:
        """Ticks of length that the letters take of a fabric's pieces, by place in the order of ids; all of a piece cut
        along."""
        service = self.services.get(fabric.id)
        places = {piece.id: i for i, piece in enumerate(sorted(fabric.pieces, key=lambda piece: piece.id))}
        return {
            places[one.offer.piece.id]: math.ceil(len(one.fillings) * self.star.strip * TICKS_PER_INCH)
            if one.lanes.way is Way.ACROSS
            else one.offer.piece.length
            for one in (service.pieces if service else ())
        }


def plain_cover(star: Star, letter: str, used: Iterable[Fabric]) -> LetterCover:
    """A letter that its fabrics cover with cloth to spare: what all its marks have in common."""
    fabrics = tuple(used)
    needed = strips_of_letter(star, letter)
    names = tuple(fabric.name for fabric in fabrics)
    cells = chart.cells(star, letter)
    return LetterCover(letter, names, cells, needed, needed, Mark.COVERED, held_for=held_for(fabrics))


def short_of(star: Star, cover: LetterCover, missing: int) -> LetterCover:
    """The letter where `missing` full-width strips are to buy for it."""
    buy, with_spare = (to_buy(star, count * star.strip) for count in (missing, missing + 1))
    return replace(
        cover, strips_on_hand=max(0, cover.strips_needed - missing), mark=Mark.SHORT, missing=missing, buy=buy,
        buy_with_spare=with_spare,
    )  # fmt: skip


def held_for(fabrics: Iterable[Fabric]) -> tuple[str, ...]:
    """The stars whose plans hold cloth of these fabrics, each once."""
    holds = (piece.hold for fabric in fabrics for piece in fabric.pieces if piece.hold is not None)
    return tuple(dict.fromkeys(star for hold in holds for star in hold.stars))

