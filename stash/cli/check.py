"""`check`: does the stash cover this star in these fabrics?"""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterator
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from stash.cli.drawn_cuts import cut_lines
from stash.cli.next_steps import next_lines, question_json, way_json
from stash.cli.options import colouring_from, names_a_star, star_from
from stash.cli.output import Output, clean, table
from stash.cli.session import cloth_for, find_star, open_store, saved_as
from stash.cli.stars import title
from stash.errors import EXIT_DONE, EXIT_NO, UsageFault
from stash.lengths import TICKS_PER_INCH, show_length
from stash.model import (
    Colouring,
    Coverage,
    CutStrip,
    Fabric,
    GroundCover,
    LetterCover,
    Mark,
    PieceCut,
    Question,
    QuiltCover,
    SavedStar,
    Star,
    StoredPlan,
    WayOn,
)
from stash.wording import counted

if TYPE_CHECKING:
    from stash.inventory.store import Store


def check(args: Namespace, out: Output) -> int:
    """Mark every letter of a colouring against the stash."""
    from stash.match.replan import cover

    with open_store(args) as store:
        star, colouring, of = _asked(args, store)
        fabrics = cloth_for(store, args, of)
        plan = _in_hand(store, args, of, colouring)
        found = cover(star, colouring, fabrics, plan)
        ways, asked = ((), ()) if found.covered or plan else _what_next(star, colouring, fabrics, found)
        if plan is not None:
            out.say(_cut_already(plan))
        for note in _unlike(found, fabrics):
            out.say(clean(note))
        if args.save:
            saved = store.save_star(args.save, star, colouring)
            out.say(clean(f"Saved as {saved.name}."))
    document = {**coverage_json(star, found), "next": [way_json(star, way) for way in ways]}
    document["questions"] = [question_json(one) for one in asked]
    cutting = cut_lines(star, colouring, found) if found.cuts else ()
    out.answer(document, [*coverage_lines(star, found), *cutting, *next_lines(star, ways, asked)])
    return EXIT_DONE if found.covered else EXIT_NO


def _in_hand(
    store: Store, args: Namespace, saved: SavedStar | None, colouring: Colouring
) -> StoredPlan | None:
    """The plan that --star, as it was saved, is or was cut by: what is cut is in the stash no longer."""
    from stash.match.replan import plan_in_hand

    if saved is None or not args.star or args.use or args.ground or args.binding or args.backing:
        return None
    return plan_in_hand(saved.star, colouring, store.plans(saved.id, find_star(store, args.star)[1]))


def _cut_already(plan: StoredPlan) -> str:
    cut = sum(strip.booked is not None for strip in plan.strips)
    if cut == len(plan.strips):
        return f"All {cut} strips are cut already: this is that star. For a further one give check the star's options."
    return f"{cut} of {len(plan.strips)} strips are cut already; this is about the others."


def _unlike(found: Coverage, fabrics: tuple[Fabric, ...]) -> Iterator[str]:
    """Two fabrics at one letter that the eye will tell apart."""
    from stash.match.swaps import ALIKE

    values = {fabric.name: fabric.colour.L for fabric in fabrics if fabric.colour}
    for letter in found.letters:
        shown = [values[name] for name in letter.fabrics if name in values]
        apart = max(shown, default=0.0) - min(shown, default=0.0)
        if apart > ALIKE:
            yield (
                f"{' and '.join(letter.fabrics)} at {letter.letter} are {apart:.0f} apart in value: look-alikes are "
                f"{ALIKE:.0f} apart at most, or four points of the star will differ from the others."
            )


def _what_next(
    star: Star, colouring: Colouring, fabrics: tuple[Fabric, ...], found: Coverage
) -> tuple[tuple[WayOn, ...], tuple[Question, ...]]:
    from stash.match.questions import questions
    from stash.match.ways_on import ways_on

    return ways_on(star, colouring, fabrics, found), questions(star, colouring, fabrics)


def _asked(args: Namespace, store: Store) -> tuple[Star, Colouring, SavedStar | None]:
    """The star and colouring of --star, with what --use and --ground change; else the ones the options describe.
    With them the saved star whose own plans hold nothing against it."""
    if not args.star:
        star = star_from(args)
        return star, colouring_from(args, star, store.fabrics(archived=True), None), saved_as(store, args.save)
    if names_a_star(args):
        do = "a saved star has its own measures: drop --star or the other options"
        raise UsageFault("--star and the options of a star do not go together", do=do)
    saved, _, colouring = find_star(store, args.star)
    if args.use or args.ground or args.binding or args.backing:
        colouring = colouring_from(args, saved.star, store.fabrics(archived=True), colouring)
    return saved.star, colouring, saved


def _sold(star: Star, inches: Fraction | None) -> str | None:
    from stash.match.buying import as_sold

    return None if inches is None else as_sold(star, inches)


def _in_words(star: Star, inches: Fraction | None) -> str:
    from stash.match.buying import bought_text

    return "nothing" if inches is None else bought_text(star, inches)


def coverage_json(star: Star, found: Coverage) -> dict[str, Any]:
    """The answer as JSON, with no ways on yet; x runs along a piece's width, y along its length, both from the
    corner of the piece as it is; `straighten_in` comes off one end (y 0) or off all four edges before."""
    return {
        "covered": found.covered,
        "letters": [_letter_json(star, letter) for letter in found.letters],
        "ground": None if found.ground is None else _ground_json(star, found.ground),
        "quilt": [_quilt_json(star, part) for part in found.quilt],
        "sets": [
            {"set": one.set, "sewn": str(one.sewn), "spare_segments": one.spare_segments} for one in found.sets
        ],
        "cuts": [_cut_json(cut) for cut in found.cuts],
        "next": [],
        "proven": True,  # a check is exact
    }


