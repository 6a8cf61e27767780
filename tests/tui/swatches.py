"""Photographs of fabrics for the interface's tests: small pictures drawn here, what they are taken to say,
and the details that show one."""

from __future__ import annotations

import io
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

from PIL import Image
from textual.pilot import Pilot

from stash.inventory.store import Store
from stash.model import Colour, Measured, NewSwatch, PaletteColour, Reference
from tests.tui.driving import screen_text, settled, wait_for
from tui.widgets.swatch_picture import SwatchPicture

NOTE = "the light falls off to the left"
RED, CREAM = (200, 60, 60), (240, 230, 200)


def png(image: Image.Image) -> bytes:
    out = io.BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


def jpeg(picture: bytes) -> bytes:
    """The same picture as the stash takes it."""
    out = io.BytesIO()
    Image.open(io.BytesIO(picture)).save(out, "JPEG", quality=95, subsampling=0)
    return out.getvalue()


def plain(codes: tuple[int, int, int], size: tuple[int, int] = (64, 48)) -> bytes:
    """One colour all over."""
    return png(Image.new("RGB", size, codes))


def checked(one: tuple[int, int, int], other: tuple[int, int, int], side: int = 96) -> bytes:
    """A check of single pixels."""
    image = Image.new("RGB", (side, side), one)
    for y in range(side):
        for x in range(y % 2, side, 2):
            image.putpixel((x, y), other)
    return png(image)


def halves(left: tuple[int, int, int], right: tuple[int, int, int]) -> bytes:
    image = Image.new("RGB", (60, 40), left)
    image.paste(right, (30, 0, 60, 40))
    return png(image)


def measured(
    L: float = 62.0, reference: Reference = Reference.PAPER, variety: float = 5.2, low: float = 48, high: float = 71
) -> Measured:
    """Three main colours, 60, 30 and 10 %."""
    source = "relative" if reference is Reference.NONE else "measured"
    colour = Colour(L, 30.0, 20.0, source)
    shares = ((colour, 0.6), (replace(colour, L=L - 20), 0.3), (replace(colour, L=L + 10), 0.1))
    palette = tuple(PaletteColour(one, share) for one, share in shares)
    return Measured(colour, low, high, variety, palette, (0, 0, 60, 40), reference, (NOTE,))


def swatch(said: Measured, picture: bytes, photo: str = "cloth.png") -> NewSwatch:
    kept = jpeg(picture)
    return NewSwatch(said, photo, sha256(picture).hexdigest(), kept, kept)


def give_photograph(path: Path, name: str, said: Measured, picture: bytes | None = None) -> None:
    """Record a photograph for a fabric of the stash at `path`."""
    with Store.open(path) as store:
        store.set_swatch(store.fabric(name).id, swatch(said, picture or halves(RED, CREAM)))


async def to_poppy(pilot: Pilot[None]) -> None:
    """To the Stash screen with the cursor on Poppy, and into its details."""
    await pilot.press("f")
    await settled(pilot)
    await pilot.press("slash", *"poppy", "enter", "enter")
    await settled(pilot)
    await wait_for(pilot, lambda: "Poppy" in screen_text(pilot) and "Main colours" in screen_text(pilot), "the details")
    await settled(pilot)


def colours_in(picture: SwatchPicture) -> set[tuple[int, ...]]:
    """sRGB codes of all that is painted in the middle line of a picture."""
    strip = picture.render_line(picture.size.height // 2)
    styles = [segment.style for segment in strip if segment.style is not None]
    found = [style.bgcolor for style in styles if style.bgcolor is not None and style.color is not None]
    return {tuple(colour.get_truecolor()) for colour in found}
