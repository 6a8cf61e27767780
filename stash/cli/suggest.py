"""`suggest`: light-to-dark sequences from the stash that cover a star."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterable, Iterator
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from stash.cli.listing import value_text
from stash.cli.measuring import colour_json
from stash.cli.options import about, number, pair, star_from, whole
from stash.cli.output import Output, clean, table
from stash.cli.session import cloth_for, open_store, saved_as
from stash.cli.stars import title
from stash.errors import EXIT_DONE, EXIT_NO, UsageFault
from stash.model import Colouring, Mark, Sequence, Star, Suggestions
from stash.wording import counted

if TYPE_CHECKING:
    from stash.inventory.store import Store
    from stash.match.neighbours import Neighbour
    from stash.match.wishes import Wishes

TIME_LIMIT = 60.0  # seconds; what is found by then is printed, and said not to be proven


def suggest(args: Namespace, out: Output) -> int:
    """Search, print, and save one with --save."""
    from stash.match.near import near_to
    from stash.match.sequence import suggest as search

    star = star_from(args)
    wishes = wishes_from(args, star)
    take = whole(args.take, "--take") if args.take else 1
    if args.take and not args.save:
        raise UsageFault("--take says which sequence --save keeps", where="--take", do="give --save NAME too")
    with open_store(args) as store:
        fabrics = cloth_for(store, args, saved_as(store, args.save))
        if wishes.near is not None:
            with about("--near"):
                near_to(wishes.near, fabrics)
        found = search(star, fabrics, wishes)
        if args.save and found.sequences:
            _save(store, args, star, found, take, out)
    for note in found.notes:
        out.say(clean(note))
    out.answer(suggestions_json(star, found), suggestion_lines(star, found))
    return EXIT_DONE if found.sequences else EXIT_NO


def wishes_from(args: Namespace, star: Star) -> Wishes:
    """The wishes that the options name."""
    from stash.match.wishes import Wishes

    fixed: dict[str, str] = {}
    for text in args.fix or ():
        letter, name = pair(text, "--fix", star.letters)
        if letter in fixed:
            raise UsageFault(f"{letter} is fixed twice", where="--fix", do="fix one fabric at it")
        fixed[letter] = name

    def plain(text: str | None, option: str, least: float, most: float) -> float | None:
        return None if text is None else number(text, option, least, most)

    default = Wishes()
    lively = plain(args.lively, "--lively", 0, 1000)
    stand_off = plain(args.stand_off, "--stand-off", 0, 100)
    return Wishes(
        top=whole(args.top, "--top") if args.top else 5,
        lightest=plain(args.light_end, "--from", 0, 100),
        darkest=plain(args.dark_end, "--to", 0, 100),
        min_step=plain(args.min_step, "--min-step", 0, 100),
        colour_weight=plain(args.colour_weight, "--colour-weight", 0, 1000),
        lively=default.lively if lively is None else lively,
        apart=whole(args.apart, "--apart") if args.apart else None,
        any=args.any,
        measured=args.measured,
        must=tuple(args.with_ or ()),
        without=tuple(args.without or ()),
        fixed=fixed,
        near=args.near,
        hue=args.hue,
        ground=args.ground,
        stand_off=default.stand_off if stand_off is None else stand_off,
        direction="dark" if args.dark_first else "light" if args.light_first else None,
        time_limit=TIME_LIMIT,
    )


def _save(store: Store, args: Namespace, star: Star, found: Suggestions, take: int, out: Output) -> None:
    if not 1 <= take <= len(found.sequences):
        raise UsageFault(f"there is no sequence {take}", where="--take", do=f"use 1 to {len(found.sequences)}")
    fabrics = found.sequences[take - 1].fabrics
    uses = {letter: (fabric.name,) for letter, fabric in zip(star.letters, fabrics, strict=True)}
    ground = store.fabric(args.ground).name if args.ground else None
    saved = store.save_star(args.save, star, Colouring(uses, ground))
    out.say(clean(f"Sequence {take} is saved as a colouring of {saved.name}."))


def suggestions_json(star: Star, found: Suggestions) -> dict[str, Any]:
    """The answer as JSON."""
    document: dict[str, Any] = {
        "targets": list(found.targets),
        "min_step": found.min_step,
        "proven": found.proven,
        "sequences": [_sequence_json(star, one) for one in found.sequences],
        "notes": list(found.notes),
    }
    if found.near:
        document["near"] = {"fabric": found.near, "main_colours": [colour_json(one) for one in found.main_colours]}
    if found.reason is not None:
        document["reason"] = {"letter": found.reason.letter, "text": found.reason.text}
    return document


def _sequence_json(star: Star, one: Sequence) -> dict[str, Any]:
    fabrics = []
    for letter, fabric, target, mark in zip(star.letters, one.fabrics, one.targets, one.marks, strict=True):
        colour = fabric.colour
        assert colour is not None
        fabrics.append(
            {
                "letter": letter,
                "fabric": fabric.name,
                "L": colour.L,
                "a": colour.a,
                "b": colour.b,
                "target": target,
                "mark": str(mark),
                "relative": colour.relative,
            }
        )
    return {
        "cost": one.cost,
        "fabrics": fabrics,
        "near_ground": list(one.near_ground),
        "meets": [{**colour_json(each), "letter": each.letter} for each in one.meets],
        "neighbours": [{"kind": str(each.kind), "letters": each.letters} for each in _neighbours(star, one)],
    }


def _neighbours(star: Star, one: Sequence) -> tuple[Neighbour, ...]:
    from stash.match.neighbours import neighbours

    return neighbours(star, dict(zip(star.letters, one.fabrics, strict=True)))


def suggestion_lines(star: Star, found: Suggestions) -> Iterator[str]:
    """The answer as text."""
    yield title(star)
    if found.reason is not None:
        yield f"No sequence: {found.reason.text}."
    for i, one in enumerate(found.sequences, start=1):
        yield ""
        yield f"{i} of {len(found.sequences)}{_steps(one)}"
        yield from table(
            ("letter", "fabric", "value", "target", "mark"),
            [
                (letter, fabric.name, value_text(fabric.colour, 1), f"{target:.1f}", _word(mark))
                for letter, fabric, target, mark in zip(
                    star.letters, one.fabrics, one.targets, one.marks, strict=True
                )
            ],
            right="llrrl",
        )
        if one.near_ground:
            yield f"Near the ground: rows {', '.join(map(str, one.near_ground))}"
        if found.near:
            yield clean(_meets_line(found, one))
        if beside := neighbours_line(_neighbours(star, one)):
            yield beside
    if not found.proven:
        yield ""
        yield "The time limit was reached: there may be cheaper sequences."


def _meets_line(found: Suggestions, one: Sequence) -> str:
    """Which main colours of the given fabric a sequence meets, by the word for each and the letter that does."""
    from stash.colour.lab import hue_word

    count, met = len(found.main_colours), len(one.meets)
    head = f"Meets {met or 'none'} of {counted(count, 'main colour')} of {found.near}"
    return f"{head}: {', '.join(f'{hue_word(each.colour)} in {each.letter}' for each in one.meets)}" if met else head


def neighbours_line(beside: Iterable[Neighbour]) -> str:
    """What neighbouring rows do, in a line; "" where there is nothing to say."""
    pairs: dict[str, list[str]] = {}
    for one in beside:
        pairs.setdefault(str(one.kind), []).append(" and ".join(one.letters))
    return ". ".join(f"{kind.capitalize()}: {', '.join(each)}" for kind, each in pairs.items())


def _word(mark: Mark) -> str:
    return {Mark.SHORT: "SHORT", Mark.UNMEASURED: "not measured yet"}.get(mark, str(mark))


def _steps(one: Sequence) -> str:
    values = [fabric.colour.L for fabric in one.fabrics if fabric.colour is not None]
    steps = [abs(a - b) for a, b in pairwise(values)]
    return f", steps {min(steps):.0f} to {max(steps):.0f}" if steps else ""