def _letter_json(star: Star, letter: LetterCover) -> dict[str, Any]:
    return {
        "letter": letter.letter,
        "fabric": "+".join(letter.fabrics),
        "cells": letter.cells,
        "strips_needed": letter.strips_needed,
        "strips_on_hand": letter.strips_on_hand,
        "mark": str(letter.mark),
        "missing_strips": letter.missing,
        "buy_yards": _sold(star, letter.buy),
        "buy_with_spare": _sold(star, letter.buy_with_spare),
        "spare_in": letter.spare,
        "about": letter.about,
        "held_for": list(letter.held_for),
    }


def _ground_json(star: Star, ground: GroundCover) -> dict[str, Any]:
    return {
        "fabric": ground.fabric,
        "mark": str(ground.mark),
        "length_needed_in": float(ground.length_needed),
        "buy_yards": _sold(star, ground.buy),
        "about": ground.about,
        "note": ground.note,
    }


def _quilt_json(star: Star, part: QuiltCover) -> dict[str, Any]:
    return {
        "what": part.what,
        "fabric": part.fabric,
        "mark": str(part.mark),
        "length_needed_in": float(part.length_needed),
        "buy_yards": _sold(star, part.buy),
        "about": part.about,
    }


def _cut_json(cut: PieceCut) -> dict[str, Any]:
    return {
        "fabric": cut.fabric,
        "piece": cut.piece,
        "piece_length_in": cut.piece_length / TICKS_PER_INCH,
        "piece_width_in": cut.piece_width / TICKS_PER_INCH,
        "way": str(cut.way),
        "straighten_in": cut.straighten / TICKS_PER_INCH,
        "straighten_edges": 0 if not cut.straighten else 4 if cut.all_round else 1,
        "strips": [_strip_json(strip) for strip in cut.strips],
    }


def _strip_json(strip: CutStrip) -> dict[str, Any]:
    sizes = {"x_in": strip.x, "y_in": strip.y, "length_in": strip.length, "width_in": strip.width}
    runs = [{"set": run.set, "segments": run.segments} for run in strip.runs]
    return {**{name: ticks / TICKS_PER_INCH for name, ticks in sizes.items()}, "runs": runs}


def mark_words(star: Star, letter: LetterCover) -> str:
    """A letter's mark with what belongs to it: how little is to spare, what is to buy."""
    words = {
        Mark.COVERED: "covered",
        Mark.TIGHT: "tight, less than one more strip to spare",
        Mark.SHORT: f"SHORT of {counted(letter.missing, 'strip')}, buy {_in_words(star, letter.buy)}"
        f" ({_in_words(star, letter.buy_with_spare)} with a spare)",
        Mark.UNMEASURED: "not measured yet",
    }[letter.mark]
    if letter.spare is not None:
        words = f"tight, {letter.spare:.2f} in to spare"
    if letter.held_for and letter.mark is Mark.SHORT:
        words += f"; some of it is held for {' and '.join(letter.held_for)}"
    return f"about {words}" if letter.about else words


def coverage_lines(star: Star, found: Coverage) -> Iterator[str]:
    """The answer as text."""
    short = [letter.letter for letter in found.letters if letter.mark is Mark.SHORT]
    unmeasured = [letter.letter for letter in found.letters if letter.mark is Mark.UNMEASURED]
    yield title(star)
    if found.covered:
        lacking = _parts_lacking(found)
        yield f"Covered: the stash holds this star{lacking}."
    elif short:
        yield f"Not covered: short at {', '.join(short)}."
    else:
        yield f"Not known: no piece is recorded yet for {', '.join(unmeasured)}."
    yield ""
    yield from table(
        ("letter", "fabric", "small diamonds", "strips", "on hand", "mark"),
        [
            (
                letter.letter,
                " + ".join(letter.fabrics),
                str(letter.cells),
                str(letter.strips_needed),
                "?" if letter.mark is Mark.UNMEASURED else str(letter.strips_on_hand),
                mark_words(star, letter),
            )
            for letter in found.letters
        ],
        right="llrrrl",
    )
    if found.ground is not None or found.quilt:
        yield ""
    if found.ground is not None:
        yield _part_line(star, "Ground", found.ground)
        if found.ground.note:
            yield f"Ground: {found.ground.note}"
    for part in found.quilt:
        yield _part_line(star, part.what.capitalize(), part)
    yield ""
    for one in found.sets:
        yield f"Set {one.set}: sewn {one.sewn}, {counted(one.spare_segments, 'segment')} to spare"


def _parts_lacking(found: Coverage) -> str:
    """`, but not its ground and its backing` where the stash does not give these."""
    parts = [("ground", found.ground.mark)] if found.ground else []
    parts += [(one.what, one.mark) for one in found.quilt]
    lacking = [f"its {part}" for part, mark in parts if mark in (Mark.SHORT, Mark.UNMEASURED)]
    return f", but not {' and '.join(lacking)}" if lacking else ""


def _part_line(star: Star, what: str, part: GroundCover | QuiltCover) -> str:
    needed = show_length(part.length_needed, star.units)
    buy = f", buy {_in_words(star, part.buy)}" if part.buy is not None else ""
    about = "about " if part.about else ""
    return clean(f"{what}: {part.fabric}, {needed} of it: {about}{part.mark}{buy}")

