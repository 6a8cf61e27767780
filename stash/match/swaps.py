"""Ways on with the star as it is: an exchange of two letters, a stand-in, two look-alikes in one row."""

from __future__ import annotations

from itertools import combinations, pairwise

from stash.colour.lab import delta_e_2000
from stash.match.situation import Situation
from stash.match.trials import Option, Use
from stash.model import Fabric, Step, WayOn
from stash.star.chart import strip_sets

ALIKE = 4.0  # L* that two look-alikes are apart at most (our own figure)
OTHERS = 1.0  # how far two new fabrics are said to be, where the letter's own stays with one it is 0
CLOSE = 0.5  # L* under which a change of value is not worth a word


def exchange(now: Situation) -> WayOn | None:
    """Short letters change places with letters that need fewer strips; the least change of value first."""
    choices: dict[str, list[Option]] = {}
    for letter in now.lacking:
        mine = now.colours.letters[letter]
        able: list[Option] = []
        for place, other in enumerate(now.star.letters):
            theirs = now.colours.letters[other]
            if other in now.lacking or now.strips[other] >= now.strips[letter] or len(mine) + len(theirs) > 2:
                continue
            if now.covers_alone(theirs[0], letter) and now.covers_alone(mine[0], other):
                swapped: Use = {letter: (theirs[0].name,), other: (mine[0].name,)}
                able.append(((_jump(mine[0], theirs[0]), 0.0, place), swapped))
        choices[letter] = now.options(letter, sorted(able, key=lambda one: one[0]))
    use = now.nearest_covered(choices)
    if use is None:
        return None
    pairs = _swapped(now, use)
    said = ", ".join(f"{one} and {other} ({use[one][0]} at {one}, {use[other][0]} at {other})" for one, other in pairs)
    return WayOn(Step.EXCHANGE, f"exchange {said}: {run_words(now, use)}", now.star, now.with_use(use), use)


def _swapped(now: Situation, use: Use) -> list[tuple[str, str]]:
    pairs = []
    for letter in now.star.letters:
        if letter in use and letter in now.lacking:
            other = next(one for one in use if use[one] == now.colouring.uses[letter])
            pairs.append((letter, other))
    return pairs


def stand_in(now: Situation) -> WayOn | None:
    """Other fabrics for the letters that lack strips: nearest in value, then by CIEDE2000."""
    use = now.nearest_covered({letter: now.options(letter, _stand_ins(now, letter)) for letter in now.lacking})
    if use is None:
        return None
    said = "; ".join(_stands_in(now, letter, use[letter][0]) for letter in sorted(use))
    return WayOn(Step.STAND_IN, f"{said}: {run_words(now, use)}", now.star, now.with_use(use), use)


def _stand_ins(now: Situation, letter: str) -> list[Option]:
    """Fabrics not in use that cover the letter alone: nearest to its own in value, then by CIEDE2000, then by name;
    by name only where its own has no colour."""
    able = [fabric for fabric in now.others() if now.covers_alone(fabric, letter)]
    able.sort(key=lambda fabric: fabric.name.casefold())
    apart = [0.0] * len(able)
    wanted = now.colour(letter)
    if wanted is not None:
        apart = delta_e_2000(wanted, [fabric.colour for fabric in able if fabric.colour])
    found: list[Option] = [
        ((abs(_value(fabric) - wanted.L) if wanted else 0.0, difference, place), {letter: (fabric.name,)})
        for place, (fabric, difference) in enumerate(zip(able, apart, strict=True))
    ]
    return sorted(found, key=lambda one: one[0])


def look_alikes(now: Situation) -> WayOn | None:
    """Two fabrics in one row, four points of each, alternating: the row's own with another, else two others."""
    use = now.nearest_covered({letter: now.options(letter, _pairs(now, letter)) for letter in now.lacking})
    if use is None:
        return None
    said = "; ".join(f"{' and '.join(use[letter])} at {letter}" for letter in sorted(use))
    sets = _sets_with(now, use)
    text = f"two look-alikes, {said}: four points of each, alternating; {sets} sewn halved"
    return WayOn(Step.LOOK_ALIKES, text, now.star, now.with_use(use), use)


