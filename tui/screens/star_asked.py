"""What the Star screen asks of the stash for the star on the table. Each call takes its time: call it on a thread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stash.errors import Fault
from stash.match.wishes import Wishes
from stash.model import Colouring, Fabric, Star, Suggestions, same_strips
from tui.screens.star_change import carried, is_complete, of_sequence
from tui.screens.star_table import Table, Verdict, Ways


def run_targets(star: Star, fabrics: Sequence[Fabric], wishes: Wishes) -> tuple[float, ...]:
    """The targets of a search, light to dark, without the search; () where no fabric may be used.

    Raises UsageFault and NotFound for wishes that clash.
    """
    from stash.match.candidates import find_candidates
    from stash.match.sequence import spread

    ends = find_candidates(star, fabrics, wishes).ends()
    if ends is None:
        return ()
    lightest = ends[0] if wishes.lightest is None else wishes.lightest
    darkest = ends[1] if wishes.darkest is None else wishes.darkest
    return spread(lightest, darkest, len(star.letters)) if lightest >= darkest else ()


def ring_for(
    table: Table, fabrics: Sequence[Fabric], letter: str, target: float, banned: Sequence[str]
) -> tuple[str, ...]:
    """What to try on a row: what stands there, then the nearest to the target."""
    from stash.match.sequence import row_candidates

    here = table.colouring.uses.get(letter, ())
    out = {name for names in table.colouring.uses.values() for name in names} | set(banned)
    found = [fabric.name for fabric in row_candidates(fabrics, target) if fabric.name not in out]
    return (" + ".join(here) if len(here) != 1 else here[0], *found)


def judge(table: Table, stand_off: float) -> Verdict:
    """Ask the stash about what is shown. A Fault becomes part of the verdict."""
    from stash.match.replan import cover
    from stash.match.sequence import near_ground_rows

    star, colouring, fabrics = table.star, table.shown, table.fabrics
    verdict = Verdict(star, colouring, table.stash)
    if not is_complete(star, colouring):
        return verdict
    try:
        coverage = cover(star, colouring, table.in_use(), None if table.trying else table.plan)
    except Fault as fault:
        return replace(verdict, fault=fault)
    colours = [fabrics[colouring.uses[letter][0]].colour for letter in star.letters]
    ground = fabrics[colouring.ground].colour if colouring.ground else None
    values = [colour.L for colour in colours if colour]
    near: tuple[int, ...] = ()
    if ground is not None and len(values) == len(star.letters):
        near = near_ground_rows(star, values, ground.L, stand_off)
    return replace(verdict, coverage=coverage, near_ground=near)


def find_ways(table: Table) -> Ways:
    """The ways on of what is shown."""
    from stash.match.ways_on import ways_on, ways_on_cut

    try:
        if table.plan is not None and table.is_being_cut:
            found = ways_on_cut(table.star, table.shown, table.in_use(), table.plan)
        else:
            found = ways_on(table.star, table.shown, table.to_offer())
    except Fault:
        found = ()
    return Ways(table.star, table.shown, table.stash, found, table.without)


@dataclass(frozen=True)
class Fitted:
    """A colouring for a changed star. `answer` is the search's, where it was asked; `kept` says that no run was
    found and the fabrics stayed where they were."""

    star: Star
    colouring: Colouring
    answer: Suggestions | None = None
    kept: bool = False


def fit_colouring(
    old: Star, new: Star, colouring: Colouring, fabrics: Sequence[Fabric], wishes: Wishes, locked: frozenset[str]
) -> Fitted:
    """A colouring for a star that changed.

    Where only the quilt round the star, the cloth to buy or the units change, the fabrics stay, cut or not; where the
    letters are the same and the stash still covers them, too. Else the search is asked for a fresh
    run with the locked letters fixed; where there is none, fabrics stay as far as there is a place for them.
    """
    from stash.match.coverage import check
    from stash.match.sequence import suggest

    kept = replace(colouring, uses=carried(old, new, colouring.uses))
    if new != old and same_strips(old, new) and is_complete(new, kept):
        return Fitted(new, kept)
    same_rows = new.order == old.order and new != old
    if same_rows and is_complete(new, kept) and check(new, kept, fabrics).covered:
        return Fitted(new, kept)
    answer = suggest(new, fabrics, replace(wishes, top=1))
    if not answer.sequences:
        return Fitted(new, kept, answer, kept=True)
    return Fitted(new, of_sequence(new, answer.sequences[0], kept, locked), answer)
