"""Why there is no sequence, and what is worth saying beside those there are."""

from __future__ import annotations

from collections.abc import Iterable

from stash.match.candidates import Candidates
from stash.match.layers import Colours, Layers, Links, reach
from stash.match.wishes import SMALL_STEP, Wishes
from stash.model import Reason, Sequence, Star
from stash.star.yields import strips_of_letter
from stash.wording import counted

MEDIUM_GROUND = (45.0, 65.0)  # L* of a ground that light and dark rows cannot both stand off


def no_candidate(star: Star, found: Candidates, wishes: Wishes) -> Reason | None:
    """The first letter that no fabric may stand at, or None."""
    for letter, numbers in zip(star.letters, found.letters, strict=True):
        if not numbers:
            strips = counted(strips_of_letter(star, letter), "strip")
            if wishes.any or not found.fabrics:
                text = f"no fabric is left for {letter}: {_what_counts(found)}"
            else:
                text = (
                    f"no fabric covers {letter}: it needs {strips} and no single fabric "
                    f"that the wishes allow gives them; {_what_counts(found)}"
                )
            return Reason(letter, text)
    return None


def no_run(
    star: Star, found: Candidates, layers: Layers, links: Links, colours: Colours, min_step: float
) -> Reason:
    """Why no run exists though every letter has fabrics of its own. `layers` leave the ground's rule out."""
    letters = star.letters
    reached = reach(layers, links, colours)
    way = "darker" if links.fall > 0 else "lighter"
    if reached < len(letters):
        letter = letters[reached]
        there = len({number for numbers in found.letters for number in numbers})
        if found.joint is None and there < len(letters):
            text = f"the star takes {len(letters)} different fabrics, and only {there} with a colour are there to take"
            return Reason(letter, text)
        by = f"at least {min_step:.1f} of value (L*) {way}" if min_step else way
        smaller = "a smaller least step, more fabrics" if min_step else "more fabrics"
        text = (
            f"no fabric for {letter} is {by} than one for {letters[reached - 1]} that can follow the letters before "
            f"it; {smaller} or another repeat may help"
        )
        return Reason(letter, text)
    if found.must:
        names = ", ".join(found.fabrics[i].name for i in found.must)
        return Reason("", f"no sequence uses {names} and keeps every step and every letter covered")
    return Reason("", "each letter has fabrics that cover it, but no way of sewing the sets covers them together")


def notes(found: Candidates, min_step: float, wishes: Wishes, ground: float | None) -> tuple[str, ...]:
    """Sentences to say once beside the answer. `min_step` is the least step that was let in, `ground` L* of the
    ground where one is named and has a colour."""
    said = []
    if found.uncoloured:
        verb = "has" if found.uncoloured == 1 else "have"
        said.append(f"{counted(found.uncoloured, 'fabric')} {verb} no colour yet and {verb} not been looked at.")
    if wishes.min_step is None and 0 < min_step < SMALL_STEP:
        let_in = f"steps of {min_step:.1f} are let in, and under {SMALL_STEP:.0f} rows may blur"
        said.append(f"The values lie close together: {let_in}.")
    if ground is not None and MEDIUM_GROUND[0] <= ground <= MEDIUM_GROUND[1]:
        said.append("This is a medium ground: it cannot stand off all rows of a light-to-dark star.")
    if wishes.ground is not None and ground is None:
        said.append("The ground has no colour yet, so how far rows stand off it is not known.")
    return tuple(said)


def relative_values(sequences: Iterable[Sequence]) -> tuple[str, ...]:
    """A sentence on the fabrics of all sequences whose value comes from a photograph without a reference."""
    fabrics = {fabric.id: fabric for one in sequences for fabric in one.fabrics}
    count = sum(fabric.relative for fabric in fabrics.values())
    if not count:
        return ()
    them = "it" if count == 1 else "them"
    return (f"The value of {counted(count, 'fabric')} is relative: photograph {them} on paper.",)


def _what_counts(found: Candidates) -> str:
    return f"{counted(len(found.fabrics), 'fabric')} of the stash have a colour"