def _pairs(now: Situation, letter: str) -> list[Option]:
    """Two fabrics of the letter's value, nearest by CIEDE2000; those with its own come before two others."""
    mine, wanted = now.colours.letters[letter][0], now.colour(letter)
    if wanted is None or len(now.colours.letters[letter]) > 1:
        return []
    near = [
        fabric for fabric in now.others()
        if abs(_value(fabric) - wanted.L) <= ALIKE and now.covers_half(fabric, letter)
    ]  # fmt: skip
    near.sort(key=lambda fabric: fabric.name.casefold())
    apart = dict(zip(near, delta_e_2000(wanted, [fabric.colour for fabric in near if fabric.colour]), strict=True))
    with_own = [(0.0, apart[one], mine, one) for one in near if now.covers_half(mine, letter)]
    of_others = [
        (OTHERS, apart[one] + apart[other], one, other)
        for one, other in combinations(sorted(near, key=apart.__getitem__), 2)
        if abs(_value(one) - _value(other)) <= ALIKE
    ]
    found: list[Option] = [
        ((others, difference, place), {letter: (one.name, other.name)})
        for place, (others, difference, one, other) in enumerate([*with_own, *of_others])
    ]
    return sorted(found, key=lambda one: one[0])


def _sets_with(now: Situation, use: Use) -> str:
    numbers = [str(one.number) for one in strip_sets(now.star) if set(one.letters) & use.keys()]
    if len(numbers) == 1:
        return f"set {numbers[0]} is"
    return f"sets {', '.join(numbers[:-1])} and {numbers[-1]} are"


def _stands_in(now: Situation, letter: str, name: str) -> str:
    """`Fern for Moss at D, 3 darker`."""
    said = f"{name} for {' + '.join(now.colouring.uses[letter])} at {letter}"
    if letter not in now.values:
        return said
    fabric = next(one for one in now.fabrics if one.name == name)
    off = _value(fabric) - now.values[letter]
    if abs(off) < CLOSE:
        return f"{said}, of the same value"
    return f"{said}, {abs(off):.0f} {'lighter' if off > 0 else 'darker'}"


def run_words(now: Situation, use: Use) -> str:
    """What a change makes of the run: `steps of value 4 to 18 (9 to 14 before)`, or where it turns back."""
    by_name = {fabric.name: fabric for fabric in now.fabrics}
    after = dict(now.values)
    for letter, names in use.items():
        colour = by_name[names[0]].colour
        if colour is not None:
            after[letter] = colour.L
    letters = now.star.letters
    if set(after) != set(letters) or set(now.values) != set(letters) or len(letters) == 1:
        return "its values are not all known"
    before_run, after_run = ([values[letter] for letter in letters] for values in (now.values, after))
    falls = before_run[0] >= before_run[-1]
    back = [
        f"{one} to {other}"
        for (one, other), (first, second) in zip(pairwise(letters), pairwise(after_run), strict=True)
        if (second > first) is falls and first != second
    ]
    if back:
        return f"the run turns back in value from {', '.join(back)}"
    before, after_words = _steps(before_run), _steps(after_run)
    return f"steps of value {after_words}" + (" as before" if before == after_words else f" ({before} before)")


def _steps(run: list[float]) -> str:
    steps = [abs(one - other) for one, other in pairwise(run)]
    return f"{min(steps):.0f} to {max(steps):.0f}"


def _value(fabric: Fabric) -> float:
    assert fabric.colour is not None
    return fabric.colour.L


def _jump(one: Fabric, other: Fabric) -> float:
    if one.colour is None or other.colour is None:
        return 100.0
    return abs(one.colour.L - other.colour.L)
