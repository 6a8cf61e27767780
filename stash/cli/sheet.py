"""`sheet`: a saved star as a picture."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from stash.cli.options import whole
from stash.cli.output import Output, clean
from stash.cli.session import find_star, open_store
from stash.errors import EXIT_DONE, UsageFault

if TYPE_CHECKING:
    from PIL.Image import Image

    from stash.inventory.store import Store
    from stash.model import Colouring, Fabric, SavedStar

PIXELS = 1200


def sheet(args: Namespace, out: Output) -> int:
    """Draw a star in its fabrics and write the picture."""
    from stash.files import expanded, refuse_target, write_whole

    if not args.star or not args.out:
        missing = "--star" if not args.star else "--out"
        raise UsageFault(f"{missing} is needed", where="sheet", do='give both, as in --star "Pond" --out pond.png')
    path = Path(args.out)
    if path.suffix.casefold() != ".png":
        raise UsageFault("a star is drawn as PNG", where="--out", do="name a file that ends in .png")
    refuse_target(expanded(path), overwrite=args.overwrite)
    pixels = whole(args.pixels, "--pixels") if args.pixels else PIXELS
    with open_store(args) as store:
        picture = _drawn(store, args, pixels)
    written = write_whole(path, lambda file: picture.save(file, "PNG"), overwrite=args.overwrite)
    wide, high = picture.size
    document = {"file": str(written), "width_px": wide, "height_px": high}
    out.answer(document, [clean(f"Drew {written}, {wide} x {high} pixels.")])
    return EXIT_DONE


def _drawn(store: Store, args: Namespace, pixels: int) -> Image:
    from stash.sheets.star_picture import contact_sheet, draw_star, palette

    saved, _, colouring = find_star(store, args.star)
    by_name = {fabric.name: fabric for fabric in store.fabrics(archived=True)}

    def drawn(one: Colouring) -> Image:
        pictures = None if args.flat else _pictures(store, one, by_name)
        return draw_star(saved.star, palette(one, by_name, pictures), pixels, grey=args.grey)

    if not args.all:
        return drawn(colouring)
    return contact_sheet([(_title(saved, one.number), drawn(one.colouring)) for one in saved.colourings])


def _title(saved: SavedStar, number: int) -> str:
    return f"{saved.name}, colouring {number}"


def _pictures(store: Store, colouring: Colouring, by_name: dict[str, Fabric]) -> dict[int, bytes]:
    """The photographs of a colouring's fabrics, by fabric id; fabrics without one are painted flat."""
    names = {name for used in colouring.uses.values() for name in used} | ({colouring.ground} - {None})
    fabrics = [by_name[name] for name in names if name is not None and name in by_name]
    found = {fabric.id: store.picture(fabric.id) for fabric in fabrics if fabric.swatch is not None}
    return {fabric_id: data for fabric_id, data in found.items() if data is not None}
