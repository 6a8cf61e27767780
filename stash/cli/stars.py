"""`star`: a star on paper. `stars`: the saved ones."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from stash.cli.options import star_from
from stash.cli.output import Output, clean, table, write
from stash.cli.session import open_store
from stash.errors import EXIT_DONE
from stash.lengths import cm_up, mixed, read_length, show_cm, show_hundredths, show_length
from stash.model import Colouring, SavedStar, Star
from stash.star.summary import as_json


def star(args: Namespace, out: Output) -> int:
    """What a star takes, with no stash looked at."""
    described = star_from(args)
    document = as_json(described)
    out.answer(document, star_lines(described, document))
    return EXIT_DONE


def title(star: Star) -> str:
    """A star in a few words: `4 x 4 star, strips 2 1/2 in, order ABCDEFG`."""
    return f"{star.grid} x {star.grid} star, strips {exact_length(star.strip, star.units)}, order {star.order}"


def exact_length(inches: Fraction, units: str) -> str:
    """A length as typed, not rounded: strip widths like 2 5/16 stay what they are."""
    return f"{show_cm(inches)} cm" if units == "cm" else f"{mixed(inches)} in"


def star_lines(star: Star, doc: dict[str, Any]) -> Iterator[str]:
    """The document of a star as text."""

    def size(inches: float) -> str:
        return show_length(Fraction(inches), star.units)

    finished, segments = doc["finished"], doc["segments"]
    yield title(star)
    yield (
        f"Finished: star {size(finished['square_in'])} square, {size(finished['tip_to_tip_in'])} tip to tip; "
        f"large diamond {size(finished['large_side_in'])} a side, small {size(finished['small_side_in'])}"
    )
    yield (
        f"Segments: {segments['per_strip']} a strip of {size(doc['width_in'])}; eight need "
        f"{size(segments['length_for_8_in'])}; sets sewn {segments['sewn']}"
    )
    yield ""
    yield from _fabric_lines(star, doc)
    yield ""
    yield from _set_lines(doc)
    yield ""
    yield from _ground_lines(star, doc, size)
    yield ""
    yield from _check_lines(star, doc, size)
    yield ""
    yield from _quilt_lines(star, doc, size)
    for warning in doc["warnings"]:
        yield ""
        yield f"Note: {warning}"


def _fabric_lines(star: Star, doc: dict[str, Any]) -> list[str]:
    buy = ("buy_cm", " cm") if star.units == "cm" else ("buy_yards", " yd")
    return table(
        ("letter", "rows", "small diamonds", "strips", "cloth", "to buy"),
        [
            (
                one["letter"],
                ", ".join(map(str, one["rows"])),
                str(one["cells"]),
                str(one["strips"]),
                show_length(Fraction(one["inches"]), star.units),
                f"{one[buy[0]]}{buy[1]}",
            )
            for one in doc["fabrics"]
        ],
        right="llrrrr",
    )


def _set_lines(doc: dict[str, Any]) -> Iterator[str]:
    for one in doc["strip_sets"]:
        alike = f", the same as set {one['same_as']} turned end for end" if one["same_as"] else ""
        yield f"Set {one['set']}: strips {' '.join(one['letters'])}{alike}"


def _cloth(star: Star, yards: str) -> str:
    """Yards as the document has them, in the star's own units: for cm up to the next 10."""
    return f"{cm_up(read_length(f'{yards} yd'))} cm" if star.units == "cm" else f"{yards} yd"


def _ground_lines(star: Star, doc: dict[str, Any], size: Any) -> Iterator[str]:
    over = "6 mm" if star.units == "cm" else "1/4 in"
    yield f"Setting pieces (corner squares are rounded down, as they are set in; or cut them {over} larger and trim):"
    pieces = {"Corner squares, four": "corner", "Triangle square, cut twice corner to corner": "triangle_square"}
    for name, key in pieces.items():
        one = doc["setting"][key]
        exact = f"exact {show_hundredths(one['exact_in'], star.units)}"
        yield f"{name}: cut {size(one['cut_in'])} from measured points, keep {size(one['reserve_in'])} ({exact})"
    ground = doc["ground"]
    buy = f"{ground['buy_cm']} cm" if star.units == "cm" else f"{ground['buy_yards']} yd"
    cloth = "" if star.units == "cm" else f", {ground['yards']} yd"
    yield f"Ground: {size(ground['length_in'])} of cloth{cloth}; buy {buy}"
    if ground["note"]:
        yield f"Ground: {ground['note']}"


def _check_lines(star: Star, doc: dict[str, Any], size: Any) -> Iterator[str]:
    check = doc["check"]
    yield (
        f"Check: a pair of strips sewn {size(check['pair_in'])}, a set sewn {size(check['set_in'])}, "
        f"step along the edge {show_hundredths(check['step_in'], star.units)}"
    )
    yield (
        f"Check: a finished point {size(check['point_across_in'])} across both ways, "
        f"raw edge {size(check['point_edge_in'])}"
    )


def _quilt_lines(star: Star, doc: dict[str, Any], size: Any) -> Iterator[str]:
    quilt = doc["quilt"]
    borders = ", ".join(size(width) for width in quilt["borders"]) or "none"
    yield f"Quilt: {size(quilt['width_in'])} by {size(quilt['length_in'])} finished; borders {borders}"
    yield (
        f"Quilt: binding {quilt['binding_strips']} strips, {_cloth(star, quilt['binding_yards'])}; "
        f"backing {_cloth(star, quilt['backing_yards'])}; batting {quilt['batting']} in as sold"
    )
    if quilt["bed"]:
        yield f"Bed: {quilt['bed']['text']}"


def stars(args: Namespace, out: Output) -> int:
    """The saved stars with their colourings."""
    with open_store(args) as store:
        saved = store.stars()
        for name in store.unreadable_stars():
            said = f'starcover: the star "{name}" cannot be read; starcover verify names what is wrong.'
            write(sys.stderr, clean(said))
    out.answer([saved_json(one) for one in saved], _saved_lines(saved))
    return EXIT_DONE


def saved_json(saved: SavedStar) -> dict[str, Any]:
    """A saved star as JSON."""
    return {
        "star": saved.name,
        "grid": saved.star.grid,
        "strip_in": float(saved.star.strip),
        "strip": mixed(saved.star.strip),
        "order": saved.star.order,
        "colourings": [{"number": one.number, **uses_json(one.colouring)} for one in saved.colourings],
    }


def uses_json(colouring: Colouring) -> dict[str, Any]:
    """A colouring as JSON: fabric names by letter, and those of the quilt round the star."""
    uses = {letter: list(colouring.uses[letter]) for letter in sorted(colouring.uses)}
    return {"uses": uses, "ground": colouring.ground, "binding": colouring.binding, "backing": colouring.backing}


def _saved_lines(saved: list[SavedStar] | tuple[SavedStar, ...]) -> Iterator[str]:
    if not saved:
        yield "No star is saved yet: suggest or check with --save NAME saves one."
    for one in saved:
        yield clean(f"{one.name}: {title(one.star)}")
        for each in one.colourings:
            uses = ", ".join(f"{x} {' + '.join(each.colouring.uses[x])}" for x in sorted(each.colouring.uses))
            rest = "".join(f"; {part} {name}" for part, name in each.colouring.parts.items())
            yield clean(f"  colouring {each.number}: {uses}{rest}")
