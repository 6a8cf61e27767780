"""`sheet`: a saved star on paper: a picture, pages for table, machine and shop, or the list for the shop."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stash.cli.options import one_of, whole
from stash.cli.output import Output, clean
from stash.cli.session import cloth_for, find_star, open_store
from stash.errors import EXIT_DONE, UsageFault
from stash.wording import counted

if TYPE_CHECKING:
    from PIL.Image import Image

    from stash.inventory.store import Store
    from stash.model import Star
    from stash.sheets.job import Job
    from stash.sheets.star_picture import Palette

PIXELS = 1200
COMPRESSION = 3  # of a PNG: a third of the time of the usual 6, and 3 % larger
OPTIONS = {".png": ("pixels", "point", "flat", "grey", "all"), ".pdf": ("pages", "paper")}  # what each kind alone takes


def sheet(args: Namespace, out: Output) -> int:
    """Write a star as a picture, its pages for the table, or the list for the shop."""
    from stash.files import try_target

    if not args.star or not args.out:
        missing = "--star" if not args.star else "--out"
        raise UsageFault(f"{missing} is needed", where="sheet", do='give both, as in --star "Pond" --out pond.pdf')
    path = Path(args.out)
    write = {".png": _png, ".pdf": _pdf, ".txt": _txt}.get(path.suffix.casefold())
    if write is None:
        do = "name a file that ends in .pdf, .png or .txt"
        raise UsageFault("what is to be written is told by the file's ending", where="--out", do=do)
    _refuse_options(args, path.suffix.casefold())
    try_target(path, overwrite=args.overwrite)  # before a plan is kept for it
    with open_store(args) as store:
        document, said = write(store, args, path, out)
    out.answer(document, [clean(said)])
    return EXIT_DONE


def _refuse_options(args: Namespace, ending: str) -> None:
    """Raise UsageFault for an option that says nothing for this kind of file."""
    for kind, options in OPTIONS.items():
        given = [option for option in options if getattr(args, option)]
        if given and kind != ending:
            do = f"leave it out, or name a file that ends in {kind}"
            raise UsageFault(f"a {ending} file has no --{given[0]}", where="--out", do=do)


Written = tuple[dict[str, Any], str]


def _png(store: Store, args: Namespace, path: Path, out: Output) -> Written:
    from stash.files import write_whole

    picture = _drawn(store, args, whole(args.pixels, "--pixels") if args.pixels else PIXELS, out)
    written = write_whole(
        path, lambda file: picture.save(file, "PNG", compress_level=COMPRESSION), overwrite=args.overwrite
    )
    wide, high = picture.size
    document = {"file": str(written), "width_px": wide, "height_px": high}
    return document, f"Drew {written}, {wide} x {high} pixels."


def _txt(store: Store, args: Namespace, path: Path, out: Output) -> Written:
    from stash.files import write_whole
    from stash.sheets.shop import shop_text

    text = shop_text(_job(store, args, keep=False))
    written = write_whole(path, lambda file: file.write(text.encode()), overwrite=args.overwrite)
    return {"file": str(written), "lines": text.count("\n")}, f"Wrote {written}."


def _pdf(store: Store, args: Namespace, path: Path, out: Output) -> Written:
    from datetime import datetime

    from stash.files import write_whole
    from stash.sheets.document import PAGES, cannot_print, hard_to_print, write_pdf

    pages = [page.strip() for page in args.pages.split(",")] if args.pages else list(PAGES)
    paper = one_of(args.paper or "letter", "paper", ("letter", "a4"), "--paper")
    names = [one_of(page, "page", tuple(PAGES), "--pages") for page in pages]
    job = _job(store, args, keep="cutting" in names)
    today = datetime.now().astimezone().date()
    sheets: list[int] = []
    written = write_whole(
        path, lambda file: sheets.append(write_pdf(file, job, paper=paper, pages=names, day=today)),
        overwrite=args.overwrite,
    )  # fmt: skip
    _say_lost(out, cannot_print(job), hard_to_print(job))
    document = {"file": str(written), "pages": sheets[-1], "plan": job.plan or None}
    return document, f"Wrote {written}, {counted(sheets[-1], 'page')}."


def _say_lost(out: Output, letters: str, names: Sequence[str]) -> None:
    """Say once which letters there is no font for, in which names, and what to do."""
    if letters:
        more = f" and {len(names) - 1} more" if len(names) > 1 else ""
        out.say(clean(
            f"No font here has {' '.join(letters)}, in {names[0]}{more}: an empty box stands for each, to fill in "
            "by hand."
        ))  # fmt: skip


def _job(store: Store, args: Namespace, *, keep: bool) -> Job:
    """The star's job. `keep`: its plan of cuts is kept, as printing the cutting page does."""
    from stash.sheets.job import make_job

    saved, number, colouring = find_star(store, args.star)
    plans = store.plans(saved.id, number)
    fabrics = [fabric for fabric in cloth_for(store, args, saved) if not fabric.archived]
    job = make_job(saved.name, number, saved.star, colouring, fabrics, plans)
    if keep and not job.plan and job.coverage.covered and not store.read_only:
        kept = store.keep_plan(saved.id, number, job.coverage.cuts)
        job = make_job(saved.name, number, saved.star, colouring, fabrics, [kept])
    return job


def _drawn(store: Store, args: Namespace, pixels: int, out: Output) -> Image:
    """The picture that is asked for: a star or a point of one colouring, or of all side by side."""
    from stash.sheets.contact_sheet import contact_sheet, sheet_size
    from stash.sheets.fonts import unprintable
    from stash.sheets.job import pictures_of
    from stash.sheets.star_picture import palette

    saved, number, colouring = find_star(store, args.star)
    by_name = {fabric.name: fabric for fabric in store.fabrics(archived=True)}
    wanted = [(one.number, one.colouring) for one in saved.colourings] if args.all else [(number, colouring)]
    sheet_size(len(wanted), pixels, pixels)
    _say_lost(out, unprintable(saved.name) if args.all else "", [saved.name])
    drawn: list[tuple[str, Image]] = []
    for at, one in wanted:
        cloth = palette(one, by_name, None if args.flat else pictures_of(one, by_name, store.picture))
        name = f"{saved.name}, colouring {at}"
        drawn += [(f"{name}{more}", picture) for more, picture in _views(args, saved.star, cloth, pixels)]
    return drawn[0][1] if len(drawn) == 1 and not args.all else contact_sheet(drawn)


def _views(args: Namespace, star: Star, cloth: Palette, pixels: int) -> list[tuple[str, Image]]:
    """A colouring as a star; as a point, or as two where look-alikes lie in every other one. With what names each."""
    from stash.sheets.point_picture import draw_point, turns
    from stash.sheets.star_picture import draw_star

    if not args.point:
        return [("", draw_star(star, cloth, pixels, grey=args.grey))]
    names = ("",) if len(turns(cloth)) == 1 else (", points 1, 3, 5, 7", ", points 2, 4, 6, 8")
    return [(names[turn], draw_point(star, cloth, pixels, turn=turn, grey=args.grey)) for turn in turns(cloth)]
