"""Ways on with another star: another repeat, the run turned, narrower strips, a smaller grid."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from stash.errors import UsageFault
from stash.lengths import show_length, show_typed
from stash.match.coverage import covers
from stash.match.sequence import suggest
from stash.match.situation import Situation
from stash.match.sizes import sizes
from stash.match.trials import Use
from stash.match.wishes import Wishes
from stash.model import Colouring, Star, Step, WayOn
from stash.star.geometry import finished
from stash.star.repeats import REPEAT_WORDS, REPEATS, order_of, other_grid, other_strip, repeat_of
from stash.wording import counted

JUMP, STANDS_OFF = 1.5, 25.0  # a step of so many even ones, and of so much L*, is a jump (our own figures)
SEARCH_AT_MOST = 2.0  # seconds for a fresh run of fabrics


def repeat(now: Situation) -> WayOn | None:
    """The same grid with another repeat: in the colouring's own fabrics, else in others of the stash. One whose run
    has no jump in value comes before one that has; such a jump is said."""
    found: list[WayOn] = []
    for name in REPEATS:
        star = replace(now.star, order=order_of(name, now.star.grid))
        run = _fresh_run(now, star) if repeat_of(now.star) != name else None
        if run is not None:
            text = f"{REPEAT_WORDS[name]}, {counted(len(run.names), 'fabric')}: {_listed(star, run)}"
            way = _way(now, Step.REPEAT, text, star, run)
            if not way.note:
                return way
            found.append(way)
    return found[0] if found else None


def turn(now: Situation) -> WayOn | None:
    """The run turned: what lies at the centre goes to the tip."""
    letters = now.star.letters
    use: Use = {
        letter: tuple(now.colouring.uses[other]) for letter, other in zip(letters, reversed(letters), strict=True)
    }
    if len(letters) < 2 or not covers(now.star, now.with_use(use), now.fabrics):
        return None
    ends = [now.values.get(letters[0]), now.values.get(letters[-1])]
    way = "turned"
    if ends[0] is not None and ends[1] is not None:
        way = "dark to light" if ends[0] > ends[1] else "light to dark"
    turned = now.with_use(use)
    text = f"the run turned, {way} from the centre: {_listed(now.star, turned)}"
    return WayOn(Step.TURN, text, now.star, turned, _use(now, turned))


def narrower(now: Situation) -> WayOn | None:
    """The same fabrics in the widest narrower strips that they cover."""
    for star in _narrower_stars(now.star):
        if covers(star, now.colouring, now.fabrics):
            text = f"strips of {show_typed(star.strip, star.units)}: {_size(now.star, star)}"
            return WayOn(Step.STRIP, text, star, now.colouring, {})
    return None


def _narrower_stars(star: Star) -> Iterator[Star]:
    while True:
        try:
            star = other_strip(star, -1)
        except UsageFault:
            return
        yield star


def smaller(now: Situation) -> WayOn | None:
    """The largest smaller grid that the stash covers, in the colouring's own fabrics where they give a run."""
    star = now.star
    while True:
        try:
            star = other_grid(star, -1)
        except UsageFault:
            return None
        found = _fresh_run(now, star)
        if found is not None:
            text = f"a grid of {star.grid} x {star.grid}: {_size(now.star, star)}; {_listed(star, found)}"
            return _way(now, Step.GRID, text, star, found)


def _way(now: Situation, step: Step, text: str, star: Star, run: Colouring) -> WayOn:
    """A way on with a fresh run of fabrics, a jump in its values said."""
    jump = _jump(now, star, run)
    return WayOn(step, f"{text}; {jump}" if jump else text, star, run, _use(now, run), note=jump)


def _jump(now: Situation, star: Star, run: Colouring) -> str:
    """`a jump in value from 100 to 44, A to B`; "" where no step stands out."""
    by_name = {fabric.name: fabric.colour for fabric in now.fabrics}
    colours = [by_name[run.uses[letter][0]] for letter in star.letters]
    values = [colour.L for colour in colours if colour is not None]
    steps = [abs(one - other) for one, other in pairwise(values)]
    if len(steps) < 2 or max(steps) < max(STANDS_OFF, JUMP * abs(values[0] - values[-1]) / len(steps)):
        return ""
    at = steps.index(max(steps))
    return f"a jump in value from {values[at]:.0f} to {values[at + 1]:.0f}, {' to '.join(star.letters[at : at + 2])}"


def _fresh_run(now: Situation, star: Star) -> Colouring | None:
    """A covered run for another star, from the colouring's own fabrics, else from the whole stash; the first that has
    no jump in value, else the first."""
    mine = [fabric for fabric in now.fabrics if fabric.id in now.in_use]
    own = [fabric for fabric in mine if fabric.id in {one.id for one in now.colours.fabrics()}]
    ground = () if now.colours.ground is None or now.colours.ground in own else (now.colours.ground,)
    dark_first = now.values.get(now.star.letters[0], 0.0) < now.values.get(now.star.letters[-1], 0.0)
    wishes = Wishes(
        top=1, measured=True, ground=now.colouring.ground, direction="dark" if dark_first else "light",
        time_limit=SEARCH_AT_MOST,
    )  # fmt: skip
    from_own = replace(wishes, without=tuple(one.name for one in ground))
    found: list[Colouring] = []
    for pool, asked in ((tuple(own) + ground, from_own), (now.fabrics, wishes)):
        (fit,) = sizes([star], pool, asked)  # says no much sooner than the search does
        answer = suggest(star, pool, asked, marked=False) if fit.covered else None
        for sequence in answer.sequences if answer else ():
            uses = {letter: (one.name,) for letter, one in zip(star.letters, sequence.fabrics, strict=True)}
            colouring = replace(now.colouring, uses=uses)
            if covers(star, colouring, now.fabrics):
                found.append(colouring)
        if found and not _jump(now, star, found[-1]):
            return found[-1]
    return found[0] if found else None


def _use(now: Situation, found: Colouring) -> Use:
    """The letters of `found` that have other fabrics than now."""
    return {letter: names for letter, names in found.uses.items() if now.colouring.uses.get(letter) != names}


def _listed(star: Star, colouring: Colouring) -> str:
    return ", ".join(f"{letter} {' + '.join(colouring.uses[letter])}" for letter in star.letters)


def _size(before: Star, after: Star) -> str:
    square, now = (show_length(Fraction(float(finished(star).square)), star.units) for star in (after, before))
    return f"the star finishes {square} square, now {now}"
