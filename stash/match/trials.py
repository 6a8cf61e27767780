"""The nearest change of one or several letters with which the stash covers a star.

Each lacking letter has its options, and one option of each is taken. Changes are put together letter by letter, the
nearest first. What is put together so far is asked of the stash with the letters that are still open left out: what it
cannot be covered with then, it cannot be covered with at all. So the first whole change that is covered is the nearest.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from heapq import heappop, heappush

Use = dict[str, tuple[str, ...]]  # the fabrics of the letters that a change concerns
Apart = tuple[float, float, int]  # how far a change goes: in value, by CIEDE2000, its place in the order of the names
Option = tuple[Apart, Use]
Covers = Callable[[Use, frozenset[str]], bool]  # whether the stash covers a change, some letters being left out

NO_CHANGE: Option = ((0.0, 0.0, 0), {})
TRIES = 1000  # questions to the stash that one step may take; only many lacking letters at once come near it


def nearest_covered(choices: Mapping[str, Sequence[Option]], covers: Covers) -> Use | None:
    """One of the options of each lacking letter, together the nearest that is covered; None where there is none.

    choices -- by lacking letter, the nearest first. No fabric is taken for two letters, and something must change.
    """
    letters = sorted(choices, key=lambda letter: len(choices[letter]))
    options = [choices[letter] for letter in letters]
    if not all(options) or _too_few(options):
        return None
    open_after = _open_letters(letters, options)
    least_after = [_sum(each[0][0] for each in options[i:]) for i in range(len(options) + 1)]
    waiting: list[tuple[Apart, tuple[int, ...], Apart, Use]] = [(least_after[0], (), NO_CHANGE[0], {})]
    for _ in range(TRIES):
        if not waiting:
            return None
        _, taken, apart, use = heappop(waiting)
        done = len(taken)
        if (done < len(options) or use) and covers(use, open_after[done]):
            if done == len(options):
                return use
            for i, (further, change) in enumerate(options[done]):
                together = _together(use, change)
                if together is not None:
                    so_far = _sum((apart, further))
                    heappush(waiting, (_sum((so_far, least_after[done + 1])), (*taken, i), so_far, together))
    return None


def _too_few(options: Sequence[Sequence[Option]]) -> bool:
    """Whether more letters must have other fabrics than there are."""
    must = [each for each in options if all(use for _, use in each)]
    return len({name for each in must for _, use in each for names in use.values() for name in names}) < len(must)


def _open_letters(letters: Sequence[str], options: Sequence[Sequence[Option]]) -> list[frozenset[str]]:
    """The letters that may still change, once the first 0, 1, 2 ... have been chosen for."""
    touched = [{letter}.union(*(use for _, use in each)) for letter, each in zip(letters, options, strict=True)]
    return [frozenset().union(*touched[i:]) for i in range(len(touched) + 1)]


def _together(use: Use, change: Use) -> Use | None:
    """Both in one; None where they change the same letter or put one fabric in two places."""
    names = {name for each in use.values() for name in each}
    if use.keys() & change.keys() or any(name in names for each in change.values() for name in each):
        return None
    return use | change


def _sum(parts: Iterable[Apart]) -> Apart:
    values, colours, places = zip(NO_CHANGE[0], *parts, strict=True)
    return sum(values), sum(colours), sum(places)
