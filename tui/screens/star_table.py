"""What lies on the table: a star, one colouring of it, the row in hand and the fabric being tried. Plain data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from stash.errors import Fault
from stash.model import Colouring, Coverage, Fabric, Mark, Star, StoredPlan, WayOn
from tui.screens.star_change import is_dark_first, with_fabric
from tui.state import Counts
from tui.widgets.look import StarLook, make_look


@dataclass(frozen=True)
class Trial:
    """The fabrics to try on one row. `ring[0]` is what stands there ("" for nothing); `at` is the one shown."""

    letter: str
    ring: tuple[str, ...]
    at: int = 0

    @property
    def name(self) -> str:
        return self.ring[self.at]

    def moved(self, step: int) -> Trial:
        """The trial `step` fabrics on; past the last comes what stands there."""
        return replace(self, at=(self.at + step) % len(self.ring))


@dataclass(frozen=True)
class Verdict:
    """What the stash says to a colouring of a star. `fault` is set where it could not be asked."""

    star: Star
    colouring: Colouring
    stash: object  # the token of the stash that was asked, and what of it counts
    coverage: Coverage | None = None
    near_ground: tuple[int, ...] = ()
    fault: Fault | None = None


@dataclass(frozen=True)
class Ways:
    """The ways on that were found for a colouring of a star that the stash does not cover, `without` some fabrics."""

    star: Star
    colouring: Colouring
    stash: object
    found: tuple[WayOn, ...] = ()
    without: tuple[str, ...] = ()


@dataclass(frozen=True)
class Table:
    """The star on the table. `colouring` is the saved one; `shown` has the fabric being tried in it.

    `plan` is the one it is being cut by, or was cut by: what is cut is in the stash no longer.
    While a way on is tried (`way`), `star` is the one it leads to and `before` the saved one.

    `fabrics` are all by name, archived ones too, so that a colouring that uses one can be drawn. `targets` are the
    search's, light to dark, () while they are not known. Ways on do not offer the fabrics of `without`.
    """

    star_id: int
    name: str
    star: Star
    number: int
    numbers: tuple[int, ...]
    colouring: Colouring
    fabrics: Mapping[str, Fabric] = field(repr=False)
    stash: object = None
    locked: frozenset[str] = frozenset()
    counts: Counts = field(default_factory=Counts)
    without: tuple[str, ...] = ()
    plan: StoredPlan | None = None
    picked: str | None = None
    trial: Trial | None = None
    verdict: Verdict | None = None
    targets: tuple[float, ...] = ()
    ways: Ways | None = None
    way: WayOn | None = None
    before: Star | None = None

    @property
    def trying(self) -> bool:
        """A fabric other than the saved one is on the star, or a way on is."""
        return self.way is not None or (self.trial is not None and self.trial.at > 0)

    @property
    def saved_star(self) -> Star:
        return self.before or self.star

    @property
    def ways_now(self) -> Ways | None:
        """The ways on of what is shown, or of what was shown before one of them was tried."""
        ways = self.ways
        if ways is None or (ways.stash, ways.without) != (self.stash, self.without):
            return None
        asked = self.put_back() if self.way is not None else self
        return ways if (ways.star, ways.colouring) == (asked.star, asked.shown) else None

    def try_way(self, way: WayOn) -> Table:
        """The table with a way on laid out on it."""
        picked = self.picked if self.picked is not None and self.picked in way.star.letters else None
        return replace(self, star=way.star, before=self.saved_star, way=way, picked=picked)

    def put_back(self) -> Table:
        """The table without the way on that was tried."""
        return self if self.way is None else replace(self, star=self.saved_star, before=None, way=None)

    def is_same_saved(self, other: Table) -> bool:
        """Whether both show the same colouring of the same star, as saved."""
        mine = (self.star_id, self.number, self.saved_star, self.colouring)
        return mine == (other.star_id, other.number, other.saved_star, other.colouring)

    @property
    def shown(self) -> Colouring:
        if self.way is not None:
            return self.way.colouring
        if self.trial is None or self.trial.at == 0:
            return self.colouring
        return with_fabric(self.colouring, self.trial.letter, self.trial.name)

    def in_hand(self) -> Fabric | None:
        """The fabric shown on the picked row, the first of two look-alikes."""
        names = self.shown.uses.get(self.picked or "", ())
        return self.fabrics.get(names[0]) if names else None

    def in_use(self) -> tuple[Fabric, ...]:
        """The fabrics that are not archived."""
        return tuple(fabric for fabric in self.fabrics.values() if not fabric.archived)

    def to_offer(self) -> tuple[Fabric, ...]:
        """The fabrics in use less those left out of suggestions, but for what the colouring has."""
        shown = self.shown
        had = {name for names in shown.uses.values() for name in names} | {shown.ground, shown.binding, shown.backing}
        return tuple(one for one in self.in_use() if one.name not in self.without or one.name in had)

    def put_away(self) -> list[str]:
        """Archived fabrics of what is shown, each with its letters: `Fern (B)`."""
        letters: dict[str, str] = {}
        for letter in self.star.letters:
            for name in self.shown.uses.get(letter, ()):
                if name in self.fabrics and self.fabrics[name].archived:
                    letters[name] = letters.get(name, "") + letter
        return [f"{name} ({at})" for name, at in letters.items()]

    @property
    def judged(self) -> Verdict | None:
        """The verdict, if it is on just what is shown."""
        verdict = self.verdict
        if verdict is None or (verdict.star, verdict.colouring, verdict.stash) != (self.star, self.shown, self.stash):
            return None
        return verdict

    @property
    def coverage(self) -> Coverage | None:
        """What the stash says to just what is shown, where it has said it."""
        return self.judged.coverage if self.judged else None

    @property
    def to_measure(self) -> tuple[str, ...]:
        """Fabrics of what is shown that are not measured yet, but for those left out."""
        if self.way is not None or self.coverage is None:
            return ()
        names = dict.fromkeys(name for one in self.coverage.letters for name in one.fabrics)
        return tuple(name for name in names if not self.fabrics[name].recorded and name not in self.without)

    @property
    def is_being_cut(self) -> bool:
        """What is shown is cut already, whole or in part."""
        return self.plan is not None and not self.trying

    def look(self) -> StarLook:
        return make_look(
            self.star,
            self.shown,
            self.fabrics,
            self.verdict.coverage if self.verdict else None,
            self._targets(),
            self.locked,
            self.judged.near_ground if self.judged else (),
            self.picked,
        )

    def _targets(self) -> tuple[float, ...]:
        if len(self.targets) != len(self.star.letters):
            return even_targets(self.star, self.colouring, self.fabrics)
        return self.targets[::-1] if is_dark_first(self.star, self.colouring, self.fabrics) else self.targets

    def pick(self, letter: str | None) -> Table:
        """Take a row in hand. A trial on another row is let go."""
        if letter is not None and letter not in self.star.letters:
            return self
        return replace(self, picked=letter, trial=self.trial if letter == self.picked else None)

    def neighbour(self, step: int) -> str:
        """The letter before or after the picked one; the first short one where none is picked yet."""
        letters = self.star.letters
        if self.picked is None or self.picked not in letters:
            return self.first_short() or letters[0]
        return letters[(letters.index(self.picked) + step) % len(letters)]

    def first_short(self) -> str | None:
        covers = self.verdict.coverage.letters if self.verdict and self.verdict.coverage else ()
        return next((cover.letter for cover in covers if cover.mark is Mark.SHORT), None)

    def target_of(self, letter: str) -> float:
        """The target of a letter, or else its own value, or the middle."""
        row = self.look().by_letter[letter]
        return next((value for value in (row.target, row.value) if value is not None), 50.0)


def even_targets(star: Star, colouring: Colouring, fabrics: Mapping[str, Fabric]) -> tuple[float, ...]:
    """Even steps between the ends of the run itself, until the search has named its targets."""
    ends = []
    for letter in (star.letters[0], star.letters[-1]):
        found = [fabrics[name].colour for name in colouring.uses.get(letter, ()) if name in fabrics]
        if not found or found[0] is None:
            return ()
        ends.append(found[0].L)
    first, last = ends
    count = len(star.letters)
    return tuple(first + (last - first) * at / (count - 1) for at in range(count)) if count > 1 else (first,)
