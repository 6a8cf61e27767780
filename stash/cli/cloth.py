"""`add`, `edit`, `archive`, `bought`, `used`, `count`: the fabrics of the stash and what is there of each."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Mapping
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from stash.cli.listing import fabric_json
from stash.cli.options import about, colour, kind, length, number
from stash.cli.output import Output, clean
from stash.cli.photographs import how_from, refuse_without_photo, swatch_of
from stash.cli.session import open_store
from stash.errors import EXIT_DONE, UsageFault
from stash.lengths import Bare, read_length, to_ticks
from stash.model import Fabric, Kind, NewFabric, NewPiece, NewSwatch
from stash.typed import read_pieces, usual_widths

if TYPE_CHECKING:
    from stash.inventory.store import Store


def add(args: Namespace, out: Output) -> int:
    """A new fabric; without --length it is not measured yet. With --photos, many."""
    if args.photos is not None:
        return _add_many(args, out)
    if args.name is None:
        do = 'starcover add "Hedge Rose"; or --photos, which names them'
        raise UsageFault("a fabric needs a name", where="add", do=do)
    new = NewFabric(
        name=args.name,
        pieces=pieces_asked(args),
        colour=None if args.colour is None else colour(args.colour),
        directional=args.directional,
        washed=args.washed,
        place=args.place or "",
        note=args.note or "",
        price=args.price or "",
        swatch=_swatch(args, "add"),
    )
    with open_store(args) as store:
        fabric = store.add(new, uid=args.uid)
    return _answer(out, fabric, f"Added {_in_words(fabric)}.{_photo_in_words(args, fabric)}")


def _add_many(args: Namespace, out: Output) -> int:
    from stash.cli.many import add_photos

    if args.photo is not None:
        raise UsageFault("--photo is one fabric's, and --photos is for many", where="add", do="give one of them")
    return add_photos(args, out)


def edit(args: Namespace, out: Output) -> int:
    """Change what is known of a fabric."""
    names = ("name", "place", "note", "price", "washed", "directional")
    fields: dict[str, Any] = {name: value for name in names if (value := getattr(args, name)) is not None}
    if args.colour is not None:
        fields["colour"] = colour(args.colour)
    if args.value is not None:
        fields["value_by_eye"] = None if args.value == "measured" else number(args.value, "--value", 0, 100)
    if args.photo is not None:
        return _photograph(args, out, fields)
    if not fields:
        refuse_without_photo(args, "edit", "add --photo P")
        raise UsageFault("nothing is said to change", where="edit", do="starcover edit --help lists what can be")
    refuse_without_photo(args, "edit", "add --photo P")
    with open_store(args) as store:
        fabric = store.edit(store.fabric(args.fabric).id, **fields)
    return _answer(out, fabric, f"Changed {_in_words(fabric)}.")


def _photograph(args: Namespace, out: Output, fields: dict[str, Any]) -> int:
    """A new photograph for a known fabric: an entry of its own, so that undo takes back just that."""
    if fields:
        what = "a new photograph is a change of its own"
        raise UsageFault(what, where="--photo", do="send it alone, and the other changes before or after")
    with open_store(args) as store:
        fabric = store.fabric(args.fabric)
        swatch = _swatch(args, "edit")
        fabric = store.set_swatch(fabric.id, swatch)
    return _answer(out, fabric, f"Photographed {fabric.name}.{_photo_in_words(args, fabric)}")


def _swatch(args: Namespace, where: str) -> NewSwatch | None:
    if args.photo is None:
        refuse_without_photo(args, where, "add --photo P")
        return None
    return swatch_of(args.photo, how_from(args))


def _photo_in_words(args: Namespace, fabric: Fabric) -> str:
    if args.photo is None or fabric.swatch is None:
        return ""
    from stash.cli.measuring import in_words

    by_eye = "" if fabric.value_by_eye is None else f" Its value stays as set by eye, {fabric.value_by_eye:.0f}."
    relative = " Relative: nothing in the photograph tells its light." if fabric.swatch.relative else ""
    return f" The photograph says {in_words(fabric.swatch)}.{relative}{by_eye}"


def archive(args: Namespace, out: Output) -> int:
    """Put a fabric out of sight."""
    with open_store(args) as store:
        fabric = store.archive(store.fabric(args.fabric).id)
    return _answer(out, fabric, f"Archived {fabric.name}. `starcover undo` brings it back.")


def bought(args: Namespace, out: Output) -> int:
    """More of a fabric: one or more new pieces."""
    pieces = _pieces(args, " ".join(args.length), "bought")
    with open_store(args) as store:
        entry = store.bought(store.fabric(args.fabric).id, pieces)
        return _answer(out, _again(store, args), entry.text)


def used(args: Namespace, out: Output) -> int:
    """A length that is gone from a fabric, or all of it."""
    text = " ".join(args.length)
    with about("used"):
        ticks = None if text.casefold() == "all" else to_ticks(read_length(text, bare=Bare.PIECE))
    with open_store(args) as store:
        entry = store.used(store.fabric(args.fabric).id, ticks)
        return _answer(out, _again(store, args), entry.text)


def count(args: Namespace, out: Output) -> int:
    """A stock-take: the fabric's pieces become what was counted."""
    text = " ".join(args.length)
    nothing = text.strip().casefold() in ("0", "none")
    with open_store(args) as store:
        fabric = store.fabric(args.fabric)
        parts = [] if nothing else text.split(" and ")
        usual = usual_widths(fabric.pieces)
        pieces = tuple(piece for part in parts for piece in _pieces(args, part, "count", usual))
        entry = store.count(fabric.id, pieces)
        return _answer(out, _again(store, args), entry.text)


def pieces_asked(args: Namespace) -> tuple[NewPiece, ...]:
    """The pieces of a new fabric by --length; none without it."""
    if args.length is not None:
        return _pieces(args, args.length, "--length")
    if args.width or args.kind:
        raise UsageFault("a width or kind needs a length", where="add", do='add --length, as in --length "1/2 yd"')
    return ()


def _pieces(
    args: Namespace, text: str, where: str, usual: Mapping[Kind, Fraction] | None = None
) -> tuple[NewPiece, ...]:
    width = None if args.width is None else length(args.width, "--width")
    with about(where):
        return read_pieces(text, kind=kind(args.kind), width=width, usual=usual)


def _again(store: Store, args: Namespace) -> Fabric:
    return store.fabric(args.fabric)


def _in_words(fabric: Fabric) -> str:
    from stash.shelf import on_hand

    return f"{fabric.name}: {on_hand(fabric)}"


def _answer(out: Output, fabric: Fabric, text: str) -> int:
    if fabric.archived and not text.startswith("Archived"):
        text = f"{text.rstrip('.')}. It is archived: no star counts its cloth."
    document: dict[str, Any] = {**fabric_json(fabric), "text": text}
    out.answer(document, [clean(text)])
    return EXIT_DONE
