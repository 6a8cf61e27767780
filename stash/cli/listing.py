"""`list`: the fabrics of the stash."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterator, Sequence
from typing import Any

from stash.cli.options import one_of
from stash.cli.output import Output, table
from stash.cli.session import open_store
from stash.errors import EXIT_DONE
from stash.lengths import TICKS_PER_INCH, show_yards
from stash.model import Colour, Fabric


def list_fabrics(args: Namespace, out: Output) -> int:
    """All fabrics, or those that have all the words given."""
    from stash.shelf import Order, matching, ordered

    order = Order(one_of(args.sort, "order", [str(one) for one in Order], "--sort"))
    with open_store(args) as store:
        fabrics = store.fabrics(archived=args.archived)
    found = ordered(matching(fabrics, args.words), order)
    out.answer([fabric_json(fabric) for fabric in found], _lines(found, len(fabrics)))
    return EXIT_DONE


def fabric_json(fabric: Fabric) -> dict[str, Any]:
    """One fabric as JSON; L, a, b and hex are null where it has no colour yet, what a photograph says where none is."""
    from stash.cli.measuring import palette_json
    from stash.colour.lab import hex_from_lab
    from stash.shelf import yards_on_hand

    colour, swatch = fabric.colour, fabric.swatch
    return {
        "fabric": fabric.name,
        "L": colour.L if colour else None,
        "a": colour.a if colour else None,
        "b": colour.b if colour else None,
        "hex": hex_from_lab(colour) if colour else None,
        "value_by_eye": fabric.value_by_eye,
        "relative": fabric.relative,
        "value_low": swatch.value_low if swatch else None,
        "value_high": swatch.value_high if swatch else None,
        "variety": swatch.variety if swatch else None,
        "palette": palette_json(swatch.palette) if swatch else None,
        "photo": fabric.photo,
        "pieces": [
            {
                "piece": piece.id,
                "kind": str(piece.kind),
                "length_in": piece.length / TICKS_PER_INCH,
                "width_in": piece.width / TICKS_PER_INCH,
                "about": piece.estimated,
            }
            for piece in fabric.pieces
        ],
        "on_hand_yards": show_yards(yards_on_hand(fabric)),
        "measured": fabric.recorded,
        "directional": fabric.directional,
        "washed": fabric.washed,
        "place": fabric.place,
        "note": fabric.note,
        "price": fabric.price,
        "archived": fabric.archived,
    }


def value_text(colour: Colour | None, digits: int = 0) -> str:
    """A value as lists show it: "~52" where it is relative, "?" where there is none."""
    if colour is None:
        return "?"
    return f"{'~' if colour.relative else ''}{colour.L:.{digits}f}"


def _lines(fabrics: Sequence[Fabric], of: int) -> Iterator[str]:
    from stash.colour.lab import hue_word
    from stash.shelf import on_hand

    if not fabrics:
        yield "No fabric matches." if of else "The stash is empty: add or import puts fabrics in."
        return
    yield from table(
        ("value", "fabric", "colour", "on hand", "place"),
        [
            (
                value_text(fabric.colour),
                fabric.name,
                hue_word(fabric.colour) if fabric.colour else "no colour yet",
                on_hand(fabric),
                fabric.place,
            )
            for fabric in fabrics
        ],
        right="rllll",
    )
