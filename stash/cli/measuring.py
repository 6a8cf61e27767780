"""`measure`: what a photograph says of a fabric's colour and value. Nothing is saved."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stash.cli.faults import INTERRUPTED
from stash.cli.listing import value_text
from stash.cli.output import Output, clean
from stash.cli.photographs import found, how_from, look_at, none_of_them, tell
from stash.errors import EXIT_DONE, EXIT_FAILED
from stash.model import Measured, PaletteColour

if TYPE_CHECKING:
    from stash.intake import Looked

NEAR_WHITE = (
    "Cloth nearly white vanishes on white paper, and of a print on such a ground only the parts are found: lay it on a"
    " grey sheet (--reflectance), or use --box."
)


def measure(args: Namespace, out: Output) -> int:
    """Measure photographs; the good ones are told, each bad one is a line on standard error."""
    how = how_from(args)
    files, missing = found(args.photos)
    seen = look_at(files, how, {})
    failed = [*missing, *seen.failed]
    if failed and not seen.good:
        raise none_of_them(failed)
    swatches = _by_photo(seen.good)
    document = [_json(path, one, number) for path, number, one in _each(swatches, how.sheet)]
    out.answer(document, _lines(swatches, how.sheet))
    if how.sheet:
        out.say(NEAR_WHITE)
    if any(one.relative for _, on_it in swatches for one in on_it):
        out.say("Relative values become true ones with --on-paper, --white or --grey.")
    tell(failed)
    if seen.stopped:
        out.say(f"Stopped: {len(seen.good)} of {len(files)} photographs were measured.")
        return INTERRUPTED
    return EXIT_FAILED if failed else EXIT_DONE


Swatches = list[tuple[Path, tuple[Measured, ...]]]


def _by_photo(looked: Sequence[Looked]) -> Swatches:
    """The swatches of each photograph; the same file under another name has those of the first."""
    first = {one.path: one for one in looked}
    of = [(one.path, first[one.same_as] if one.same_as else one) for one in looked]
    return [(path, tuple(swatch.measured for swatch in one.swatches)) for path, one in of]


def _each(swatches: Swatches, sheet: bool) -> Iterator[tuple[Path, int | None, Measured]]:
    for path, on_it in swatches:
        for number, one in enumerate(on_it, 1):
            yield path, number if sheet else None, one


def colour_json(one: PaletteColour) -> dict[str, Any]:
    """One colour of a palette with its share of the cloth."""
    from stash.colour.lab import hex_from_lab

    colour = one.colour
    return {"L": colour.L, "a": colour.a, "b": colour.b, "hex": hex_from_lab(colour), "share": one.share}


def palette_json(palette: Sequence[PaletteColour]) -> list[dict[str, Any]]:
    """A palette, heaviest first."""
    return [colour_json(one) for one in palette]


def _json(path: Path, measured: Measured, swatch: int | None) -> dict[str, Any]:
    from stash.colour.lab import hex_from_lab
    from stash.colour.words import variety_word

    colour = measured.colour
    return {
        "photo": str(path),
        **({} if swatch is None else {"swatch": swatch}),
        "box": list(measured.box),
        "L": colour.L,
        "a": colour.a,
        "b": colour.b,
        "hex": hex_from_lab(colour),
        "value_low": measured.value_low,
        "value_high": measured.value_high,
        "variety": measured.variety,
        "word": variety_word(measured.variety),
        "palette": palette_json(measured.palette),
        "reference": str(measured.reference),
        "relative": measured.relative,
        "notes": list(measured.notes),
    }


def _lines(swatches: Swatches, sheet: bool) -> Iterator[str]:
    for path, on_it in swatches:
        if sheet:
            yield f"{clean(str(path))}: {len(on_it)} {'swatch' if len(on_it) == 1 else 'swatches'} found"
        for number, one in enumerate(on_it, 1):
            yield f"{f'  {number}' if sheet else clean(str(path))}: {in_words(one)}"
            yield from (f"  {'  ' if sheet else ''}{clean(note)}" for note in one.notes)
        if any(one.relative for one in on_it):
            yield "  relative: nothing in the photograph tells its light, only the order within it holds"


def in_words(measured: Measured) -> str:
    """A measurement on one line: value with its range, colour and how varied it is."""
    from stash.colour.lab import hex_from_lab
    from stash.colour.words import colour_words, variety_word

    colour = measured.colour
    return (
        f"value {value_text(colour)} ({measured.value_low:.0f} to {measured.value_high:.0f}), "
        f"a {colour.a:.0f}, b {colour.b:.0f}, {hex_from_lab(colour)}, {colour_words(colour)}, "
        f"{variety_word(measured.variety)}"
    )
