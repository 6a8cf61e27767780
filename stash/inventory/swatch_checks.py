"""What of a measured photograph may be stored. Everything else is refused in plain words that name the file."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import replace

from stash.errors import UsageFault
from stash.inventory.checks import bad_character, checked_colour, checked_value, storable
from stash.inventory.tables import MOST_PICTURE, MOST_THUMBNAIL
from stash.model import Box, Colour, Measured, NewSwatch, PaletteColour, Reference

MOST_COLOURS = 8
MOST_NOTES = 20
LONGEST_NOTE = 400
LONGEST_PHOTO = 1_000
MOST_PIXELS = 1_000_000  # a side of a photograph
SHARES_WITHIN = 1e-6

JPEG_HEAD = b"\xff\xd8\xff"  # what every JPEG begins with
_SHA256 = re.compile(r"[0-9a-f]{64}", re.ASCII)


def checked_swatch(new: NewSwatch) -> NewSwatch:
    """A swatch as it is stored: plain numbers, and colours whose source is what the reference makes them.

    Raises UsageFault, with the photograph's name as the place.
    """
    photo = storable(new.photo)[:LONGEST_PHOTO]
    try:
        if not _SHA256.fullmatch(new.file_hash):
            raise UsageFault("the hash of the file is none", do="give its SHA-256 as 64 small hex digits")
        _jpeg(new.picture, "picture", MOST_PICTURE)
        _jpeg(new.thumbnail, "thumbnail", MOST_THUMBNAIL)
        measured = checked_measured(new.measured)
    except UsageFault as fault:
        raise UsageFault(fault.what, fault.where or photo, fault.do) from None
    return NewSwatch(measured, photo, new.file_hash, bytes(new.picture), bytes(new.thumbnail))


def _jpeg(data: bytes, what: str, most: int) -> None:
    if not data.startswith(JPEG_HEAD):
        raise UsageFault(f"the {what} to be kept is no JPEG", do="make it again from the photograph")
    if len(data) > most:
        raise UsageFault(
            f"the {what} to be kept has {len(data):,} bytes", do=f"make it smaller: {most:,} bytes at most"
        )


def checked_measured(given: Measured) -> Measured:
    """What a photograph said, in plain floats and ints. A rounding error over an end of L* is cut off."""
    reference = Reference(given.reference)
    source = reference.source
    low, high = checked_value(given.value_low), checked_value(given.value_high)
    if low > high + 0.01:
        raise UsageFault(f"values from {low:g} to {high:g} are no range", do="measure the photograph again")
    if not (math.isfinite(given.variety) and given.variety >= 0):
        raise UsageFault(f"a variety of {given.variety:g} cannot be", do="measure the photograph again")
    return Measured(
        _sourced(given.colour, source), min(low, high), high, float(given.variety),
        _palette(given.palette, source), _box(given.box), reference, _notes(given.notes),
    )  # fmt: skip


def _sourced(colour: Colour, source: str) -> Colour:
    return checked_colour(replace(colour, source=source))


def _palette(palette: Sequence[PaletteColour], source: str) -> tuple[PaletteColour, ...]:
    if not 1 <= len(palette) <= MOST_COLOURS:
        raise UsageFault(f"a palette of {len(palette)} colours is none", do=f"use 1 to {MOST_COLOURS}")
    shares = [float(one.share) for one in palette]
    if not all(0 <= share <= 1 + SHARES_WITHIN for share in shares):  # no NaN passes either
        raise UsageFault("a colour's share of the cloth lies outside 0 to 1", do="measure the photograph again")
    if abs(math.fsum(shares) - 1) > SHARES_WITHIN:
        raise UsageFault(
            f"the shares of a palette add up to {math.fsum(shares):g}, not 1", do="measure the photograph again"
        )
    return tuple(
        PaletteColour(_sourced(one.colour, source), min(1.0, share)) for one, share in zip(palette, shares, strict=True)
    )


def _box(box: Box) -> Box:
    x, y, width, height = (int(side) for side in box)
    if not (min(x, y) >= 0 and min(width, height) >= 1 and max(x + width, y + height) <= MOST_PIXELS):
        raise UsageFault(f"a box of {width} x {height} at {x}, {y} is none", do="draw it inside the picture")
    return x, y, width, height


def _notes(notes: Sequence[str]) -> tuple[str, ...]:
    if len(notes) > MOST_NOTES:
        raise UsageFault(f"{len(notes)} notes on a photograph are too many", do=f"use {MOST_NOTES} at most")
    for note in notes:
        if len(note) > LONGEST_NOTE:
            raise UsageFault(
                f"a note on the photograph has {len(note)} characters", do=f"use {LONGEST_NOTE} at most"
            )
        if (bad := bad_character(note)) is not None:
            raise UsageFault(f"a note on the photograph has {bad} in it", do="leave that character out")
    return tuple(str(note) for note in notes)
