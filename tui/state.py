"""What the app holds in memory: the stash as it was last read, and the star that is open."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from stash.model import Colouring, Fabric, SavedStar, StoredPlan

if TYPE_CHECKING:
    from stash.inventory.store import Store


@dataclass(frozen=True, slots=True)
class Counts:
    """What of the stash counts for a star: pieces as they are or as they will be `after_wash`, and whether cloth
    that plans of other stars hold counts `with_held`."""

    after_wash: bool = False
    with_held: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Loaded:
    """The stash as last read. `token` tells a later reader whether anything changed since. Each is a thing of its
    own: comparing ten thousand fabrics one by one would hold up the screen.

    `fabrics` are those in use; `by_id` knows the archived ones too. `plans` are the kept ones with strips to cut,
    `all_plans` those that are cut, too; both newest first.
    """

    fabrics: tuple[Fabric, ...] = ()
    archived: tuple[Fabric, ...] = ()
    stars: tuple[SavedStar, ...] = ()
    token: object = None
    read_only: bool = False
    ready: bool = False
    by_id: dict[int, Fabric] = field(default_factory=dict)
    by_name: dict[str, Fabric] = field(default_factory=dict)
    plans: tuple[StoredPlan, ...] = ()
    all_plans: tuple[StoredPlan, ...] = ()

    def plan_in_hand(self, saved: SavedStar, number: int) -> StoredPlan | None:
        """The plan that a colouring is being cut by, or was cut by."""
        from stash.match.replan import plan_in_hand

        colouring = OpenStar(saved, number).colouring
        mine = [plan for plan in self.all_plans if (plan.star_id, plan.number) == (saved.id, number)]
        return plan_in_hand(saved.star, colouring, mine) if mine and colouring else None

    def cloth_for(self, star_id: int, counts: Counts) -> tuple[Fabric, ...]:
        """All fabrics, archived ones too, with the cloth that a saved star may take."""
        fabrics = tuple(self.by_id.values())
        if not counts.with_held and self.plans:
            from stash.match.holds import hold_back

            fabrics = hold_back(fabrics, self.plans, star_id, {star.id: star.name for star in self.stars})
        if counts.after_wash:
            from stash.match.washed import washed_first

            fabrics = washed_first(fabrics)
        return fabrics


@dataclass(frozen=True, slots=True)
class OpenStar:
    """The saved star on the table and which of its colourings (from 1; 0 while it has none)."""

    saved: SavedStar
    number: int = 0

    @property
    def colouring(self) -> Colouring | None:
        for one in self.saved.colourings:
            if one.number == self.number:
                return one.colouring
        return None


def read_stash(store: Store) -> Loaded:
    """Read the whole stash. Call it on the store's thread."""
    token = store.change_token()
    everything = store.fabrics(archived=True)
    fabrics = tuple(fabric for fabric in everything if not fabric.archived)
    plans = tuple(store.plans())
    return Loaded(
        fabrics=fabrics,
        archived=tuple(fabric for fabric in everything if fabric.archived),
        stars=tuple(store.stars()),
        token=token,
        read_only=bool(store.read_only),
        ready=True,
        by_id={fabric.id: fabric for fabric in everything},
        by_name={fabric.name: fabric for fabric in fabrics},
        plans=tuple(plan for plan in plans if any(strip.booked is None for strip in plan.strips)),
        all_plans=plans,
    )


def first_star(loaded: Loaded) -> OpenStar | None:
    """The star to open at start: the one that was cut last and is not all cut, else the first of the stash with its
    first colouring."""
    by_id = {star.id: star for star in loaded.stars}
    cut = {plan: max(strip.booked or 0 for strip in plan.strips) for plan in loaded.plans if plan.star_id in by_id}
    begun = max((plan for plan, entry in cut.items() if entry), key=lambda plan: cut[plan], default=None)
    if begun is not None:
        return opened(by_id[begun.star_id], begun.number)
    return opened(loaded.stars[0]) if loaded.stars else None


def opened(saved: SavedStar, number: int | None = None) -> OpenStar:
    """`saved` with colouring `number`, or its first where that is None or not there."""
    numbers = [one.number for one in saved.colourings]
    if number not in numbers:
        number = numbers[0] if numbers else 0
    return OpenStar(saved, number or 0)
